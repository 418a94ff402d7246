package main

import (
	"cmp"
	"errors"

	"pullcard/patterns/bed"
	"pullcard/sequence/numbers"
	screen "pullcard/tui/bed"
)

// sheet works out what the screen of numbers shows. What cannot be worked out is told on it.
func (w *work) sheet() screen.Sheet {
	n := w.numbers()
	s := screen.Sheet{Title: title(w.job.Player, w.job.Racket, w.plan.Frame), Cautions: w.job.Machine.Cautions(w.job.Mains, w.job.Crosses)}
	var short, wrong error
	s.Lengths, short = n.Lengths()
	s.Bed, wrong = n.Bed(numbers.Options{LossPercent: bed.LossAfterStringing().Percent, Patterns: otherPatterns(w.frame), Map: true})
	// A hoop that is missing or impossible stops both; it is told once.
	if err := cmp.Or(wrong, short); err != nil {
		s.Trouble = errors.Join(err).Error()
	}
	return s
}
