package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/verdict"
)

func lotFill() *cobra.Command {
	var from, rackets, promised string
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
			return readingBook(c, func(s *shop) error {
				lot, err := s.book.One(c.Context(), records.KindLot, args[0])
				if err != nil {
					return err
				}
				now := time.Now()
				list, err := s.racketsOf(lot, rackets)
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
				added, err := s.fill(lot, from, list, promised, now)
				if err != nil {
					return err
				}
				k, _ := records.Find(records.KindJob)
				asJSON, _ := c.Flags().GetBool("json")
				return s.printRecords(c, k, added, asJSON)
			})
		}),
	}
	c.Flags().StringVar(&from, "from", "", "the job file with frame, technique, tensions and strings")
	c.Flags().StringVar(&rackets, "rackets", "", "numbers or letters of the marks, with commas; all of the player's when left away")
	c.Flags().StringVar(&promised, "promised", "", `when they will be fetched, as "17:30"`)
	return c
}

// racketsOf are the rackets that a list names, or all of the lot's player.
func (s *shop) racketsOf(lot book.Record, names string) ([]book.Record, error) {
	if names == "" {
		list, err := s.book.Of(s.ctx, records.KindRacket, records.As[records.Lot](lot.Fields).Player)
		if err == nil && len(list) == 0 {
			err = fmt.Errorf("that player has no rackets in the book; pullcard book racket add")
		}
		for i, j := 0, len(list)-1; i < j; i, j = i+1, j-1 {
			list[i], list[j] = list[j], list[i] // the first one added comes first
		}
		return list, err
	}
	var list []book.Record
	for name := range strings.SplitSeq(names, ",") {
		r, err := s.book.One(s.ctx, records.KindRacket, strings.TrimSpace(name))
		if err != nil {
			return nil, err
		}
		list = append(list, r)
	}
	return list, nil
}

// suggested is a suggestion in JSON.
type suggested struct {
	Lot      int64           `json:"lot"`
	Outcome  verdict.Outcome `json:"outcome"`
	Job      int64           `json:"from_job,omitempty"`
	Used     string          `json:"used,omitempty"`
	Answer   string          `json:"answer,omitempty"`
	Mains    string          `json:"mains,omitempty"`
	Crosses  string          `json:"crosses,omitempty"`
	Waiting  []int64         `json:"waiting"`
	Evidence []verdict.Line  `json:"evidence"`
	Why      string          `json:"why,omitempty"`
}

func lotSuggest() *cobra.Command {
	return &cobra.Command{
		Use:   "suggest WHICH",
		Short: "What the verdict on the racket that went out means for the others, with the evidence",
		Long: `Suggests the tension for the rackets of the lot that wait, from the newest verdict
and the tension that was really used on the racket it was about. Nothing is
changed: pullcard book lot decide does that, and the stringer decides.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			return readingBook(c, func(s *shop) error {
				a, err := s.adviseOn(args[0])
				if err != nil {
					return err
				}
				if asJSON, _ := c.Flags().GetBool("json"); asJSON {
					return writeJSON(c.OutOrStdout(), a.json())
				}
				return a.write(c.OutOrStdout())
			})
		}),
	}
}

func (s *shop) adviseOn(which string) (advice, error) {
	lot, err := s.book.One(s.ctx, records.KindLot, which)
	if err != nil {
		return advice{}, err
	}
	return s.advise(lot)
}

func (a advice) json() suggested {
	out := suggested{Lot: a.lot.ID, Outcome: a.Outcome, Waiting: []int64{}, Evidence: a.Lines, Why: a.none}
	if out.Evidence == nil {
		out.Evidence = []verdict.Line{}
	}
	for _, c := range a.waiting {
		out.Waiting = append(out.Waiting, c.ID)
	}
	if a.none == "" {
		out.Job, out.Used, out.Answer = a.Judged.Job, tensions(a.Judged.Mains.String(), a.Judged.Crosses.String()), a.Verdict.Answer.String()
		out.Mains, out.Crosses = a.Mains.String(), a.Crosses.String()
	}
	return out
}

// head says in one line what is suggested.
func (a advice) head() string {
	if a.none != "" {
		return a.none
	}
	to := tensions(a.Mains.Short(), a.Crosses.Short())
	switch a.Outcome {
	case verdict.Moved:
		return fmt.Sprintf("suggested: %s for the %d that wait", to, len(a.waiting))
	case verdict.Contradictory:
		return fmt.Sprintf("the verdicts do not go together, so nothing changes: %s", to)
	}
	return fmt.Sprintf("it stays at %s", to)
}

func (a advice) write(w io.Writer) error {
	fmt.Fprintf(w, "lot %d, %s: %d rackets, %d wait\n%s\n", a.lot.ID, clean(a.lot.Label()), len(a.cards), len(a.waiting), clean(a.head()))
	for _, l := range a.Lines {
		if _, err := fmt.Fprintf(w, "  %-10s  %s\n", l.Kind, clean(l.Text)); err != nil {
			return err
		}
	}
	return nil
}

func lotDecide() *cobra.Command {
	var mains, crosses, reason string
	c := &cobra.Command{
		Use:   "decide WHICH [--mains TENSION] [--crosses TENSION]",
		Short: "Set the rackets of the lot that wait: as suggested, or as you say",
		Long: `Sets the tensions of the rackets of the lot that wait. Without --mains it takes
what the verdicts suggest. What was suggested and what was decided are both kept.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			return readingBook(c, func(s *shop) error {
				a, err := s.adviseOn(args[0])
				if err != nil {
					return err
				}
				m, x, err := a.choose(mains, crosses)
				if err != nil {
					return err
				}
				list, err := s.decide(a, m, x, reason, time.Now())
				if err != nil {
					return err
				}
				k, _ := records.Find(records.KindJob)
				asJSON, _ := c.Flags().GetBool("json")
				return s.printRecords(c, k, list, asJSON)
			})
		}),
	}
	c.Flags().StringVar(&mains, "mains", "", `as "23.5 kg"`)
	c.Flags().StringVar(&crosses, "crosses", "", "the same change as the mains when left away")
	c.Flags().StringVar(&reason, "reason", "", "why, where it is not as suggested")
	return c
}

// choose is what the stringer decided: the suggestion where nothing was said.
func (a advice) choose(mains, crosses string) (m, c measure.Tension, err error) {
	if mains == "" {
		if a.none != "" {
			return m, c, fmt.Errorf("%s; or say --mains", a.none)
		}
		m, c = a.Mains, a.Crosses
	} else if m, err = measure.ParseTension(mains); err != nil {
		return m, c, fmt.Errorf("--mains: %w", err)
	}
	switch {
	case crosses != "":
		if c, err = measure.ParseTension(crosses); err != nil {
			return m, c, fmt.Errorf("--crosses: %w", err)
		}
	case mains != "" && a.none == "":
		c = a.Judged.Crosses.Plus(m.Minus(a.Judged.Mains))
	case mains != "":
		c = m
	}
	return m, c, nil
}
