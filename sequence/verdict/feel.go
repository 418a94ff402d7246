package verdict

import (
	"fmt"
	"math"

	"pullcard/patterns/measure"
)

// Change is a racket strung otherwise than one whose feel is wanted again.
type Change struct {
	From, To Setup
	// Mains and Crosses are the tensions at which the old set-up felt as wanted, and Stiffness, in N/mm, what its bed
	// computes to at them. All are above nought.
	Mains, Crosses measure.Tension
	Stiffness      float64
	// Bed computes the beds of the new set-up in the same way.
	Bed Bed
	// Offset is what was accepted, after a gauge check, to be added on the new machine; it may be below nought or none.
	Offset measure.Tension
}

// Feel is what to string for the same feel.
type Feel struct {
	// Mains and Crosses are in the units of the change, in its ratio, rounded to 0.1 kg or lb or to 1 N. The machine's
	// offset is not in them.
	Mains, Crosses measure.Tension
	// SetMains and SetCrosses are what the machine is set to: the same with its offset.
	SetMains, SetCrosses measure.Tension
	// Stiffness is what the bed computes to at Mains and Crosses, in N/mm.
	Stiffness float64
	Lines     []Line
}

// SameFeel finds the tensions that make the new set-up's bed as stiff in the middle as the old one was, mains and crosses
// in the same ratio. Any Bed will do that stiffens with the tension: bed.SameFeel of the patterns goes in one step because
// a bed without boosts is in proportion to its tension, and boosts of a fixed amount are not. The error says that there
// is no such tension from a fifth to five times the old one, or what the Bed said.
func SameFeel(c Change) (Feel, error) {
	factor, err := c.factor()
	if err != nil {
		return Feel{}, fmt.Errorf("same feel: %w", err)
	}
	var f Feel
	if f.Mains, err = scaled(c.Mains, factor); err == nil {
		f.Crosses, err = scaled(c.Crosses, factor)
	}
	if err != nil {
		return Feel{}, fmt.Errorf("same feel: %w", err)
	}
	if f.Stiffness, _, err = c.Bed(f.Mains, f.Crosses); err != nil {
		return Feel{}, fmt.Errorf("same feel: %w", err)
	}
	f.SetMains, f.SetCrosses = f.Mains.Plus(c.Offset), f.Crosses.Plus(c.Offset)
	f.explain(c)
	return f, nil
}

// fine is by which share the stiffness may be off: far finer than the tension is rounded.
const fine = 1e-6

// factor is by what to multiply the tensions, by the secant method.
func (c Change) factor() (float64, error) {
	if !(c.Stiffness > 0) {
		return 0, fmt.Errorf("the stiffness to be met is %g N/mm; it must be above nought", c.Stiffness)
	}
	at := func(f float64) (float64, error) {
		k, _, err := c.Bed(times(c.Mains, f), times(c.Crosses, f))
		return k, err
	}
	last, lastK, next := 0.0, 0.0, 1.0 // a bed without tension has no stiffness
	for range 30 {
		k, err := at(next)
		if err != nil {
			return 0, err
		}
		if math.Abs(k/c.Stiffness-1) < fine {
			return next, nil
		}
		last, lastK, next = next, k, next+(c.Stiffness-k)*(next-last)/(k-lastK)
		if !(next >= 0.2 && next <= 5) {
			break
		}
	}
	return 0, fmt.Errorf("no tension near %s gives %.1f N/mm", used(c.Mains, c.Crosses), c.Stiffness)
}

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

func (f *Feel) explain(c Change) {
	for _, d := range c.To.Differences(c.From) {
		f.say(Reason, "%s", d)
	}
	f.say(Computed, "%s made %.1f N/mm; %s make %.1f N/mm here", used(c.Mains, c.Crosses), c.Stiffness, used(f.Mains, f.Crosses), f.Stiffness)
	f.say(Assumption, assumed+"; the same stiffness at the middle of the bed")
	if c.From.Mains != c.To.Mains || c.From.Crosses != c.To.Crosses {
		f.say(Assumption, "at small deflections the tension alone makes a string stiff: how hard or thick it is itself does not count")
	}
	switch {
	case c.Offset.Value() != 0:
		f.say(Reason, "the machine's accepted offset stands apart, %s: set it to %s", c.Offset, used(f.SetMains, f.SetCrosses))
	case c.From.Machine != c.To.Machine:
		f.say(Assumption, "the other machine has no accepted offset and is taken to pull the same")
	}
}
