package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/verdict"
)

// felt is a strung job and how another one is to be strung to feel the same.
type felt struct {
	Job     int64    `json:"job"`
	Changes []string `json:"changes"`
	Mains   string   `json:"mains"`
	Crosses string   `json:"crosses"`
	// PlusMinus is how far the mains' tension may be off, about a 95 % interval; what it rests on is in the lines.
	PlusMinus string         `json:"plus_minus"`
	Set       string         `json:"set,omitempty"`
	Lines     []verdict.Line `json:"lines"`
}

func bookFeel() *cobra.Command {
	var asJSON bool
	var like string
	c := &cobra.Command{
		Use:   "feel JOB.toml --like WHICH",
		Short: "What tension makes another string, gauge, frame or machine feel like a racket strung before",
		Long: `Tells at which tensions the set-up of the job file makes the bed as stiff as that of
a strung job, with what is assumed. --like names that job by its number.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			if like == "" {
				return misuse{errors.New("like which strung job: --like names its number")}
			}
			return readingBook(c, func(s *shop) error {
				r, err := s.book.One(c.Context(), records.KindJob, like)
				if err != nil {
					return err
				}
				card, err := s.book.Card(c.Context(), r.UID)
				if err != nil {
					return err
				}
				w, err := loadAsked(c, args[0])
				if err != nil {
					return err
				}
				m, err := s.machine(w, "")
				if err != nil {
					return err
				}
				f, err := s.feel(card, w, w.job.Machine.Name, m.offset)
				if err != nil {
					return err
				}
				if asJSON {
					return writeJSON(c.OutOrStdout(), f)
				}
				return f.write(c.OutOrStdout())
			})
		}),
	}
	c.Flags().StringVar(&like, "like", "", "the number of the strung job whose feel is wanted again")
	c.Flags().BoolVar(&asJSON, "json", false, "as JSON")
	return c
}

// feel says how to string w so that it feels like a strung job.
func (s *shop) feel(like book.Card, w *work, machine string, offset measure.Tension) (felt, error) {
	if like.Entry == nil {
		return felt{}, fmt.Errorf("job %d has not been strung yet", like.ID)
	}
	old, mains, crosses, err := s.strung(like)
	if err != nil {
		return felt{}, fmt.Errorf("job %d: %w", like.ID, err)
	}
	to := s.setup(book.Card{}, w)
	to.Machine = machine
	change := verdict.Change{From: s.setup(like, old), To: to, Mains: mains, Crosses: crosses, Was: old.numbers(), Is: w.numbers(), Offset: offset}
	f, err := verdict.SameFeel(change)
	if err != nil {
		return felt{}, err
	}
	out := felt{Job: like.ID, Changes: to.Differences(change.From), Mains: f.Mains.String(), Crosses: f.Crosses.String(), PlusMinus: f.PlusMinus.Short(), Lines: f.Lines}
	if !offset.IsZero() {
		out.Set = tensions(f.SetMains.Short(), f.SetCrosses.Short())
	}
	if out.Changes == nil {
		out.Changes = []string{}
	}
	return out, nil
}

func (f felt) write(w io.Writer) error {
	fmt.Fprintf(w, "to feel like job %d: %s, plus or minus %s\n", f.Job, tensions(f.Mains, f.Crosses), f.PlusMinus)
	for _, l := range f.Lines {
		if _, err := fmt.Fprintf(w, "  %-10s  %s\n", l.Kind, clean(l.Text)); err != nil {
			return err
		}
	}
	return nil
}

// otherwise says in what a job is strung otherwise than the player's last one, of the same racket where there is one, and
// what would make it feel the same.
func (s *shop) otherwise(w *work, j records.Job, offset measure.Tension) ([]string, error) {
	if j.Player == "" {
		return nil, nil
	}
	history, err := s.book.History(s.ctx, j.Player)
	if err != nil {
		return nil, err
	}
	var last *book.Card
	same := false // of the same racket
	for i, c := range history {
		if c.Entry == nil || c.Entry.State != "done" {
			continue
		}
		is := j.Racket != "" && records.As[records.Job](c.Fields).Racket == j.Racket
		if last == nil || is && !same {
			last, same = &history[i], is
		}
	}
	if last == nil {
		return nil, nil
	}
	machine := w.job.Machine.Name
	if uid := j.Machine; uid != "" {
		r, err := s.book.Record(s.ctx, uid)
		if err != nil {
			return nil, err
		}
		machine = r.Label()
	}
	f, err := s.feel(*last, w, machine, offset)
	if err != nil {
		return nil, nil // its files or its hoop are not at hand; the job goes on without
	}
	var words []string
	for _, change := range f.Changes {
		words = append(words, fmt.Sprintf("otherwise than job %d: %s", last.ID, change))
	}
	if len(words) > 0 {
		words = append(words, fmt.Sprintf("for the feel of job %d the bed computes %s; this job says %s (pullcard book feel tells what that assumes)",
			last.ID, tensions(f.Mains, f.Crosses), tensions(w.job.Mains.String(), w.job.Crosses.String())))
	}
	return words, nil
}
