package verdict

import (
	"errors"
	"fmt"
	"math"

	"pullcard/patterns/measure"
	"pullcard/patterns/mechanics"
	"pullcard/sequence/calc"
)

// Change is a racket strung otherwise than one whose feel is wanted again.
type Change struct {
	From, To Setup
	// Mains and Crosses are the tensions, above nought, at which the old set-up felt as wanted.
	Mains, Crosses measure.Tension
	// Was and Is are the works of both.
	Was, Is calc.Work
	// Offset is what was accepted, after a gauge check, to be added on the new machine; it may be below nought or none.
	Offset measure.Tension
	// Left are the tensions left in a bed; nil to compare beds as they were ordered.
	Left func(calc.Work) (*calc.Left, error)
}

// Feel is what to string for the same feel.
type Feel struct {
	// Mains and Crosses are in the units of the change, in its ratio, rounded to 0.1 kg or lb or to 1 N. The machine's
	// offset is not in them.
	Mains, Crosses measure.Tension
	// SetMains and SetCrosses are what the machine is set to: the same with its offset.
	SetMains, SetCrosses measure.Tension
	// PlusMinus is how far Mains may be off, from what is assumed of strings and friction.
	PlusMinus measure.Tension
	Lines     []Line
}

// SameFeel finds the tensions that make the new set-up's bed as stiff under a ball as the old one was, mains and crosses
// in the same ratio; boosts are those of each plan. It is mechanics.Meet with the boosts of each plan; the error says that there
// is no such tension from a fifth to five times the old one, or what the works say.
func SameFeel(c Change) (Feel, error) {
	var f Feel
	same, was, is, err := c.meet()
	if err == nil {
		f.Mains, err = scaled(c.Mains, same.Factor)
	}
	if err == nil {
		f.Crosses, err = scaled(c.Crosses, same.Factor)
	}
	if err != nil {
		return Feel{}, fmt.Errorf("same feel: %w", err)
	}
	f.PlusMinus = times(c.Mains, same.PlusMinus)
	f.SetMains, f.SetCrosses = f.Mains.Plus(c.Offset), f.Crosses.Plus(c.Offset)
	f.explain(c, same, was, is)
	return f, nil
}

// meet finds the factor, and what is left in the beds of both works, nil where that is not asked for. What is left is a share
// that changes slowly with the tension, so it is played anew at the factor that the last share gave.
func (c Change) meet() (same mechanics.Same, was, is *calc.Left, err error) {
	of, err := c.Was.Setups()
	if err != nil {
		return same, nil, nil, err
	}
	old, err := of(c.Mains, c.Crosses)
	if err != nil {
		return same, nil, nil, err
	}
	if was, err = c.left(c.Was, 1); err != nil {
		return same, nil, nil, err
	}
	f := 1.0
	for range 20 {
		if is, err = c.left(c.Is, f); err == nil {
			same, err = c.reach(was.On(old), is)
		}
		if err != nil || is == nil || math.Abs(same.Factor/f-1) < 1e-3 {
			return same, was, is, err
		}
		f = same.Factor
	}
	return same, was, is, errors.New("what is left of the tensions does not settle")
}

// left are the tensions left in a work's bed at a factor of the change's tensions.
func (c Change) left(w calc.Work, f float64) (*calc.Left, error) {
	if c.Left == nil {
		return nil, nil
	}
	w, err := w.Ordered(times(c.Mains, f), times(c.Crosses, f))
	if err != nil {
		return nil, err
	}
	return c.Left(w)
}

// reach finds the factor at which the new work's bed, with some tensions left, feels as one that was.
func (c Change) reach(old mechanics.Setup, left *calc.Left) (mechanics.Same, error) {
	of, err := c.Is.Setups()
	if err != nil {
		return mechanics.Same{}, err
	}
	at := func(f float64) (mechanics.Setup, error) {
		s, err := of(times(c.Mains, f), times(c.Crosses, f))
		return left.On(s), err
	}
	there, err := at(1)
	if err != nil {
		return mechanics.Same{}, err
	}
	return mechanics.Meet(mechanics.BallOf(c.Was.Frame.Sport), mechanics.Products(old, there), old.Loaded, func(f float64, u mechanics.Under) (mechanics.Stiffness, error) {
		s, err := at(f)
		if err != nil {
			return 0, err
		}
		return s.Loaded(u)
	})
}

// fine is by which share a factor differs from one that changes nothing: far finer than a tension is rounded.
const fine = 1e-6

func times(t measure.Tension, f float64) measure.Tension { return t.Percent((f - 1) * 100) }

// scaled is a tension to be set; where nothing changes it stays as it was ordered.
func scaled(t measure.Tension, f float64) (measure.Tension, error) {
	if math.Abs(f-1) < fine {
		return t, nil
	}
	return measure.ParseTension(times(t, f).Short())
}

func (f *Feel) say(k Kind, format string, args ...any) {
	f.Lines = append(f.Lines, Line{k, fmt.Sprintf(format, args...)})
}

func (f *Feel) explain(c Change, same mechanics.Same, was, is *calc.Left) {
	for _, d := range c.To.Differences(c.From) {
		f.say(Reason, "%s", d)
	}
	f.say(Computed, "%s made %.1f N/mm under a ball; ± %s as far as string and friction are known, about a 95 %% interval",
		used(c.Mains, c.Crosses), float64(same.Wanted), f.PlusMinus.Short())
	ball := mechanics.BallOf(c.Was.Frame.Sport)
	losses := noLosses
	if is != nil {
		losses = "tensions as they are left strand by strand"
		f.say(Assumption, "left where it was: %s", was.Words())
		f.say(Assumption, "left now: %s", is.Words())
	}
	f.say(Assumption, "%s, %s; as stiff in the middle under %.0f N on a patch of %.0f mm radius", losses, stretch, ball.ForceN, ball.RadiusMM)
	f.say(Assumption, "a product is up to %g times as stiff or soft as its material usually is, in all its gauges; crossings slide or are locked", mechanics.Spread)
	switch {
	case c.Offset.Value() != 0:
		f.say(Reason, "the machine's accepted offset stands apart, %s: set it to %s", c.Offset.Signed(), used(f.SetMains, f.SetCrosses))
	case c.From.Machine != c.To.Machine:
		f.say(Assumption, "the other machine has no accepted offset and is taken to pull the same")
	}
}
