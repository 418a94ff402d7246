package calc

import (
	"fmt"
	"math"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
	"pullcard/patterns/mechanics"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// frequencies is how many of the lowest ones are worked out.
const frequencies = 5

// Strung is a bed at the ordered tensions, boosts included and without losses.
type Strung struct {
	Grid    *grid.Grid
	Net     *mechanics.Net
	Setup   mechanics.Setup
	Figures mechanics.Figures
	// Assumed says which string was taken because the job does not tell it; then the frequencies rest on an assumption.
	// It is empty where the mass of the string follows from the job.
	Assumed string
}

// Ordered is the work at other tensions than its own, by the plan made for them.
func (w Work) Ordered(mains, crosses measure.Tension) (Work, error) {
	job := *w.Job
	job.Mains, job.Crosses = mains, crosses
	p, err := job.Plan(w.Frame, w.Technique)
	return Work{Frame: w.Frame, Technique: w.Technique, Job: &job, Plan: p}, err
}

// At strings the work's bed at other tensions than its own. The errors are those of Strung and of the planner.
func (w Work) At(mains, crosses measure.Tension) (*Strung, error) {
	w, err := w.Ordered(mains, crosses)
	if err != nil {
		return nil, err
	}
	return w.Strung()
}

// Setups give the work's bed at any tensions, boosts included and without losses. The error is a source.Problems for a hoop
// that is missing or impossible.
func (w Work) Setups() (func(mains, crosses measure.Tension) (mechanics.Setup, error), error) {
	g, problems := sequence.Grid(w.Frame)
	if problems != nil {
		return nil, problems
	}
	return func(mains, crosses measure.Tension) (mechanics.Setup, error) {
		at, err := w.Ordered(mains, crosses)
		if err != nil {
			return mechanics.Setup{}, err
		}
		return at.setup(g), nil
	}, nil
}

// Strung strings the work's bed. The error is a source.Problems for a hoop that is missing or impossible.
func (w Work) Strung() (*Strung, error) {
	g, problems := sequence.Grid(w.Frame)
	if problems != nil {
		return nil, problems
	}
	s := &Strung{Grid: g, Setup: w.setup(g), Assumed: w.assumed()}
	var err error
	if _, s.Net, err = s.Setup.Net(); err != nil {
		return nil, fmt.Errorf("string the bed: %w", err)
	}
	if s.Figures, err = s.Net.Figures(frequencies); err != nil {
		return nil, fmt.Errorf("string the bed: %w", err)
	}
	return s, nil
}

func (w Work) setup(g *grid.Grid) mechanics.Setup {
	return mechanics.Setup{
		Frame: w.Frame, Measured: w.Frame.Measured,
		Mains: yarn(w.Job.StringMains, w.Frame.Sport), Crosses: yarn(w.Job.StringCrosses, w.Frame.Sport),
		MainsN: w.Job.Mains.Newtons(), CrossesN: w.Job.Crosses.Newtons(), BoostN: w.boosts(), Laid: g,
	}
}

// boosts are what the last pull of a strand has above what was ordered for its kind.
func (w Work) boosts() map[patterns.Strand]float64 {
	last := w.last()
	out := map[patterns.Strand]float64{}
	for _, c := range append(w.Frame.Columns(), w.Frame.Crosses...) {
		ordered := w.Job.Mains.Newtons()
		if c.Kind == patterns.Cross {
			ordered = w.Job.Crosses.Newtons()
		}
		if o := last[plan.Strand(c.Strand.String())]; o != nil && math.Abs(o.Newtons-ordered) > 1e-9 {
			out[c.Strand] = o.Newtons - ordered
		}
	}
	return out
}

// usual is a common string of a sport, taken where the job does not tell: common practice of the trade.
func usual(s patterns.Sport) mechanics.Yarn {
	switch s {
	case patterns.Badminton:
		return mechanics.Yarn{Product: mechanics.Product{Material: mechanics.Nylon}, DiameterMM: 0.68}
	case patterns.Squash:
		return mechanics.Yarn{Product: mechanics.Product{Material: mechanics.Nylon}, DiameterMM: 1.15}
	case patterns.Racquetball:
		return mechanics.Yarn{Product: mechanics.Product{Material: mechanics.Nylon}, DiameterMM: 1.25}
	}
	return mechanics.Yarn{Product: mechanics.Product{Material: mechanics.Polyester}, DiameterMM: 1.25}
}

// yarn is a product of the job; what it does not tell is that of a usual string.
func yarn(s sequence.String, sport patterns.Sport) mechanics.Yarn {
	y := mechanics.Yarn{Product: mechanics.Product{Name: s.Name, Material: mechanics.Material(s.Material)}, DiameterMM: s.DiameterMM, MassGPM: s.GramsPerMetre}
	u := usual(sport)
	if y.Material == "" {
		y.Material = u.Material
	}
	if y.DiameterMM == 0 {
		y.DiameterMM = u.DiameterMM
	}
	return y
}

// assumed says which strings' mass does not follow from the job, and what was taken.
func (w Work) assumed() string {
	say := func(s sequence.String) string {
		if s.GramsPerMetre > 0 || s.Material != "" && s.DiameterMM > 0 {
			return ""
		}
		y := yarn(s, w.Frame.Sport)
		return fmt.Sprintf("%s of %g mm", y.Material, y.DiameterMM)
	}
	mains, crosses := say(w.Job.StringMains), say(w.Job.StringCrosses)
	var out []string
	if mains != "" {
		out = append(out, "mains "+mains)
	}
	if crosses != "" {
		out = append(out, "crosses "+crosses)
	}
	return strings.Join(out, ", ")
}
