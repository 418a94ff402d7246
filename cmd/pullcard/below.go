package main

import (
	"fmt"
	"strings"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/pace"
	"pullcard/sequence/records"
	progress "pullcard/sequence/run"
)

// stockBelow tells what is left of a stock and what was cut.
func (s *shop) stockBelow(r book.Record) ([]section, error) {
	shelf, err := s.book.Shelf(s.ctx, r.UID)
	if err != nil {
		return nil, err
	}
	left := section{Title: "left", Lines: []pageLine{{Text: shortMetres(shelf.Left())}}}
	if shelf.Left() < 0 {
		left.Lines[0].Text += ": more was cut than there was; count it"
	}
	cuts, err := s.children("cuts", records.KindCut, r.UID)
	return append([]section{left}, cuts...), err
}

// jobBelow tells how a job went and what was said of it.
func (s *shop) jobBelow(r book.Record) ([]section, error) {
	c, err := s.book.Card(s.ctx, r.UID)
	if err != nil {
		return nil, err
	}
	var out []section
	if c.Entry != nil {
		went, err := s.went(c.Entry)
		if err != nil {
			return nil, err
		}
		out = append(out, went)
	}
	for _, of := range []struct {
		title string
		kind  records.Name
	}{{"readings", records.KindReading}, {"verdicts", records.KindVerdict}} {
		sec, err := s.children(of.title, of.kind, r.UID)
		if err != nil {
			return nil, err
		}
		out = append(out, sec...)
	}
	return out, nil
}

// went is how the work on a job went: where it stands, how long it took, and what was unusual.
func (s *shop) went(e *book.Entry) (section, error) {
	j, err := s.book.Job(s.ctx, e.ID)
	if err != nil {
		return section{}, err
	}
	work, err := pace.Measure(j.Plan, j.Events, pace.UsualPause)
	if err != nil {
		return section{}, err
	}
	sec := section{Title: "work"}
	say := func(format string, args ...any) {
		sec.Lines = append(sec.Lines, pageLine{Text: clean(fmt.Sprintf(format, args...))})
	}
	say("%s, step %d of %d, plan %s", e.State, e.Step, e.Steps, e.Fingerprint)
	say("%s · %s · %s", e.Frame, e.Technique, tensions(e.Mains, e.Crosses))
	if work.Hands() > 0 {
		say("hands on it %s", minutes(work.Hands()))
	}
	if work.WithoutCrosses > 0 {
		say("mains without crosses %s", minutes(work.WithoutCrosses))
	}
	for _, g := range work.Gaps {
		say("away %s before step %d, %s", minutes(g.To.Sub(g.From)), g.Step, strings.TrimSpace(string(g.Phase)+" "+string(g.Strand)))
	}
	for _, ev := range progress.Explained(j.Events) {
		if ev.Kind == progress.Redo || ev.Kind == progress.Mishap || ev.Kind == progress.Note {
			say("%s", strings.Join(compact([]string{string(ev.Kind), fmt.Sprintf("at step %d", ev.Step), ev.What, ev.Why}), " · "))
		}
	}
	return sec, nil
}

func minutes(d time.Duration) string {
	if d < 2*time.Hour {
		return fmt.Sprintf("%d min", int(d.Round(time.Minute).Minutes()))
	}
	return fmt.Sprintf("%d h %d min", int(d.Hours()), int(d.Minutes())%60)
}
