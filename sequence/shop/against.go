package shop

import (
	"pullcard/sequence"
	"pullcard/sequence/contrast"
)

// Against holds the way of another technique sheet, named as jobs name one, against a work's own. Both plans are proven.
func (f Files) Against(w *Work, sheet string) (contrast.Contrast, error) {
	t, err := f.Technique(sheet)
	if err != nil {
		return contrast.Contrast{}, err
	}
	other, err := w.by(t)
	if err != nil {
		return contrast.Contrast{}, err
	}
	return contrast.Of(w.way(), other.way()), nil
}

// by is a work by another sheet, proven.
func (w *Work) by(t *sequence.Technique) (*Work, error) {
	other := *w
	other.Technique = t
	var err error
	if other.Plan, err = w.Job.Plan(w.Frame, t); err != nil {
		return nil, err
	}
	return &other, sequence.Prove(other.Plan, 0)
}

func (w *Work) way() contrast.Way { return contrast.Way{Plan: w.Plan, Cuts: Cuts(w)} }
