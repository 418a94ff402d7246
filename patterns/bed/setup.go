package bed

import (
	"fmt"
	"math"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
)

// Setup is a whole bed: a frame, its two kinds of string and what they are pulled at.
type Setup struct {
	Frame          *patterns.Frame
	Measured       grid.Measured
	Mains, Crosses Yarn
	// MainsN and CrossesN are the tensions in newtons.
	MainsN, CrossesN float64
	// BoostN are the newtons that single strands were pulled at above their kind.
	BoostN map[patterns.Strand]float64
	// Laid is where the strings lie; nil is worked out from the frame and what was measured.
	Laid *grid.Grid
}

// Net strings the bed.
func (s Setup) Net() (*grid.Grid, *Net, error) {
	g := s.Laid
	if g == nil {
		var err error
		if g, err = grid.New(s.Frame, s.Measured); err != nil {
			return nil, nil, err
		}
	}
	main, err := s.Mains.Cord(s.MainsN)
	if err != nil {
		return nil, nil, fmt.Errorf("mains: %w", err)
	}
	cross, err := s.Crosses.Cord(s.CrossesN)
	if err != nil {
		return nil, nil, fmt.Errorf("crosses: %w", err)
	}
	n, err := New(g, func(strand patterns.Strand) Cord {
		c := main
		if strand.Kind == patterns.Cross {
			c = cross
		}
		c.TensionN += s.BoostN[strand]
		return c
	})
	return g, n, err
}

// Choice is one change to a setup and what comes of it.
type Choice struct {
	What string
	Figures
	// StiffnessPercent and HzPercent are the changes of the stiffness and of the lowest frequency.
	StiffnessPercent, HzPercent float64
	// Why says why the choice is none, such as a hoop on which a pattern does not fit; empty otherwise.
	Why string
}

// The steps by which Choices changes a bed.
const (
	stepKgf     = 1.0
	stepGaugeMM = 0.05
	stepArea    = 0.05
)

// Choices is the table of what each choice does, the bed as it is first: the tension a kilogram-force more and
// less, the crosses' alone, a thicker and a thinner string, a larger and a smaller hoop of the same shape, and
// the patterns of other frames on this hoop, without boosts, which belong to the pattern's knots. It fails only when the bed itself cannot be.
func Choices(base Setup, others ...*patterns.Frame) ([]Choice, error) {
	g, n, err := base.Net()
	if err != nil {
		return nil, err
	}
	base.Laid = g
	figures, err := n.Figures(1)
	if err != nil {
		return nil, err
	}
	out := []Choice{{What: "as it is", Figures: figures}}
	for _, v := range variants(base, others) {
		c := Choice{What: v.what}
		if _, n, err := v.setup.Net(); err != nil {
			c.Why = err.Error()
		} else if c.Figures, err = n.Figures(1); err != nil {
			c.Why = err.Error()
		} else {
			c.StiffnessPercent = (float64(c.Stiffness/figures.Stiffness) - 1) * 100
			c.HzPercent = (c.Hz[0]/figures.Hz[0] - 1) * 100
		}
		out = append(out, c)
	}
	return out, nil
}

type variant struct {
	what  string
	setup Setup
}

func variants(base Setup, others []*patterns.Frame) []variant {
	var out []variant
	add := func(what string, change func(*Setup)) {
		s := base
		change(&s)
		out = append(out, variant{what, s})
	}
	const step = stepKgf * measure.NewtonsPerKgf
	add("tension + 1 kg", func(s *Setup) { s.MainsN, s.CrossesN = s.MainsN+step, s.CrossesN+step })
	add("tension - 1 kg", func(s *Setup) { s.MainsN, s.CrossesN = s.MainsN-step, s.CrossesN-step })
	add("crosses - 1 kg", func(s *Setup) { s.CrossesN -= step })
	add("gauge + 0.05 mm", func(s *Setup) { s.Mains, s.Crosses = s.Mains.Thicker(stepGaugeMM), s.Crosses.Thicker(stepGaugeMM) })
	add("gauge - 0.05 mm", func(s *Setup) { s.Mains, s.Crosses = s.Mains.Thicker(-stepGaugeMM), s.Crosses.Thicker(-stepGaugeMM) })
	add("hoop 5 % larger", func(s *Setup) { s.resize(math.Sqrt(1 + stepArea)) })
	add("hoop 5 % smaller", func(s *Setup) { s.resize(math.Sqrt(1 - stepArea)) })
	for _, f := range others {
		add(fmt.Sprintf("pattern %d × %d of %s", len(f.Columns()), len(f.Crosses), f.Name), func(s *Setup) {
			other := *f
			other.Hoop = s.Frame.Hoop
			s.Frame, s.BoostN, s.Measured, s.Laid = &other, nil, grid.Measured{}, nil
		})
	}
	return out
}

// resize makes the hoop larger by a factor, and measured pitches with it; measured places no longer hold.
func (s *Setup) resize(factor float64) {
	s.Measured = grid.Measured{MainPitchMM: s.Measured.MainPitchMM * factor, CrossPitchMM: s.Measured.CrossPitchMM * factor}
	frame, hoop := *s.Frame, *s.Frame.Hoop
	hoop.LengthMM, hoop.WidthMM = hoop.LengthMM*factor, hoop.WidthMM*factor
	frame.Hoop, s.Frame, s.Laid = &hoop, &frame, nil
}

// Feel is the tension that gives another frame the feel of a bed, by a rule of thumb and by the net.
type Feel struct {
	// Wanted is the stiffness to be met.
	Wanted Stiffness
	// ByLength keeps tension over length, the length being the root of the hoop's area.
	// Source: Brody (1987): stiffness goes as tension over length, for the same feel keep T/L. The root of the area as the
	// length: Cross, Measuring String Tension (2006).
	ByLength Pair
	// ByNet makes the net as stiff in the middle.
	ByNet Pair
	// Reached is the stiffness at ByLength, which shows how far the rule of thumb goes.
	Reached Stiffness
}

// Pair are the tensions of mains and crosses in newtons.
type Pair struct{ MainsN, CrossesN float64 }

// SameFeel is how to string another frame with the same strings for the same feel. Boosts are not taken over: they
// belong to the frame's own knots.
func SameFeel(base Setup, other *patterns.Frame) (Feel, error) {
	base.BoostN = nil
	g, n, err := base.Net()
	if err != nil {
		return Feel{}, err
	}
	there := base
	there.Frame, there.Measured, there.Laid = other, other.Measured, nil
	h, m, err := there.Net()
	if err != nil {
		return Feel{}, fmt.Errorf("%s: %w", other.Name, err)
	}
	length := math.Sqrt(h.AreaCM2() / g.AreaCM2())
	net := float64(n.Centre() / m.Centre())
	times := func(f float64) Pair { return Pair{base.MainsN * f, base.CrossesN * f} }
	return Feel{Wanted: n.Centre(), ByLength: times(length), ByNet: times(net), Reached: m.Centre() * Stiffness(length)}, nil
}
