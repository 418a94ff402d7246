package mechanics

import "math"

// Figures are what is said of a bed in short.
type Figures struct {
	// Stiffness is that of the crossing nearest to the middle under a load on itself, small deflections.
	Stiffness Stiffness
	// Hz are the lowest frequencies from the lowest up.
	Hz []float64
}

// Figures works them out, with as many frequencies as are asked for.
func (n *Net) Figures(frequencies int) (Figures, error) {
	modes, err := n.Modes(frequencies)
	if err != nil {
		return Figures{}, err
	}
	f := Figures{Stiffness: n.Centre()}
	for _, m := range modes {
		f.Hz = append(f.Hz, m.Hz)
	}
	return f, nil
}

// Assumption is a loss of tension that was not measured, with where it comes from.
type Assumption struct {
	What    string
	Percent float64
	Source  string
}

// LossAfterStringing is the usual loss of tension right after stringing, about 30 %; set Percent to one's own.
func LossAfterStringing() Assumption {
	return Assumption{
		What: "tension lost between the pull and the strung bed", Percent: 30,
		Source: "Cross & Bower, Measurements of string tension in a tennis racket, Sports Engineering (2001)",
	}
}

// Assuming are the figures with the same loss on every string: stiffness goes as the tension and frequencies as its root,
// exactly, at small deflections.
func (f Figures) Assuming(a Assumption) Figures {
	kept := 1 - a.Percent/100
	out := Figures{Stiffness: f.Stiffness * Stiffness(kept)}
	for _, hz := range f.Hz {
		out.Hz = append(out.Hz, hz*math.Sqrt(kept))
	}
	return out
}
