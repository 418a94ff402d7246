package shop

import (
	"context"
	"fmt"
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
	of := map[records.Name][]book.Record{}
	for _, r := range slices.Backward(it.shelf.From) {
		of[r.Kind] = append(of[r.Kind], r)
	}
	for _, kind := range []records.Name{records.KindStocktaking, records.KindCut} {
		k, _ := records.Find(kind)
		sec, err := s.section(ctx, k.Plural, of[kind])
		if err != nil {
			return nil, err
		}
		out = append(out, sec...)
	}
	return out, nil
}

// jobBelow tells how a job went and what was said of it.
func (s *Shop) jobBelow(ctx context.Context, r book.Record) ([]Section, error) {
	c, err := s.Book.Card(ctx, r.UID)
	if err != nil {
		return nil, err
	}
	var out []Section
	if c.Entry != nil {
		if out, err = s.went(ctx, c.Entry); err != nil {
			return nil, err
		}
	}
	for _, of := range []struct {
		title string
		kind  records.Name
	}{{"readings", records.KindReading}, {"hoop", records.KindHoop}, {"verdicts", records.KindVerdict}} {
		sec, err := s.children(ctx, of.title, of.kind, r.UID)
		if err != nil {
			return nil, err
		}
		out = append(out, sec...)
	}
	return out, nil
}

// went is how the work on a job went: where it stands, how long it took, what was unusual, and apart from that what the racket has otherwise
// than its sheet says.
func (s *Shop) went(ctx context.Context, e *book.Entry) ([]Section, error) {
	j, err := s.Book.Job(ctx, e.ID)
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
	say("%s, step %d of %d, plan %s", e.State.Says(), e.Step, e.Steps, e.Fingerprint)
	say("%s · %s · %s", e.Frame, e.Technique, records.Bed(e.Mains, e.Crosses))
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
