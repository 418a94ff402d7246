package verdict

import (
	"fmt"

	"pullcard/patterns/measure"
	"pullcard/patterns/mechanics"
	"pullcard/sequence/calc"
)

// BedOf computes the bed of a job at other tensions than its own, boosts included and without losses: its stiffness under
// a ball of the frame's sport, crossings free, and its lowest frequency, 0 where the job does not tell its string. The
// error is what calc.Work.At says.
func BedOf(w calc.Work) Bed {
	return func(mains, crosses measure.Tension) (stiffness, hz float64, err error) {
		s, err := w.At(mains, crosses)
		if err != nil {
			return 0, 0, fmt.Errorf("bed at %s: %w", used(mains, crosses), err)
		}
		loaded, err := s.Net.Loaded(mechanics.BallOf(w.Frame.Sport))
		if err != nil {
			return 0, 0, fmt.Errorf("bed at %s: %w", used(mains, crosses), err)
		}
		if s.Assumed == "" {
			hz = s.Figures.Hz[0]
		}
		return float64(loaded.Free), hz, nil
	}
}
