package shop

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"strings"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/schedule"
)

// stockBelow tells what is left of a stock and what was cut.
func (s *Shop) stockBelow(ctx context.Context, it Item) ([]Section, error) {
	out := []Section{{Title: "left", Lines: []Line{{Text: it.Mark}}}}
	if it.shelf.Left() < 0 {
		out[0].Lines[0].Text += ": more was cut than there was; count it"
	}
	of := byKind(slices.Backward(it.shelf.From))
	more, err := s.sections(ctx, sort{"stocktakings", of[records.KindStocktaking]}, sort{"cuts", of[records.KindCut]})
	return append(out, more...), err
}

// jobBelow tells how a job went and what was said of it.
func (s *Shop) jobBelow(ctx context.Context, it Item) (out []Section, err error) {
	if it.entry != nil {
		if out, err = s.went(ctx, it.entry.ID); err != nil {
			return nil, err
		}
	}
	said, err := s.Book.Below(ctx, it.UID)
	if err != nil {
		return nil, err
	}
	of := byKind(slices.All(said))
	more, err := s.sections(ctx, sort{"readings", of[records.KindReading]}, sort{"hoop", of[records.KindHoop]}, sort{"verdicts", of[records.KindVerdict]})
	return append(out, more...), err
}

func byKind(list iter.Seq2[int, book.Record]) map[records.Name][]book.Record {
	of := map[records.Name][]book.Record{}
	for _, r := range list {
		of[r.Kind] = append(of[r.Kind], r)
	}
	return of
}

// went is how the work on a job went: where it stands, how long it took, what was unusual, and apart from that what the racket has otherwise
// than its sheet says.
func (s *Shop) went(ctx context.Context, id int64) ([]Section, error) {
	j, err := s.Book.Job(ctx, id)
	if err != nil {
		return nil, err
	}
	past, err := progress.Play(j.Plan, j.Events)
	if err != nil {
		return nil, err
	}
	work, now := schedule.Measure(past, schedule.UsualPause)
	sec := Section{Title: "work"}
	say := func(format string, args ...any) {
		sec.Lines = append(sec.Lines, Line{Text: fmt.Sprintf(format, args...)})
	}
	say("%s, step %d of %d, plan %s", j.State.Says(), j.Step, j.Steps, j.Fingerprint)
	say("%s · %s · %s", j.Frame, j.Technique, records.Bed(j.Mains, j.Crosses))
	if work.Hands() > 0 {
		say("hands on it %s", minutes(work.Hands()))
	}
	if work.WithoutCrosses > 0 {
		say("mains without crosses %s", minutes(work.WithoutCrosses))
	}
	for _, g := range work.Gaps {
		say("away %s before step %d, %s", minutes(g.To.Sub(g.From)), g.Step, strings.TrimSpace(string(g.Phase)+" "+string(g.Strand)))
	}
	other := Section{Title: "otherwise than its sheet"}
	for _, text := range progress.Lasting(j.Events, past.Stand, now) {
		other.Lines = append(other.Lines, Line{Text: text})
	}
	for i, ev := range progress.Explained(j.Events) {
		words := compact([]string{string(ev.Kind), fmt.Sprintf("at step %d", ev.Step), ev.What, ev.Why})
		if stood := slices.Contains(past.Stand, i+1); stood && ev.Kind == progress.Mishap {
			say("%s", strings.Join(append(words, j.Events[i].Outcome(now)), " · "))
		} else if stood || ev.Kind == progress.Note {
			say("%s", strings.Join(words, " · "))
		}
	}
	if other.Lines == nil {
		return []Section{sec}, nil
	}
	return []Section{other, sec}, nil
}

func minutes(d time.Duration) string {
	if d < 2*time.Hour {
		return fmt.Sprintf("%d min", int(d.Round(time.Minute).Minutes()))
	}
	return fmt.Sprintf("%d h %d min", int(d.Hours()), int(d.Minutes())%60)
}
