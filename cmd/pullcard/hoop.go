package main

import (
	"context"
	"fmt"
	"strings"

	"pullcard/patterns/assume"
	"pullcard/patterns/harmless"
	"pullcard/sequence/calc"
	"pullcard/sequence/plan"
	"pullcard/sequence/shop"
	"pullcard/tui/bed"
	"pullcard/tui/hoop"
)

// houseStrain is what the settings take for granted of hoops and strings; settings that are wrong were told when the program began.
func houseStrain() assume.Table {
	set, err := houseSettings()
	if err != nil {
		return assume.Table{}
	}
	return set.Strain
}

// sheet is what the screen of numbers shows of a job at the bench, with the page of its hoop.
func (h *house) sheet(b shop.Bench, p *plan.Plan) bed.Sheet {
	s := sheetOf(b.Work)
	s.Hoop = func() hoop.Sheet { return h.hoopSheet(b, p) }
	return s
}

// hoopSheet plays the plan as it stands, ways back and all.
func (h *house) hoopSheet(b shop.Bench, p *plan.Plan) hoop.Sheet {
	table, own := houseStrain(), b.Work.Numbers()
	w := own
	w.Plan = p
	s := hoop.Sheet{Title: shop.Title(w.Job.Player, w.Job.Racket, w.Plan.Frame), Unit: w.Job.Mains.Unit()}
	var err error
	if s.Course, err = w.Strain(table); err == nil {
		s.Expected, err = w.Expect(table)
	}
	if err != nil {
		return hoop.Sheet{Title: s.Title, Trouble: err.Error()}
	}
	for _, l := range w.Takes(table) {
		s.Assumed = append(s.Assumed, fmt.Sprintf("%s %s: %s (%s)", l.Key, l.Value, l.What, l.Source))
	}
	s.Gentlest = func(ctx context.Context, tell func(tried, of int)) ([]string, error) {
		g, err := own.Gentlest(ctx, table, tell)
		if err != nil {
			return nil, err
		}
		return g.Words(), nil
	}
	s.Beside = func(ctx context.Context, tell func(tried, of int)) ([]string, error) {
		sheets, unread := h.Sheets(ctx, own.Technique)
		sides, err := own.Sides(ctx, table, sheets, true, tell)
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
	if b.Recorder != nil {
		s.Keep = func(text string) error { return h.Hoop(context.Background(), b.Recorder.Job(), text) }
	}
	return s
}

// foresee is what to say before steps: a load of a support above the limit, and what to expect when the hoop is measured.
func foresee(w *shop.Work, p *plan.Plan) map[int][]string {
	table, out := houseStrain(), map[int][]string{}
	n := w.Numbers()
	n.Plan = p
	c, err := n.Strain(table)
	if err != nil {
		return nil
	}
	for _, o := range c.Over() {
		out[o.Step] = append(out[o.Step], o.Words())
	}
	if e, err := n.Expect(table); err == nil {
		last := len(p.Steps)
		out[last] = append(out[last], "off the machine expect the hoop "+e.Words()+"; b, h, m keeps what you measure")
	}
	return out
}
