package calc

import (
	"fmt"
	"sync"

	"pullcard/patterns"
	"pullcard/patterns/assume"
	"pullcard/patterns/grid"
	"pullcard/patterns/mechanics"
	"pullcard/sequence/plan"
)

// Options say what to work out about a bed beside itself.
type Options struct {
	// LossPercent is the loss of tension that is assumed; see mechanics.LossAfterStringing for the literature's.
	LossPercent float64
	// Patterns are frames whose pattern is tried on this hoop.
	Patterns []*patterns.Frame
	// Feel is a frame that is to feel the same; nil for none.
	Feel *patterns.Frame
	// Map asks for the stiffness of every crossing.
	Map bool
	// Left are the tensions left as the plan was played, instead of LossPercent; nil for the flat loss.
	Left *Left
}

// Bed is what a bed will be.
type Bed struct {
	Strung
	Settings []NamedSetting
	Loads    plan.Loads
	// Map is the stiffness of every crossing in the order of Net.Nodes, where the options ask for it.
	Map     []mechanics.Stiffness
	Choices []mechanics.Choice
	// Feel is how to string the frame of the options for the same feel, nil without one.
	Feel *mechanics.Feel
	// ByStrand are the pulls of all strands where they are not all pulled like their kind.
	ByStrand []StrandPull
	Doubts   []string
	Assumed  Assumed
}

// Assumed is what rests on assumptions.
type Assumed struct {
	Loss mechanics.Assumption
	// Figures are those with the loss.
	Figures mechanics.Figures
	// Ball is what presses on the middle, Loaded how stiff the bed is under it and LoadedStrung with the loss. Both rest on
	// how far strings of their material stretch.
	Ball                 mechanics.Ball
	Loaded, LoadedStrung mechanics.Loaded
	// Curve are two fifths, four fifths and eight fifths of the ball's force, crossings free.
	Curve []mechanics.Bent
	// String says which string was taken because the job does not tell it, empty where it does.
	String string
	// Taken are the numbers of the elastic hoop that the tensions left rest on, none where a flat loss is taken.
	Taken []assume.Line
}

// Bed works out what the bed will be. The error is a source.Problems for a hoop that is missing or impossible.
func (w Work) Bed(o Options) (*Bed, error) {
	s, err := w.Strung()
	if err != nil {
		return nil, err
	}
	b := &Bed{Strung: *s, Settings: w.Settings(), Loads: w.Plan.Loads, Doubts: doubts(s.Grid), ByStrand: w.byStrand(s.Grid)}
	loss := mechanics.LossAfterStringing()
	if o.LossPercent != loss.Percent {
		loss.Percent, loss.Source = o.LossPercent, "as set"
	}
	var wrong error
	var beside sync.WaitGroup
	beside.Go(func() {
		if b.Assumed, wrong = s.assume(loss, o.Left); o.Map {
			b.Map = s.Net.Map()
		}
	})
	err = b.compare(o)
	beside.Wait()
	if err == nil {
		err = wrong
	}
	if err != nil {
		return nil, fmt.Errorf("work out the bed: %w", err)
	}
	return b, nil
}

// compare works out what choices do.
func (b *Bed) compare(o Options) (err error) {
	ball := mechanics.BallOf(b.Setup.Frame.Sport)
	if b.Choices, err = mechanics.Choices(b.Setup, ball, o.Patterns...); err != nil || o.Feel == nil {
		return err
	}
	other := b.Setup
	other.Frame, other.Measured, other.Laid = o.Feel, o.Feel.Measured, nil
	feel, err := o.Left.sameFeel(b.Setup, other, ball)
	b.Feel = &feel
	return err
}

// assume works out what rests on assumptions.
func (s *Strung) assume(loss mechanics.Assumption, left *Left) (a Assumed, err error) {
	with := s.Setup.Times(1 - loss.Percent/100)
	if left != nil {
		loss, with = left.assumption(s.Setup), left.On(s.Setup)
		a.Taken = left.Takes
	}
	a = Assumed{Taken: a.Taken, Loss: loss, Figures: s.Figures.Assuming(loss), Ball: mechanics.BallOf(s.Setup.Frame.Sport), String: s.Assumed}
	if a.Loaded, err = s.Net.Loaded(a.Ball); err != nil {
		return a, err
	}
	_, strung, err := with.Net()
	if err != nil {
		return a, err
	}
	if left != nil {
		if a.Figures, err = strung.Figures(frequencies); err != nil {
			return a, err
		}
	}
	if a.LoadedStrung, err = strung.Loaded(a.Ball); err != nil {
		return a, err
	}
	for _, share := range []float64{.4, .8, 1.6} {
		bent, err := s.Net.Under(mechanics.Ball{RadiusMM: a.Ball.RadiusMM, ForceN: share * a.Ball.ForceN}, grid.Point{}, mechanics.Free)
		if err != nil {
			return a, err
		}
		a.Curve = append(a.Curve, bent)
	}
	return a, nil
}
