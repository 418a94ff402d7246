package verdict

import (
	"math"

	"pullcard/patterns"
	"pullcard/patterns/measure"
)

// Sizes are by how much the tension moves for each degree, above nought and rising.
type Sizes struct{ ABit, Plainly, Far measure.Tension }

// Steps are a house's sizes for tennis, squash and racquetball; badminton takes half of them. Metric serves jobs that
// are ordered in kg or newtons, Pounds those in lb, so that a player's tensions stay round in their own unit.
type Steps struct{ Metric, Pounds Sizes }

// Usual are the sizes of common practice, without a published source. For "far" practice says 1.5 to 2 kg or 3 to 4 lb;
// the smaller is taken, because a step that is too short costs one more question and one that is too long a restring.
func Usual() Steps {
	return Steps{
		Metric: Sizes{tension("0.5 kg"), tension("1 kg"), tension("1.5 kg")},
		Pounds: Sizes{tension("1 lb"), tension("2 lb"), tension("3 lb")},
	}
}

// tension reads what this package itself wrote.
func tension(text string) measure.Tension {
	t, err := measure.ParseTension(text)
	if err != nil {
		panic("verdict: " + err.Error())
	}
	return t
}

// Size is by how much the tension moves for an answer, none for "right". A job in newtons takes the size in kg, rounded
// to the whole newton, as finer is not set.
func (s Steps) Size(a Answer, sport patterns.Sport, unit measure.Unit) measure.Tension {
	sizes := s.Metric
	if unit == measure.Lb {
		sizes = s.Pounds
	}
	by := map[Degree]measure.Tension{ABit: sizes.ABit, Plainly: sizes.Plainly, Far: sizes.Far}[a.Degree]
	if sport == patterns.Badminton {
		by = half(by)
	}
	if unit == measure.N {
		by = measure.Newtons(math.Round(by.Newtons()))
	}
	return by
}
