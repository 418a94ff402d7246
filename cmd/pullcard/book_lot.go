package main

import (
	"cmp"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

func lotFill() *cobra.Command {
	var from, rackets, promised string
	var because func() string
	c := &cobra.Command{
		Use:   "fill WHICH --from JOB.toml",
		Short: "Put a job for each racket of the lot into the queue",
		Long: `Puts a job for each racket into the queue, all with the set-up of one job file:
all rackets of the lot's player, or those that --rackets names.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			if from == "" {
				return misuse{fmt.Errorf("which set-up: --from names the job file")}
			}
			return inOldBook(c, func(s *shop.Shop) error {
				lot, err := s.Meant(c.Context(), records.KindLot, "", args[0])
				if err != nil {
					return err
				}
				now := s.Now()
				list, err := s.RacketsOf(c.Context(), lot, rackets)
				if err != nil {
					return err
				}
				if promised != "" {
					at, err := records.When(promised, now)
					if err != nil {
						return fmt.Errorf("--promised: %w", err)
					}
					promised = at.Format(time.RFC3339)
				}
				added, err := s.Fill(c.Context(), lot, from, list, promised, because())
				if err != nil {
					return err
				}
				return printJobs(c, s, added)
			})
		}),
	}
	c.Flags().StringVar(&from, "from", "", "the job file with frame, technique, tensions and strings")
	c.Flags().StringVar(&rackets, "rackets", "", "numbers or letters of the marks, with commas; all of the player's when left away")
	c.Flags().StringVar(&promised, "promised", "", `when they will be fetched, as "17:30"`)
	because = sureFlags(c)
	return c
}

func lotSuggest() *cobra.Command {
	return &cobra.Command{
		Use:   "suggest WHICH",
		Short: "What the verdict on the racket that went out means for the others, with the evidence",
		Long: `Suggests the tension for the rackets of the lot that wait, from the newest verdict
and the tension that was really used on the racket it was about. Nothing is
changed: pullcard book lot decide does that, and the stringer decides.`,
		Args: cobra.ExactArgs(1),
		RunE: readingBook(onOne(records.KindLot, func(c *cobra.Command, s *shop.Shop, lot book.Record) error {
			a, err := s.Advise(c.Context(), lot)
			if err != nil {
				return err
			}
			return told(c, a.JSON(), a.Tell())
		})),
	}
}

// printJobs prints jobs that were set or put into the queue.
func printJobs(c *cobra.Command, s *shop.Shop, list []book.Record) error {
	k, _ := records.Find(records.KindJob)
	return printRecords(c, s, k, list)
}

func lotDecide() *cobra.Command {
	var mains, crosses, reason string
	var because func() string
	c := &cobra.Command{
		Use:   "decide WHICH [--mains TENSION] [--crosses TENSION]",
		Short: "Set the rackets of the lot that wait: as suggested, or as you say",
		Long: `Sets the tensions of the rackets of the lot that wait. Without --mains it takes
what the verdicts suggest. What was suggested and what was decided are both kept.`,
		Args: cobra.ExactArgs(1),
		RunE: readingBook(onOne(records.KindLot, func(c *cobra.Command, s *shop.Shop, lot book.Record) error {
			a, err := s.Advise(c.Context(), lot)
			if err != nil {
				return err
			}
			m, err := tensionFlag("mains", mains)
			if err != nil {
				return err
			}
			x, err := tensionFlag("crosses", crosses)
			if err != nil {
				return err
			}
			if m, x, err = a.Choose(m, x); err != nil {
				return fmt.Errorf("%w; or say --mains", err)
			}
			list, err := s.Decide(c.Context(), a, m, x, cmp.Or(because(), reason))
			if err != nil {
				return err
			}
			return printJobs(c, s, list)
		})),
	}
	c.Flags().StringVar(&mains, "mains", "", `as "23.5 kg"`)
	c.Flags().StringVar(&crosses, "crosses", "", "the same change as the mains when left away")
	because = sureFlags(c)
	c.Flags().StringVar(&reason, "reason", "", "the same as --because")
	_ = c.Flags().MarkHidden("reason") // as it was called before
	return c
}

// tensionFlag reads a tension of the command line; none stays none.
func tensionFlag(name, text string) (measure.Tension, error) {
	if text == "" {
		return measure.Tension{}, nil
	}
	t, err := measure.ParseTension(text)
	if err != nil {
		return t, fmt.Errorf("--%s: %w", name, err)
	}
	return t, nil
}
