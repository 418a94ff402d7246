package measure

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Unit is a unit of tension.
type Unit string

// The units that a tension may be ordered in; Kg is the kilogram-force of the trade.
const (
	Kg Unit = "kg"
	Lb Unit = "lb"
	N  Unit = "N"
)

func (u Unit) newtons() float64 {
	switch u {
	case Kg:
		return NewtonsPerKgf
	case Lb:
		return NewtonsPerLbf
	}
	return 1
}

// Step is what a machine's tension is usually set in: 0.1 kg, 0.5 lb, 1 N. Common practice of the trade.
func (u Unit) Step() Tension {
	switch u {
	case Kg:
		return Tension{micro / 10, u}
	case Lb:
		return Tension{micro / 2, u}
	}
	return Tension{micro, N}
}

// Tension is a tension as it was ordered, exact to a millionth of its unit. The zero Tension is no tension.
type Tension struct {
	millionths int64
	unit       Unit
}

// ParseTension reads "24 kg", "53.5 lb" or "235 N"; it must be above nought.
func ParseTension(text string) (Tension, error) {
	m, unit, err := number(text)
	if err != nil {
		return Tension{}, fmt.Errorf(`%q is no tension; write a number and its unit, as "24 kg", "53 lb" or "235 N"`, text)
	}
	t := Tension{m, Unit(unit)}
	switch t.unit {
	case Kg, Lb, N:
	case "":
		return Tension{}, fmt.Errorf(`%q has no unit; write "%s kg", "%s lb" or "%s N"`, text, trim(m), trim(m), trim(m))
	default:
		return Tension{}, fmt.Errorf("%q is no unit of tension; kg, lb and N are", unit)
	}
	if m <= 0 {
		return Tension{}, fmt.Errorf(`a tension is above nought, not %q; write it as "24 kg"`, text)
	}
	return t, nil
}

// Newtons makes a tension of newtons, rounded to a millionth.
func Newtons(v float64) Tension { return Tension{int64(math.Round(v * micro)), N} }

// IsZero says whether there is no tension.
func (t Tension) IsZero() bool { return t == Tension{} }

// Unit is the unit in which the tension was ordered.
func (t Tension) Unit() Unit { return t.unit }

// Value is the number in the tension's own unit.
func (t Tension) Value() float64 { return float64(t.millionths) / micro }

// Newtons is the tension in newtons.
func (t Tension) Newtons() float64 { return t.Value() * t.unit.newtons() }

// In is the number in another unit.
func (t Tension) In(u Unit) float64 {
	if u == t.unit {
		return t.Value()
	}
	return t.Newtons() / u.newtons()
}

// To converts to another unit, rounded to a millionth of it.
func (t Tension) To(u Unit) Tension {
	if u == t.unit {
		return t
	}
	return Tension{int64(math.Round(t.In(u) * micro)), u}
}

// Percent adds a percentage, in the tension's own unit: 10 % on 50 lb is 55 lb.
func (t Tension) Percent(p float64) Tension {
	return Tension{int64(math.Round(float64(t.millionths) * (100 + p) / 100)), t.unit}
}

// Plus adds another tension, converted to t's unit.
func (t Tension) Plus(o Tension) Tension {
	return Tension{t.millionths + o.To(t.unit).millionths, t.unit}
}

// Minus takes another tension off, converted to t's unit; what is left may be below nought.
func (t Tension) Minus(o Tension) Tension {
	return Tension{t.millionths - o.To(t.unit).millionths, t.unit}
}

// Rounded is the nearest multiple of a step, converted to t's unit; at a draw the higher one. The step is above nought.
func (t Tension) Rounded(step Tension) Tension { return t.multiple(step, 0.5) }

// RoundedUp is the least multiple of a step, converted to t's unit, that is not below t. The step is above nought.
func (t Tension) RoundedUp(step Tension) Tension {
	whole := t.multiple(step, 0)
	if whole.millionths < t.millionths {
		return t.multiple(step, 1)
	}
	return whole
}

// multiple is so many whole steps as go into t and a part of a step.
func (t Tension) multiple(step Tension, part float64) Tension {
	s := step.To(t.unit).millionths
	return Tension{int64(math.Floor(float64(t.millionths)/float64(s)+part)) * s, t.unit}
}

// Over is by how many percent t lies above base.
func (t Tension) Over(base Tension) float64 {
	if t.unit == base.unit {
		return float64(t.millionths-base.millionths) / float64(base.millionths) * 100
	}
	return (t.Newtons()/base.Newtons() - 1) * 100
}

// String writes the tension exactly as ordered, "24.5 kg".
func (t Tension) String() string {
	if t.IsZero() {
		return ""
	}
	return trim(t.millionths) + " " + string(t.unit)
}

// Signed is by how much a tension is more or less, as the function of that name has it; nothing for the zero Tension.
func (t Tension) Signed() string {
	switch {
	case t.IsZero():
		return ""
	case t.millionths < 0:
		return "−" + strings.TrimPrefix(t.String(), "-")
	}
	return "+" + t.String()
}

// Short writes the tension for a display, to a tenth of its unit, newtons to the whole one.
func (t Tension) Short() string {
	digits := 1
	if t.unit == N {
		digits = 0
	}
	s := strconv.FormatFloat(t.Value(), 'f', digits, 64)
	if v, err := strconv.ParseFloat(s, 64); err == nil {
		s = strconv.FormatFloat(v, 'f', -1, 64)
	}
	return s + " " + string(t.unit)
}
