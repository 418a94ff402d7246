package referee

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

// laidAfter is what lies in the frame after so many steps.
func laidAfter(p *plan.Plan, steps int) (mains, crosses []plan.Strand) {
	for _, s := range p.Steps[:steps] {
		for _, op := range s.Ops {
			switch op.Op {
			case plan.Thread:
				mains = append(mains, op.Strand)
			case plan.Weave:
				crosses = append(crosses, op.Strand)
			}
		}
	}
	// M1L before M1R before M2L, C1 before C2.
	slices.SortFunc(mains, func(a, b plan.Strand) int { return strings.Compare(string(a[1:]), string(b[1:])) })
	slices.Sort(crosses)
	return mains, crosses
}

// takenOut is a step in which something breaks and a piece comes out: a clamp comes off when what it grips is slack, and
// until then strands are cut, those that are given in whatever even order frees the clamps.
func takenOut(t testing.TB, p *plan.Plan, k int, mishap plan.Op, strands []plan.Strand) []plan.Step {
	phase := p.Steps[k-1].Phase
	mishap.Op, mishap.Text = plan.Fault, "it went bang"
	table := from(t, p, k)
	var ops []plan.Op
	tried := func(try ...plan.Op) bool {
		next := table.Clone()
		for i := range try {
			next.where.doing = &try[i]
			next.play(&try[i], phase)
			next.boundaries()
		}
		if len(next.found) > 0 {
			return false
		}
		table, ops = next, append(ops, try...)
		return true
	}
	require.True(t, tried(mishap), "%v", mishap)
	out := func(s plan.Strand) bool { return slices.Contains(strands, s) }
	for left := slices.Clone(strands); ; {
		for i, c := range plan.Clamps() {
			stood := table.clamps[i]
			if !stood.on() || !out(table.nameOf(stood.end)) {
				continue
			}
			if off := (plan.Op{Op: plan.Unclamp, Clamp: c}); !tried(off) {
				tried(plan.Op{Op: plan.Inspect, Strand: table.nameOf(stood.end), Hole: table.holeOf(stood.end), Text: "press it"}, off)
			}
		}
		if len(left) == 0 { // a clamp of a rail stays where its strand was cut, and comes off now
			return []plan.Step{{Phase: phase, Ops: ops}}
		}
		i := slices.IndexFunc(left, func(s plan.Strand) bool { return tried(plan.Op{Op: plan.Cut, Strand: s}) })
		require.GreaterOrEqual(t, i, 0, "none of %v can be cut", left)
		left = slices.Delete(left, i, i+1)
	}
}

// firstOf is the place of the first step of a phase.
func firstOf(p *plan.Plan, phase plan.Phase) int {
	return slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Phase == phase })
}

// Wherever a string breaks, it is cut out, and with the mains the crosses; then the frame is as it was before that
// string, and the plan is played from there again.
func TestStringsBreakAnywhere(t *testing.T) {
	broken := map[plan.Piece]int{}
	for _, s := range samples(t) {
		finish := firstOf(s.Plan, plan.PhaseFinish)
		for k := 2; k <= finish; k++ {
			if !sweep.Take(k, 11) {
				continue
			}
			mains, crosses := laidAfter(s.Plan, k)
			piece, begin := plan.PieceMains, firstOf(s.Plan, plan.PhaseMains)
			for range 2 {
				name := fmt.Sprintf("%s, %s break after step %d", s.name, piece, k)
				breaks := plan.Op{Fault: plan.FaultBreak, Where: plan.InBed, Strand: append(slices.Clone(crosses), mains...)[0]}
				if piece == plan.PieceMains {
					breaks.Strand = mains[len(mains)-1]
				}
				between := takenOut(t, s.Plan, k, breaks, slices.Concat(mains, crosses))
				q := spliced(s.Plan, k, between, begin+1)
				require.Equal(t, matter(from(t, s.Plan, begin)), matter(from(t, q, k+1)), name)
				q.Totals.Pulls += pulls(s.Plan, begin, k)
				require.Empty(t, Check(q), name)
				broken[piece]++

				for i, op := range between[0].Ops {
					if op.Op != plan.Fault {
						short := []plan.Step{between[0]}
						short[0].Ops = slices.Delete(slices.Clone(between[0].Ops), i, i+1)
						assert.NotEmpty(t, Check(spliced(q, k, short, k+2)), "%s, %s left away", name, doing(&op))
					}
				}
				if piece = plan.PieceCrosses; s.Terms.Pieces == 1 || len(crosses) == 0 {
					break
				}
				mains, begin = nil, firstOf(s.Plan, plan.PhaseCrosses)
			}
		}
	}
	t.Log(broken)
	assert.Greater(t, broken[plan.PieceMains], sweep.Share(400, 13))
	assert.Greater(t, broken[plan.PieceCrosses], sweep.Share(100, 11))
}

