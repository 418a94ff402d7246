package strain

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// joint is where the string runs on outside the hoop from one strand to the next and nothing holds it.
type joint struct {
	sides [2]side
	tight int     // the side to which the string moves
	slid  float64 // by how much it moved in the op, mm
	moves bool
}

// side is a strand at one of its ends.
type side struct{ strand, end int }

// share lets the string move round the outside of the hoop from one strand to the next where their tensions stand farther apart
// than the capstan of half a turn holds, until they stand just so far apart; all such places at a time. It says whether it did.
func (y *play) share(most float64, patient bool) (slid bool) {
	var at []*joint
	for i := range y.joints {
		j := &y.joints[i]
		if a, b := y.tension(j.sides[0]), y.tension(j.sides[1]); !j.moves && b > y.holds(j, 1)*a+near*most {
			j.moves, j.tight = true, 1
		} else if !j.moves && a > y.holds(j, 0)*b+near*most {
			j.moves, j.tight = true, 0
		}
		if j.moves {
			at = append(at, j)
		}
	}
	if len(at) == 0 {
		return false
	}
	by := y.slips(at, patient)
	step := y.atMost(at, by, most)
	for k, j := range at {
		mm := step * by[k]
		if j.slid+mm < 0 { // it need not have moved after all
			mm, j.moves = -j.slid, false
		}
		j.slid += mm
		y.feed(j.sides[j.tight].strand, -mm)
		y.feed(j.sides[1-j.tight].strand, mm)
		slid = slid || math.Abs(mm/step)*y.spans[j.sides[1-j.tight].strand].firm > near*most
	}
	return slid
}

// holds is how many times the tension at the one side of a joint may be that at the other before the string moves there: what the
// capstan of half a turn holds, or, where the profiles of the strands stand farther apart than that, as much as makes the
// strands as a whole alike. For friction only takes: string never moves to the strand that is the less tight as a whole.
func (y *play) holds(j *joint, tight int) float64 {
	hi, lo := j.sides[tight], j.sides[1-tight]
	return math.Max(y.half, y.spans[hi.strand].profile[hi.end]/y.spans[lo.strand].profile[lo.end])
}

// atMost is the share of the slips found that takes no more than half of what any strand has, and gives it no more than a quarter
// of the largest tension: farther off the slopes at hand say nothing.
func (y *play) atMost(at []*joint, by []float64, most float64) float64 {
	step := 1.0
	for i := range y.spans {
		s := &y.spans[i]
		if s.at < 0 || s.t <= near*most {
			continue
		}
		change := 0.0
		for k, j := range at {
			change += by[k] * (y.answer(j.sides[1-j.tight].strand)[i] - y.answer(j.sides[j.tight].strand)[i])
		}
		if change < -s.t/2 {
			step = math.Min(step, -s.t/2/change)
		}
		if change > most/4 {
			step = math.Min(step, most/4/change)
		}
	}
	return math.Max(step, 1e-3)
}

// tension is that of a strand at an end; below nought for one that is slack, by as much as its slack would be worth.
func (y *play) tension(s side) float64 {
	x := &y.spans[s.strand]
	t := x.t
	if !x.fixed && t == 0 && x.at >= 0 {
		t = -y.system.w[x.at] * x.firm
	}
	return t * x.profile[s.end]
}

// slips are the lengths that have to move at some joints for each to stand at the edge of what holds.
func (y *play) slips(at []*joint, patient bool) []float64 {
	n := len(at)
	jac, r := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	for k, j := range at {
		hi, lo, holds := j.sides[j.tight], j.sides[1-j.tight], y.holds(j, j.tight)
		r.SetVec(k, y.tension(hi)-holds*y.tension(lo))
		for l, other := range at {
			give, take := y.answer(other.sides[other.tight].strand), y.answer(other.sides[1-other.tight].strand)
			of := func(s side) float64 { return y.spans[s.strand].profile[s.end] * (give[s.strand] - take[s.strand]) }
			jac.Set(k, l, of(hi)-holds*of(lo))
		}
	}
	var lu mat.LU
	if !patient {
		lu.Factorize(jac)
	}
	if patient || lu.Cond() > vague {
		return patiently(at, jac, r)
	}
	var by mat.VecDense
	if err := lu.SolveVecTo(&by, false, r); err != nil {
		return make([]float64, n)
	}
	return by.RawVector().Data
}

// vague is the condition from which on slips found in one go may be of any size: where a whole line of strands is slack in between, any
// of them can take what another gives.
const vague = 1e10

// patiently finds the slips one joint after the other, over and over, none of them back beyond where it began (projected Gauss and
// Seidel): slower, but it does not go round in circles over which joints move.
func patiently(at []*joint, jac *mat.Dense, r *mat.VecDense) []float64 {
	by := make([]float64, len(at))
	rows, want := jac.RawMatrix(), r.RawVector().Data
	for range 400 {
		most, moved := 0.0, 0.0
		for k, j := range at {
			row := rows.Data[k*rows.Stride : k*rows.Stride+len(at)]
			if row[k] <= 0 {
				continue
			}
			left := want[k]
			for l, v := range row {
				left -= v * by[l]
			}
			next := math.Max(by[k]+left/row[k], -j.slid)
			most, moved = math.Max(most, math.Abs(next)), math.Max(moved, math.Abs(next-by[k]))
			by[k] = next
		}
		if moved <= 1e-9*most {
			break
		}
	}
	return by
}

// answers are by how much the tension of every strand changes with the length of one, as far as they were asked for since the
// contact problem was last factored.
type answers struct {
	of       [][]float64 // by strand
	factored int
	known    []bool
	x        []float64
}

func (y *play) answer(strand int) []float64 {
	a, s := &y.answers, &y.system
	if a.of == nil {
		a.of, a.known = make([][]float64, len(y.spans)), make([]bool, len(y.spans))
		for i := range a.of {
			a.of[i] = make([]float64, len(y.spans))
		}
	}
	if f := s.contact.Factored(); f != a.factored {
		a.factored = f
		clear(a.known)
	}
	out := a.of[strand]
	if a.known[strand] {
		return out
	}
	a.known[strand] = true
	clear(out)
	at := y.spans[strand].at
	if at < 0 {
		return out
	}
	a.x = slices.Grow(a.x[:0], len(s.of))[:len(s.of)]
	if s.contact.Respond(at, a.x); !y.spans[strand].on {
		a.x[at] = y.spans[strand].firm
	}
	for k, u := range s.of {
		if u.strand >= 0 {
			out[u.strand] = a.x[k]
		}
	}
	return out
}

// feed makes a strand shorter, with friction; the gripper makes up for it where it pulls.
func (y *play) feed(strand int, mm float64) {
	if s := &y.spans[strand]; s.fixed {
		s.before.moved[toFriction] += mm
		return
	}
	y.let(strand, toFriction, mm)
}
