package hoop

import (
	"context"
	"strings"

	"pullcard/patterns/assume"
	"pullcard/patterns/harmless"
	"pullcard/sequence"
	"pullcard/sequence/calc"
	"pullcard/sequence/plan"
)

// SheetOf plays a plan of a work as it stands, ways back and all, with what the house takes for granted. Its Beside sets the house's sheets, which
// sheets reads, beside the work's own; its error, which comes with the rest, says which cannot be read. Nothing can be kept yet.
func SheetOf(title string, own calc.Work, p *plan.Plan, house assume.Table, sheets func(context.Context) ([]*sequence.Technique, error)) Sheet {
	w := own
	w.Plan = p
	s := Sheet{Title: title, Unit: w.Job.Mains.Unit()}
	var err error
	if s.Course, err = w.Strain(house); err == nil {
		s.Expected, err = w.Expect(house)
	}
	if err != nil {
		return Sheet{Title: title, Trouble: err.Error()}
	}
	for _, l := range w.TakenForGranted(house) {
		s.Assumed = append(s.Assumed, l.String())
	}
	s.Gentlest = func(ctx context.Context, tell func(tried, of int)) ([]string, error) {
		g, err := own.Gentlest(ctx, house, tell)
		if err != nil {
			return nil, err
		}
		return g.Words(), nil
	}
	s.Beside = func(ctx context.Context, tell func(tried, of int)) ([]string, error) {
		list, unread := sheets(ctx)
		sides, err := own.CompareTechniques(ctx, house, list, true, tell)
		if err != nil {
			return nil, err
		}
		words := calc.Verdict(sides)
		for _, o := range sides {
			words = append(words, o.Words())
		}
		if unread != nil {
			words = append(words, strings.Split(harmless.Page(unread.Error()), "\n")...)
		}
		return words, nil
	}
	return s
}
