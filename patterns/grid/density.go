package grid

import (
	"fmt"
	"math"
	"slices"

	"pullcard/patterns"
	"pullcard/patterns/measure"
)

// uniform is how much wider, as a share, the centre's spacing may be than an edge's before it counts as less dense;
// an edge's third holds a hole or two that the order of the holes has moved. This program's own choice.
const uniform = 0.05

// Density is the mean spacing of one kind of strand in the middle third of the bed and in the denser of its outer
// thirds, in mm, measured across the middle of the pattern.
type Density struct{ CentreMM, EdgeMM float64 }

// LessInCentre says whether the centre is less dense than an edge, which the rules of the sports forbid.
// Source: ITF Rules of Tennis, Appendix II; BWF Laws of Badminton, Law 4: "not less dense in the centre".
func (d Density) LessInCentre() bool { return d.CentreMM > d.EdgeMM*(1+uniform) }

// Density is the spacing of mains and crosses.
func (g *Grid) Density() (mains, crosses Density) {
	var x, y []float64
	for _, l := range g.Columns {
		p, q := l.Ends[0], l.Ends[1]
		x = append(x, p.X+(q.X-p.X)*(g.Middle.Y-p.Y)/(q.Y-p.Y))
	}
	for _, l := range g.Rows {
		p, q := l.Ends[0], l.Ends[1]
		y = append(y, p.Y+(q.Y-p.Y)*(g.Middle.X-p.X)/(q.X-p.X))
	}
	return density(x), density(y)
}

func density(at []float64) Density {
	slices.Sort(at)
	n := len(at) - 1 // spacings
	if n < 3 {
		d := 0.0
		if n > 0 {
			d = (at[n] - at[0]) / float64(n)
		}
		return Density{d, d}
	}
	third := n / 3
	mean := func(from, to int) float64 { return (at[to] - at[from]) / float64(to-from) }
	return Density{mean(third, n-third), min(mean(0, third), mean(n-third, n))}
}

// AreaCM2 is the area inside the hoop in square centimetres.
func (g *Grid) AreaCM2() float64 { return g.Frame.Hoop.AreaCM2() }

// AreaIn2 is the same in square inches.
func (g *Grid) AreaIn2() float64 {
	return g.AreaCM2() * 100 / (measure.MillimetresPerIn * measure.MillimetresPerIn)
}

// Illegal says where the centre is less dense than an edge, which the rules of tennis and badminton forbid. Only gaps
// between strands of which both ends were measured count, and the pitch that was measured in the middle: what was fitted to
// them is this program's guess.
// Source: ITF Rules of Tennis, Appendix II; BWF Laws of Badminton, Law 4.
func (g *Grid) Illegal() []string {
	var out []string
	if s := g.Frame.Sport; s != patterns.Tennis && s != patterns.Badminton {
		return nil
	}
	say := func(what string, d Density, ok bool) {
		if ok && d.LessInCentre() {
			out = append(out, fmt.Sprintf("the %s lie less densely in the centre, %.1f mm apart, than at an edge, %.1f mm", what, d.CentreMM, d.EdgeMM))
		}
	}
	x := func(l Line) float64 { p, q := l.Ends[0], l.Ends[1]; return p.X + (q.X-p.X)*(g.Middle.Y-p.Y)/(q.Y-p.Y) }
	y := func(l Line) float64 { p, q := l.Ends[0], l.Ends[1]; return p.Y + (q.Y-p.Y)*(g.Middle.X-p.X)/(q.X-p.X) }
	mains, ok := g.measuredDensity(g.Frame.Columns(), g.Columns, x, g.pitches.MainPitchMM)
	say("mains", mains, ok)
	crosses, ok := g.measuredDensity(g.Frame.Crosses, g.Rows, y, g.pitches.CrossPitchMM)
	say("crosses", crosses, ok)
	return out
}

// measuredDensity is the density by measured gaps alone, those of the middle third and of the denser outer third; ok is false
// where one of them was not measured.
func (g *Grid) measuredDensity(chords []patterns.Chord, lines []Line, at func(Line) float64, pitchMM float64) (d Density, ok bool) {
	n := len(lines) - 1
	third := n / 3
	mean := func(from, to int) float64 {
		sum, count := 0.0, 0
		for i := from; i < to; i++ {
			if a, b := chords[i].Ends, chords[i+1].Ends; g.measured[a[0]] && g.measured[a[1]] && g.measured[b[0]] && g.measured[b[1]] {
				sum, count = sum+math.Abs(at(lines[i+1])-at(lines[i])), count+1
			}
		}
		if count == 0 {
			return math.Inf(1)
		}
		return sum / float64(count)
	}
	d = Density{mean(third, n-third), min(mean(0, third), mean(n-third, n))}
	if math.IsInf(d.CentreMM, 1) && pitchMM > 0 {
		d.CentreMM = pitchMM
	}
	return d, n >= 3 && !math.IsInf(d.CentreMM, 1) && !math.IsInf(d.EdgeMM, 1)
}
