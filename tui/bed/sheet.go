package bed

import (
	"cmp"

	"pullcard/patterns"
	"pullcard/patterns/mechanics"
	"pullcard/sequence/calc"
)

// SheetOf works out the numbers of a work; others are frames whose patterns its own is set beside. What cannot be worked out is told on the sheet.
func SheetOf(title string, w calc.Work, others []*patterns.Frame) Sheet {
	s := Sheet{Title: title, Settings: w.Settings(), Cautions: w.Job.Machine.Cautions(w.Job.Mains, w.Job.Crosses)}
	if w.Frame.Hoop == nil {
		s.Trouble = "The hoop's size is not known, so lengths and bed cannot be worked out: cut your usual length, or type the size in: pullcard frame " + w.Frame.File
		return s
	}
	var short, wrong error
	s.Lengths, short = w.Lengths()
	s.Bed, wrong = w.Bed(calc.Options{LossPercent: mechanics.LossAfterStringing().Percent, Patterns: others, Map: true})
	// A hoop that is missing or impossible stops both; it is told once.
	if err := cmp.Or(wrong, short); err != nil {
		s.Trouble = err.Error()
	}
	return s
}