// The first cut comes before the clamps come off. Where it has to be the strand in a clamp, a clamp of a rail stays where it stands
// and comes off next.
func TestTheFirstCutLeavesItsClampOnTheRail(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	between := write(t, p.Terms, "# crosses\nfault weave C2\ncut C2\nunclamp A\nunclamp S\ncut C3\ncut C1", p.Totals).Steps
	q := spliced(p, 12, between, 11)
	q.Totals.Pulls += 2
	assert.Empty(t, Check(q))

	q.Steps[12].Ops = slices.Delete(slices.Clone(q.Steps[12].Ops), 2, 3)
	require.NotEmpty(t, Check(q))
	assert.Equal(t, "step 13: rule 11: A stands at C2 5HL when the step is over, not free", Check(q)[0].String())

	// Where another cut would free it, that one comes first; tension hangs on in what is not cut beside it.
	kinked := func(script string) []Breach {
		between := write(t, p.Terms, "# mains\nfault kink M3R\n"+script, p.Totals).Steps
		q := spliced(p, 8, between, 2)
		q.Totals.Pulls += 6
		return Check(q)
	}
	assert.Empty(t, kinked("cut M1L\ncut M1R\ncut M2R\nunclamp B\ncut M2L\nunclamp A\ncut M3R\ncut M3L"))
	assert.Equal(t, []int{ruleHeld}, rules(kinked("cut M1L\nunclamp A\ncut M1R\ncut M2R\nunclamp B\ncut M2L\ncut M3R\ncut M3L")))
}

// Without a mishap, too, all can be cut out, even twice, and each time with the kind that was cut last.
func TestAllIsCutOutTwice(t *testing.T) {
	p := find(t, samples(t), "around ahead")
	between := write(t, p.Terms, "# mains\ncut M1L\ncut C5\nunclamp A\ncut M1R\ncut M2L\ncut M2R\ncut M3R", p.Totals).Steps
	q := spliced(p, 8, between, 2)
	q = spliced(q, 9+7, between, 9+1)
	q.Totals.Pulls += 2 * pulls(p, 0, 8)
	assert.Empty(t, Check(q))
}

// A cracked frame is freed of all string and comes off.
func TestFramesCrackAnywhere(t *testing.T) {
	for _, s := range samples(t) {
		finish := firstOf(s.Plan, plan.PhaseFinish)
		off := s.Steps[len(s.Steps)-1:]
		for k := 1; k <= finish; k++ {
			name := fmt.Sprintf("%s cracks after step %d", s.name, k)
			mains, crosses := laidAfter(s.Plan, k)
			last := takenOut(t, s.Plan, k, plan.Op{Fault: plan.FaultFrame}, append(mains, crosses...))
			if k == 1 {
				last[0].Phase = plan.PhaseFinish
			}
			q := spliced(s.Plan, k, append(last, off...), len(s.Steps)+1)
			q.Totals = plan.Totals{Pulls: pulls(s.Plan, 0, k), MaxLead: min(1, pulls(s.Plan, 0, k))}
			if s.name[:3] == "fly" && k == 2 {
				q.Totals.MaxLead = from(t, s.Plan, 2).totals.MaxLead
			}
			require.Empty(t, Check(q), name)

			stays := spliced(s.Plan, k, last, len(s.Steps)+1)
			stays.Totals = q.Totals
			require.Equal(t, []int{ruleEnd}, rules(Check(stays)), name)

			on := spliced(s.Plan, k, last, k+1)
			if k < finish {
				on.Totals.Pulls += q.Totals.Pulls
				assert.Contains(t, rules(Check(on)), ruleEnd, name)
			}
		}
	}
}

