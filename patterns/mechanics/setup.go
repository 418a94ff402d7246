package mechanics

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
	g, err := s.grid()
	if err != nil {
		return nil, nil, err
	}
	n, err := s.on(g, Under{})
	return g, n, err
}

// grid is where the strings lie.
func (s Setup) grid() (*grid.Grid, error) {
	if s.Laid != nil {
		return s.Laid, nil
	}
	return grid.New(s.Frame, s.Measured)
}

// on strings the bed on a grid, with its strings as stiff as something is taken under.
func (s Setup) on(g *grid.Grid, u Under) (*Net, error) {
	main, err := s.Mains.Cord(s.MainsN)
	if err != nil {
		return nil, fmt.Errorf("mains: %w", err)
	}
	cross, err := s.Crosses.Cord(s.CrossesN)
	if err != nil {
		return nil, fmt.Errorf("crosses: %w", err)
	}
	main.EAN, cross.EAN = main.EAN*u.times(s.Mains.Product), cross.EAN*u.times(s.Crosses.Product)
	return New(g, func(strand patterns.Strand) Cord {
		c := main
		if strand.Kind == patterns.Cross {
			c = cross
		}
		c.TensionN += s.BoostN[strand]
		return c
	})
}

// Times is the same bed at so many times its tensions, boosts too.
func (s Setup) Times(factor float64) Setup {
	boosts := make(map[patterns.Strand]float64, len(s.BoostN))
	for strand, n := range s.BoostN {
		boosts[strand] = n * factor
	}
	s.MainsN, s.CrossesN, s.BoostN = s.MainsN*factor, s.CrossesN*factor, boosts
	return s
}

// Choice is one change to a setup and what comes of it.
type Choice struct {
	What string
	Figures
	// Loaded is the stiffness under a ball, crossings free.
	Loaded Stiffness
	// StiffnessPercent, HzPercent and LoadedPercent are the changes of the stiffness, of the lowest frequency and of the
	// stiffness under a ball.
	StiffnessPercent, HzPercent, LoadedPercent float64
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
func Choices(base Setup, ball Ball, others ...*patterns.Frame) ([]Choice, error) {
	first := choice("as it is", base, ball)
	if first.err != nil {
		return nil, first.err
	}
	out := []Choice{first.Choice}
	for _, v := range variants(base, others) {
		c := choice(v.what, v.setup, ball)
		if c.err != nil {
			c.Why = c.err.Error()
		} else {
			c.StiffnessPercent = (float64(c.Stiffness/first.Stiffness) - 1) * 100
			c.LoadedPercent = (float64(c.Loaded/first.Loaded) - 1) * 100
			c.HzPercent = (c.Hz[0]/first.Hz[0] - 1) * 100
		}
		out = append(out, c.Choice)
	}
	return out, nil
}

// tried is a choice, or why it is none.
type tried struct {
	Choice
	err error
}

func choice(what string, s Setup, ball Ball) (c tried) {
	c.What = what
	_, n, err := s.Net()
	if err == nil {
		c.Figures, err = n.Figures(1)
	}
	if err == nil {
		var bent Bent
		bent, err = n.Under(ball, grid.Point{}, Free)
		c.Loaded = bent.Secant
	}
	c.err = err
	return c
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
