package grid

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/optimize"

	"pullcard/patterns"
)

// What an even grid is. These are this program's own choices, not published values.
const (
	// easyGap is the gap, as a share of the mean one, below which holes push each other aside.
	easyGap = 0.5
	// stiffness weighs departures from the even grid, in pitches squared, against the evenness of the holes.
	stiffness = 30.0
	// leastSpread and mostSpread bound how far strings may draw together or spread towards the hoop: the outermost gap is
	// then a quarter of the middle's or some five times as wide.
	leastSpread, mostSpread = -0.2, 1.2
	// pinned is the weight of a measured hole against one that may move.
	pinned = 1e6
)

// pose is a grid: pitches of mains and crosses in the middle, by how much they spread towards the hoop, and where the
// pattern's middle lies.
type pose struct{ main, cross, spreadMain, spreadCross, x, y float64 }

// spread is where a strand lies that is u pitches from the middle of its kind's, of which the outermost is most away, when
// they spread towards the hoop. Its share grows with the cube: a pitch that was measured over the middle third holds there as a
// mean. The cube is this program's own choice: frames open up towards the hoop, the more the nearer.
func spread(u, most, share float64) float64 {
	if most == 0 {
		return u
	}
	v := math.Abs(u) / most
	return u * (1 + share*v*v*v) / (1 + share/27)
}

// columnAt and rowAt are where the i-th main and the j-th cross lie in a pose, in mm.
func (t *fit) columnAt(p pose, i int) float64 {
	c := t.columns
	middle, most := (c[0]+c[len(c)-1])/2, (c[len(c)-1]-c[0])/2
	return p.x + p.main*(middle+spread(c[i]-middle, most, p.spreadMain))
}

func (t *fit) rowAt(p pose, j int) float64 {
	return p.y + p.cross*spread(t.rows[j], t.rows[0], p.spreadCross)
}

// fit seeks the most even grid whose hole order along the rim is the layout's. Columns and rows are even; where their
// ends on the rim come too near each other or in the wrong order, or a main and a cross share a hole, the holes move by
// the least squares of pitches. Of all poses it takes the one whose holes are spread most evenly, by the entropy
// of their gaps, less the price of the departures.
// Source, from memory: Shannon's entropy as a measure of evenness, Pielou (1966).
type fit struct {
	shape    *Shape
	measured Measured
	chain    *chain
	columns  []float64 // in pitches from the middle
	rows     []float64 // in pitches from the middle, the head's first
	pose     pose

	column, row         []end
	wish, weight, place []float64
}

// end is where a strand of the even grid meets the rim: the length from the head, and how fast the strand moves
// sideways with it, in pitches.
type end struct{ along, pace float64 }

func newFit(f *patterns.Frame, s *Shape, m Measured) *fit {
	t := &fit{shape: s, measured: m, chain: newChain(f, m)}
	left, all := len(f.Mains[patterns.Left]), len(f.Mains[patterns.Left])+len(f.Mains[patterns.Right])
	for i := range all {
		t.columns = append(t.columns, float64(i-left)+0.5)
	}
	for j := range f.Crosses {
		t.rows = append(t.rows, float64(len(f.Crosses)-1)/2-float64(j))
	}
	t.column, t.row = make([]end, all), make([]end, len(f.Crosses))
	n := len(t.chain.slots)
	t.wish, t.weight, t.place = make([]float64, n), make([]float64, n), make([]float64, n)
	t.chain.reserve(easyGap * t.meanGap(f.Total()))
	return t
}

func (t *fit) meanGap(holes int) float64 { return 4 * t.shape.quarter() / float64(holes) }

// solve finds the best pose, with strands at even distances or, where they may spread, towards the hoop. It fails only when no
// pose has all strands inside the hoop, which measured pitches can bring about.
func (t *fit) solve(spreading bool) error {
	free, spread := t.free()
	if spreading {
		free = append(free, spread...)
	}
	start := t.start()
	move := func(v []float64) pose {
		p := start
		for i, k := range free {
			switch k {
			case mainPitch:
				p.main *= 1 + v[i]
			case crossPitch:
				p.cross *= 1 + v[i]
			case mainSpread:
				p.spreadMain = 8 * v[i]
			case crossSpread:
				p.spreadCross = 8 * v[i]
			case alongRacket:
				p.y += v[i] * start.cross * 4
			case acrossRacket:
				p.x += v[i] * start.main * 4
			}
		}
		return p
	}
	problem := optimize.Problem{Func: func(v []float64) float64 { return -t.score(move(v)) }}
	settings := &optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-7, Iterations: max(10, 12*(len(free)-2))}, FuncEvaluations: 4000}
	best := make([]float64, len(free))
	// The second run starts afresh where the first has stopped: a simplex may collapse early against a wall.
	for _, size := range []float64{0.08, 0.02} {
		if len(free) == 0 {
			break
		}
		result, err := optimize.Minimize(problem, best, settings, &optimize.NelderMead{SimplexSize: size})
		if err != nil {
			return fmt.Errorf("seek the most even grid: %w", err)
		}
		best = result.X
	}
	t.pose = move(best)
	if t.score(t.pose) <= outside {
		return fmt.Errorf("the measured pitches of %.1f mm and %.1f mm leave strands outside the hoop; measure them again", t.pose.main, t.pose.cross)
	}
	return nil
}

// freedom is something about a pose that may change.
type freedom int

