package numbers

import (
	"fmt"
	"sync"

	"pullcard/patterns"
	"pullcard/patterns/bed"
	"pullcard/patterns/grid"
	"pullcard/sequence/plan"
)

// Options say what to work out about a bed beside itself.
type Options struct {
	// LossPercent is the loss of tension that is assumed; see bed.LossAfterStringing for the literature's.
	LossPercent float64
	// Patterns are frames whose pattern is tried on this hoop.
	Patterns []*patterns.Frame
	// Feel is a frame that is to feel the same; nil for none.
	Feel *patterns.Frame
	// Map asks for the stiffness of every crossing.
	Map bool
}

// Bed is what a bed will be.
type Bed struct {
	Strung
	Settings []NamedSetting
	Loads    plan.Loads
	// Map is the stiffness of every crossing in the order of Net.Nodes, where the options ask for it.
	Map     []bed.Stiffness
	Choices []bed.Choice
	// Feel is how to string the frame of the options for the same feel, nil without one.
	Feel *bed.Feel
	// ByStrand are the pulls of all strands where they are not all pulled like their kind.
	ByStrand []StrandPull
	Doubts   []string
	Assumed  Assumed
}

// Assumed is what rests on assumptions.
type Assumed struct {
	Loss bed.Assumption
	// Figures are those with the loss.
	Figures bed.Figures
	// PatchMM is the radius of the patch that a ball is taken to press on, PatchStiffness the stiffness under it, without
	// and with the loss.
	PatchMM                     float64
	PatchStiffness, PatchStrung bed.Stiffness
	// Curve are loads on the patch that stretch the strings, which takes the modulus of their material.
	Curve []bed.Bent
	// String says which string was taken because the job does not tell it, empty where it does.
	String string
}

// patchMM is the radius of the patch that a ball presses on: this program's own choice.
const patchMM = 30.0

// curveForces are the loads of the curve in newtons.
func curveForces() []float64 { return []float64{200, 400, 800} }

// Bed works out what the bed will be. The error is a source.Problems for a hoop that is missing or impossible.
func (w Work) Bed(o Options) (*Bed, error) {
	s, err := w.Strung()
	if err != nil {
		return nil, err
	}
	b := &Bed{Strung: *s, Settings: w.Settings(), Loads: w.Plan.Loads, Doubts: doubts(s.Grid), ByStrand: w.byStrand(s.Grid)}
	var curve []bed.Bent
	var curveErr error
	var beside sync.WaitGroup
	beside.Go(func() {
		if curve, curveErr = s.curve(); o.Map {
			b.Map = s.Net.Map()
		}
	})
	err = b.compare(o)
	beside.Wait()
	if err == nil {
		err = curveErr
	}
	if err != nil {
		return nil, fmt.Errorf("work out the bed: %w", err)
	}
	b.Assumed = s.assume(o.LossPercent, curve)
	return b, nil
}

// compare works out what choices do.
func (b *Bed) compare(o Options) (err error) {
	if b.Choices, err = bed.Choices(b.Setup, o.Patterns...); err != nil || o.Feel == nil {
		return err
	}
	feel, err := bed.SameFeel(b.Setup, o.Feel)
	b.Feel = &feel
	return err
}

func (s *Strung) curve() ([]bed.Bent, error) {
	return s.Net.Curve(s.Net.Patch(grid.Point{}, patchMM), s.Net.Nearest(grid.Point{}), curveForces())
}

func (s *Strung) assume(lossPercent float64, curve []bed.Bent) Assumed {
	loss := bed.LossAfterStringing()
	if lossPercent != loss.Percent {
		loss.Percent, loss.Source = lossPercent, "as set"
	}
	patch := s.Net.Stiffness(s.Net.Patch(grid.Point{}, patchMM), s.Net.Nearest(grid.Point{}))
	return Assumed{
		Loss: loss, Figures: s.Figures.Assuming(loss), PatchMM: patchMM, PatchStiffness: patch,
		PatchStrung: bed.Figures{Stiffness: patch}.Assuming(loss).Stiffness, Curve: curve, String: s.Assumed,
	}
}
