package plan

import "math"

// Load is what the strings that are tensioned when a step is over pull at the frame with, in newtons: the mains of each
// side along the racket, the crosses across it.
type Load struct{ Left, Right, Crosses float64 }

// Loads are what a plan's order of pulls asks of the frame, so that techniques can be compared.
type Loads struct {
	// PeakSideNewtons is the most by which the mains of one side pull harder than those of the other, PeakSide that
	// side, "L" or "R", and PeakSideStep the first step that ends so.
	PeakSideNewtons float64 `json:"peak_side_newtons"`
	PeakSide        string  `json:"peak_side"`
	PeakSideStep    int     `json:"peak_side_step"`
	// MainsAloneNewtons is the most that the mains press head and throat together with while no cross is pulled, and
	// MainsAloneSteps the number of steps that end with tensioned mains and no tensioned cross.
	MainsAloneNewtons float64 `json:"mains_alone_newtons"`
	MainsAloneSteps   int     `json:"mains_alone_steps"`
}

// SideLoads are the loads when each step is over.
func (p *Plan) SideLoads() []Load {
	out := make([]Load, len(p.Steps))
	r := NewRacket(&p.Terms)
	for i := range p.Steps {
		r.ApplyAll(p.Steps[i].Ops)
		out[i] = r.Load()
	}
	return out
}

// SumLoads are the peaks of the loads when each step is over.
func SumLoads(each []Load) Loads {
	var out Loads
	for i, l := range each {
		// A hair more does not count: sums of the same pulls in another order differ by rounding.
		if d := l.Left - l.Right; math.Abs(d) > out.PeakSideNewtons+1e-6 {
			out.PeakSideNewtons, out.PeakSideStep = math.Abs(d), i+1
			out.PeakSide = "L"
			if d < 0 {
				out.PeakSide = "R"
			}
		}
		if mains := l.Left + l.Right; mains > 0 && l.Crosses == 0 {
			out.MainsAloneNewtons = max(out.MainsAloneNewtons, mains)
			out.MainsAloneSteps++
		}
	}
	return out
}

// Load is what the strands that are tight pull at the frame with, each with the tension of its last pull.
func (r *Racket) Load() (out Load) {
	for i := range r.spans {
		switch s := &r.spans[i]; {
		case !s.Tight:
		case i >= r.mains:
			out.Crosses += s.Newtons
		case s.Strand[len(s.Strand)-1] == 'L':
			out.Left += s.Newtons
		default:
			out.Right += s.Newtons
		}
	}
	return out
}