// An order of cuts is what an independent eye sees of it: the strands that were cut, and those that are left.
type order struct{ cut, left []plan.Strand }

func (o order) of(kind byte) order {
	other := func(s plan.Strand) bool { return s[0] != kind }
	return order{slices.DeleteFunc(slices.Clone(o.cut), other), slices.DeleteFunc(slices.Clone(o.left), other)}
}

// evenMains says whether the last main was cut evenly: the next outwards on its side, and not two ahead of the other
// side while that has any left.
func (o order) evenMains() bool {
	cut, left := map[byte]int{}, map[byte]int{}
	for _, s := range o.cut {
		cut[s[2]]++
	}
	for _, s := range o.left {
		left[s[2]]++
	}
	last := o.cut[len(o.cut)-1]
	side, other := last[2], 'L'+'R'-last[2]
	return int(last[1]-'0') == cut[side] && (left[other] == 0 || cut[side]-cut[other] <= 1)
}

// evenCrosses says whether the crosses that were cut are a block around the middle, with as many left above as below,
// or one more.
func (o order) evenCrosses() bool {
	all := slices.Sorted(slices.Values(slices.Concat(o.cut, o.left)))
	lo, hi := len(all), 0
	for _, s := range o.cut {
		lo, hi = min(lo, slices.Index(all, s)), max(hi, slices.Index(all, s)+1)
	}
	above, below := lo, len(all)-hi
	return hi-lo == len(o.cut) && max(above-below, below-above) <= 1
}

// even says whether the last cut was, mains and crosses alternating as long as there are both.
func (o order) even() bool {
	n := len(o.cut)
	last := o.cut[n-1]
	if n > 1 && o.cut[n-2][0] == last[0] && slices.ContainsFunc(o.left, func(s plan.Strand) bool { return s[0] != last[0] }) {
		return false
	}
	if last[0] == 'M' {
		return o.of('M').evenMains()
	}
	return o.of('C').evenCrosses()
}

// cutAnyHow tries every next cut, and after an even one every cut that can follow. It returns the number of even orders.
func cutAnyHow(t *testing.T, table *Table, o order) int {
	if len(o.left) == 0 {
		return 1
	}
	orders := 0
	for i, s := range o.left {
		next := order{append(slices.Clone(o.cut), s), slices.Delete(slices.Clone(o.left), i, i+1)}
		try := table.Clone()
		try.cut(&plan.Op{Op: plan.Cut, Strand: s})
		require.Equal(t, next.even(), len(try.found) == 0, "%v: %v", next.cut, try.found)
		if next.even() {
			orders += cutAnyHow(t, try, next)
		}
	}
	return orders
}

// Of all orders in which the strands of a frame can be cut, the even ones are let pass and no others.
func TestCutsInAnyOrder(t *testing.T) {
	all := samples(t)
	for _, c := range []struct {
		sample string
		steps  int
		breaks plan.Strand
		orders int
	}{
		{"clamp L head ahead", 7, "M1L", 2 * 2},      // five mains
		{"clamp L head ahead", 8, "M1L", 2 * 2 * 2},  // six
		{"clamp L head ahead", 12, "C1", 2},          // three crosses
		{"clamp L head ahead", 13, "C1", 2 * 2},      // four
		{"clamp L head ahead", 14, "C1", 2 * 2},      // five
		{"clamp L head ahead", 11, "M1L", 8 * 2 * 2}, // six mains and two crosses, either kind first
		{"skip L throat in turn", 15, "M1L", 8 * 4 * 2},
		{"around ahead", 8, "C5", 2 * 2 * 2}, // five mains, one cross
	} {
		p := find(t, all, c.sample)
		table := from(t, p, c.steps)
		table.fault(&plan.Op{Op: plan.Fault, Fault: plan.FaultBreak, Strand: c.breaks, Text: "it went bang"})
		for i := range table.clamps {
			if table.clamps[i].on() {
				table.off(i)
			}
		}
		mains, crosses := laidAfter(p, c.steps)
		if c.breaks[0] == 'C' && p.Terms.Pieces == 2 {
			mains = nil
		}
		assert.Equal(t, c.orders, cutAnyHow(t, table, order{left: append(mains, crosses...)}), "%s after step %d", c.sample, c.steps)
	}
}
