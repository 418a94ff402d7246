package main

import (
	"cmp"
	"errors"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns/mechanics"
	"pullcard/sequence/calc"
	"pullcard/sequence/shop"
	"pullcard/tui/bed"
)

// sheetOf works out what the screen of numbers shows. What cannot be worked out is told on it.
func sheetOf(w *shop.Work) bed.Sheet {
	n := w.Numbers()
	s := bed.Sheet{Title: shop.Title(w.Job.Player, w.Job.Racket, w.Plan.Frame), Settings: n.Settings(),
		Cautions: w.Job.Machine.Cautions(w.Job.Mains, w.Job.Crosses)}
	var short, wrong error
	if w.Frame.Hoop == nil {
		s.Trouble = "The hoop's size is not known, so lengths and bed cannot be worked out: cut your usual length, or type the size in: pullcard frame " + w.Frame.File
		return s
	}
	s.Lengths, short = n.Lengths()
	s.Bed, wrong = n.Bed(calc.Options{LossPercent: mechanics.LossAfterStringing().Percent, Patterns: disk.Files().Patterns(w.Frame), Map: true})
	// A hoop that is missing or impossible stops both; it is told once.
	if err := cmp.Or(wrong, short); err != nil {
		s.Trouble = errors.Join(err).Error()
	}
	return s
}
