package calc

import (
	"pullcard/patterns/assume"
	"pullcard/patterns/mechanics"
	"pullcard/patterns/tap"
)

// Ring is what the frequency of a tap says of a job's bed.
type Ring struct {
	// MeanN is the mean tension in the bed in newtons, as tap.MeanTension has it from area and mass.
	MeanN float64
	// OrderedN is the mean of what was ordered for mains and crosses, in newtons.
	OrderedN float64
	// AreaCM2 and GramsPerMetre are what MeanN was worked out with.
	AreaCM2, GramsPerMetre float64
	// ComputedHz is the lowest frequency of the job's bed at the ordered tensions without losses, LossHz with the loss.
	ComputedHz, LossHz float64
	Loss               mechanics.Assumption
	// Left says of which moment the tensions left were taken instead of the usual loss, empty where they were not.
	Left string
	// Taken are the numbers of the elastic hoop that they rest on.
	Taken []assume.Line
	// KeptPercent is how much of the ordered tensions the bed would have kept to ring as it does.
	KeptPercent float64
	// String says which string was taken because the job does not tell it, empty where it does.
	String string
}

// Ring compares a frequency in hertz with a work's bed, with the tensions left or, for nil, the usual loss. The error is a
// source.Problems for a hoop that is missing or impossible.
func (w Work) Ring(hz float64, left *Left) (*Ring, error) {
	s, err := w.Strung()
	if err != nil {
		return nil, err
	}
	mains, err := s.Setup.Mains.Cord(s.Setup.MainsN)
	if err != nil {
		return nil, err
	}
	crosses, err := s.Setup.Crosses.Cord(s.Setup.CrossesN)
	if err != nil {
		return nil, err
	}
	r := &Ring{
		OrderedN: (mains.TensionN + crosses.TensionN) / 2, AreaCM2: s.Grid.AreaCM2(),
		GramsPerMetre: (mains.MassGPM + crosses.MassGPM) / 2,
		ComputedHz:    s.Figures.Hz[0], Loss: mechanics.LossAfterStringing(), String: s.Assumed,
	}
	r.MeanN = tap.MeanTension(hz, r.AreaCM2, r.GramsPerMetre)
	r.LossHz = s.Figures.Assuming(r.Loss).Hz[0]
	if left != nil {
		a, err := s.assume(r.Loss, left)
		if err != nil {
			return nil, err
		}
		r.Loss, r.LossHz, r.Left, r.Taken = a.Loss, a.Figures.Hz[0], left.When, a.Taken
	}
	r.KeptPercent = 100 + tap.TensionChange(r.ComputedHz, hz)
	return r, nil
}
