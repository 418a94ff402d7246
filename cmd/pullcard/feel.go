package main

import (
	"errors"

	"github.com/spf13/cobra"

	"pullcard/sequence/calc"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

func bookFeel() *cobra.Command {
	var like, when string
	c := &cobra.Command{
		Use:   "feel JOB.toml --like WHICH",
		Short: "What tension makes another string, gauge, frame or machine feel like a racket strung before",
		Long: `Tells at which tensions the set-up of the job file makes the bed as stiff as that of
a strung job, with what is assumed. --like names that job by its number. Beds are
compared as they are ordered, or with --left as much as is left of each strand.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			if like == "" {
				return misuse{errors.New("like which strung job: --like names its number")}
			}
			left, err := leftBy(when)
			if err != nil {
				return err
			}
			return inOldBook(c, func(s *shop.Shop) error {
				r, err := s.Meant(c.Context(), records.KindJob, "", like)
				if err != nil {
					return err
				}
				w, err := loadAsked(c, args[0])
				if err != nil {
					return err
				}
				f, err := s.Feel(c.Context(), r.UID, w, left)
				if err != nil {
					return err
				}
				if left != nil {
					f.Taken = w.TakenForGranted(houseStrain())
				}
				return told(c, f, f.Tell(), calc.TellTaken(f.Taken))
			})
		}),
	}
	c.Flags().StringVar(&like, "like", "", "the number of the strung job whose feel is wanted again")
	complete(c, "like", ofBook(records.KindJob))
	leftFlag(c, &when, "beds as they are ordered")
	jsonFlag(c)
	return c
}
