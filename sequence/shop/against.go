package shop

import (
	"pullcard/sequence/contrast"
)

// Against holds the way of another technique sheet, named as jobs name one, against a work's own. Both plans are proven.
func (f Files) Against(w *Work, sheet string) (contrast.Contrast, error) {
	t, err := f.Technique(sheet)
	if err != nil {
		return contrast.Contrast{}, err
	}
	other := *w
	other.Technique = t
	if other.Plan, err = w.Job.Plan(w.Frame, t); err == nil {
		err = Prove(other.Plan)
	}
	if err != nil {
		return contrast.Contrast{}, err
	}
	return contrast.Of(contrast.Way{Plan: w.Plan, Cuts: Cuts(w)}, contrast.Way{Plan: other.Plan, Cuts: Cuts(&other)}), nil
}