const (
	mainPitch freedom = iota
	crossPitch
	mainSpread
	crossSpread
	alongRacket
	acrossRacket
)

// start is a pose that leaves a margin of a pitch or two all round.
func (t *fit) start() pose {
	p := pose{main: 2 * t.shape.a / float64(len(t.columns)+4), cross: 2 * t.shape.b / float64(len(t.rows)+3)}
	p.x = -p.main * (t.columns[0] + t.columns[len(t.columns)-1]) / 2
	if t.measured.MainPitchMM > 0 {
		p.main = t.measured.MainPitchMM
	}
	if t.measured.CrossPitchMM > 0 {
		p.cross = t.measured.CrossPitchMM
	}
	return p
}

// free lists what may change: the pitches unless they were measured in the middle, how strands spread where something was measured, the place along the racket where head and throat
// differ, and the place across where the sides do.
func (t *fit) free() (free, spread []freedom) {
	for _, kind := range []struct {
		measuredMM    float64
		pitch, spread freedom
	}{{t.measured.MainPitchMM, mainPitch, mainSpread}, {t.measured.CrossPitchMM, crossPitch, crossSpread}} {
		if kind.measuredMM <= 0 {
			free = append(free, kind.pitch)
		}
		if kind.measuredMM > 0 || len(t.measured.Along) > 0 {
			spread = append(spread, kind.spread)
		}
	}
	if !t.chain.level {
		free = append(free, alongRacket)
	}
	if !t.chain.mirror {
		free = append(free, acrossRacket)
	}
	return free, spread
}

// outside is the score of a pose whose strands do not lie well inside the hoop.
const outside = -1e6

// score is how even a pose is, and leaves the holes' places in t.place.
func (t *fit) score(p pose) float64 {
	if !t.meet(p) {
		return outside
	}
	t.wishes()
	half := 2 * t.shape.quarter()
	lo, hi := -half, half
	if t.chain.mirror && len(t.measured.Along) == 0 {
		margin := easyGap * half / float64(len(t.chain.slots)) / 2
		lo, hi = margin, half-margin
	}
	t.chain.spread(t.wish, t.weight, t.place, lo, hi)
	return t.entropy() - stiffness*t.departed()
}

// meet finds where the strands of a pose meet the rim; false when one lies less than half a pitch inside the hoop.
func (t *fit) meet(p pose) bool {
	if p.main <= 0 || p.cross <= 0 || min(p.spreadMain, p.spreadCross) < leastSpread || max(p.spreadMain, p.spreadCross) > mostSpread {
		return false
	}
	for i, c := range t.columns {
		if t.chain.mirror && c > 0 {
			break
		}
		x := t.columnAt(p, i)
		if math.Abs(x) > t.shape.a-p.main/2 {
			return false
		}
		e := t.shape.column(x)
		t.column[i] = end{-math.Copysign(e.along, x), e.pace / p.main}
	}
	for j := range t.rows {
		y := t.rowAt(p, j)
		if math.Abs(y) > t.shape.b-p.cross/2 {
			return false
		}
		e := t.shape.row(y)
		t.row[j] = end{e.along, e.pace / p.cross}
	}
	return true
}

// ends are where the even grid would have a hole's main and cross on the rim.
func (t *fit) ends(s *slot) (main, cross end) {
	half := 2 * t.shape.quarter()
	if s.main >= 0 {
		main = t.column[s.main]
		if s.end == patterns.Throat {
			main.along = math.Copysign(half, main.along) - main.along
			// A main beyond the centre line still has its throat hole on its own side.
			if s.hole.Side == patterns.Left && main.along < 0 {
				main.along += 2 * half
			} else if s.hole.Side == patterns.Right && main.along > 0 {
				main.along -= 2 * half
			}
		}
	}
	if s.cross >= 0 {
		cross = t.row[s.cross]
		if s.hole.Side == patterns.Right {
			cross.along = -cross.along
		}
	}
	return main, cross
}

func (t *fit) wishes() {
	for i := range t.chain.slots {
		s := &t.chain.slots[i]
		if s.fixed {
			t.wish[i], t.weight[i] = s.at, pinned
			continue
		}
		m, c := t.ends(s)
		u, v := m.pace*m.pace, c.pace*c.pace
		t.weight[i] = u + v
		t.wish[i] = (m.along*u + c.along*v) / (u + v)
	}
}

// departed is the sum of squares by which the holes pull strands off the even grid, in pitches.
func (t *fit) departed() (sum float64) {
	for i := range t.chain.slots {
		s := &t.chain.slots[i]
		m, c := t.ends(s)
		u, v := (t.place[i]-m.along)*m.pace, (t.place[i]-c.along)*c.pace
		sum += u*u + v*v
	}
	return sum
}

// entropy is Shannon's entropy of the gaps along the chain in units of the mean gap, without its constant part.
func (t *fit) entropy() (sum float64) {
	mean := t.meanGap(len(t.place))
	term := func(gap float64) float64 {
		g := max(gap/mean, 1e-9)
		return -g * math.Log(g)
	}
	first, last := t.place[0], t.place[len(t.place)-1]
	half := 2 * t.shape.quarter()
	if t.chain.mirror {
		mean /= 2
		sum = (term(2*first) + term(2*(half-last))) / 2
	} else {
		sum = term(2*half - last + first)
	}
	for i := 1; i < len(t.place); i++ {
		sum += term(t.place[i] - t.place[i-1])
	}
	return sum
}
