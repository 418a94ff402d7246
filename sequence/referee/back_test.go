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

// spliced is a plan of which so many steps are done, then come other steps, then its own from the one given on.
func spliced(p *plan.Plan, done int, between []plan.Step, resume int) *plan.Plan {
	c := *p
	c.Steps = slices.Concat(p.Steps[:done], scrapped(between, p.Steps[resume-1:]), p.Steps[resume-1:])
	for i := range c.Steps {
		c.Steps[i].N = i + 1
	}
	stand(&c)
	return &c
}

// scrapped are the steps of a way back that ends with scraps left in the holes, under runs, of the strands that it takes out and that
// are laid anew later.
func scrapped(between, later []plan.Step) []plan.Step {
	out, holes := map[plan.Strand]bool{}, []plan.Hole(nil)
	for _, s := range between {
		for _, op := range s.Ops {
			switch op.Op {
			case plan.Cut, plan.Unweave, plan.Unthread:
				out[op.Strand] = true
			case plan.Thread, plan.Weave:
				delete(out, op.Strand)
			}
		}
	}
	for _, s := range later {
		for _, op := range s.Ops {
			if does(&op, plan.Thread, plan.Weave) && out[op.Strand] && !slices.ContainsFunc(op.Blocked, func(h plan.Hole) bool { return slices.Contains(op.Covers, h) }) {
				holes = append(holes, op.Blocked...)
			}
		}
	}
	if len(holes) == 0 || out["M1L"] || out["M1R"] { // with the mains their runs are gone
		return between
	}
	between = slices.Clone(between)
	last := &between[len(between)-1]
	last.Ops = append(slices.Clone(last.Ops), plan.Op{Op: plan.Note, Text: plan.LeaveScrap + plan.Holes(holes)})
	return between
}

// trimmedLast is the plan with all tails trimmed in one step, so that every knot before can be opened and tied again.
func trimmedLast(p *plan.Plan) *plan.Plan {
	c := *p
	c.Steps = nil
	last := plan.Step{Phase: plan.PhaseCrosses}
	for _, s := range p.Steps {
		if s.Phase == plan.PhaseFinish && last.N == 0 {
			last.N = 1
			c.Steps = append(c.Steps, last)
		}
		var ops []plan.Op
		for _, op := range s.Ops {
			if op.Op == plan.Trim {
				last.Ops = append(last.Ops, op)
			} else {
				ops = append(ops, op)
			}
		}
		s.Ops = ops
		c.Steps = append(c.Steps, s)
	}
	return spliced(&c, len(c.Steps), nil, len(c.Steps)+1)
}

// backwards are the steps that take a plan's steps back from one to another, each by the opposite of its ops in the
// opposite order: where the gripper eased it takes the string again, where it pulled it slackens.
func backwards(p *plan.Plan, from, to int) []plan.Step {
	var steps []plan.Step
	for i := from - 1; i >= to; i-- {
		var stood map[plan.Clamp]plan.Grip
		var undone []plan.Op
		if stood = map[plan.Clamp]plan.Grip{}; i > 0 {
			for c, g := range p.Steps[i-1].Clamps {
				if g != nil {
					stood[c] = *g
				}
			}
		}
		for k := range p.Steps[i].Ops {
			undone = append(undone, opposite(p.Steps[i].Ops, k, stood)...)
		}
		slices.Reverse(undone)
		for k := range undone {
			if o := &undone[k]; o.Repull && boostedLast(p.Steps[:from], o.Strand, o.Hole) {
				force(o, &p.Terms, true)
			}
		}
		steps = append(steps, plan.Step{Phase: p.Steps[i].Phase, Ops: undone})
	}
	if strand := takenBack(steps); strand != "" {
		steps[0].Ops = slices.Insert(steps[0].Ops, 0, plan.Op{Op: plan.Fault, Fault: plan.FaultLate, Strand: strand, Text: "slipped"})
	}
	// Through the holes that were announced string went since: scraps are left in them anew.
	last := &steps[len(steps)-1]
	last.Ops = append(last.Ops, plan.Op{Op: plan.Note, Text: "leave scraps in 3HL, 3HR, 3TL and 3TR"})
	return steps
}

// boostedLast says whether the last pull that a strand had was boosted, at that hole.
func boostedLast(steps []plan.Step, s plan.Strand, at plan.Hole) (boosted bool) {
	for i := range steps {
		if pull := steps[i].Pull(); pull != nil && pull.Strand == s {
			boosted = pull.BoostPercent > 0 && pull.Hole == at
		}
	}
	return boosted
}

// takenBack is a strand that is let go or drawn out on the way back, empty when only knots and clamps are taken back.
func takenBack(steps []plan.Step) plan.Strand {
	for _, s := range steps {
		for _, op := range s.Ops {
			if does(&op, plan.Slacken, plan.Unthread, plan.Unweave) {
				return op.Strand
			}
		}
	}
	return ""
}

// opposite is what takes the k-th op back; stood says where the clamps stand before it.
func opposite(ops []plan.Op, k int, stood map[plan.Clamp]plan.Grip) []plan.Op {
	op := ops[k]
	switch op.Op {
	case plan.Thread, plan.Weave:
		do := map[plan.OpKind]plan.OpKind{plan.Thread: plan.Unthread, plan.Weave: plan.Unweave}[op.Op]
		return []plan.Op{{Op: do, Strand: op.Strand, From: op.From, To: op.To}}
	case plan.Pull:
		if op.Repull {
			return []plan.Op{{Op: plan.Release}}
		}
		return []plan.Op{{Op: plan.Slacken, Strand: op.Strand, Hole: op.Hole}}
	case plan.Release:
		pull := ops[slices.IndexFunc(ops, func(o plan.Op) bool { return o.Op == plan.Pull })]
		pull.Repull, pull.Also = true, ""
		return []plan.Op{pull}
	case plan.ClampOn:
		stood[op.Clamp] = plan.Grip{Strand: op.Strand, Hole: op.Hole, Outside: op.Outside, With: op.With}
		return []plan.Op{{Op: plan.Unclamp, Clamp: op.Clamp}}
	case plan.Unclamp:
		g := stood[op.Clamp]
		return []plan.Op{{Op: plan.ClampOn, Clamp: op.Clamp, Strand: g.Strand, Hole: g.Hole, Outside: g.Outside, With: g.With}}
	case plan.Tie:
		return []plan.Op{{Op: plan.Untie, Strand: op.Strand, Out: op.Out, Hole: op.Hole}}
	}
	return nil
}

// matter is the table without what only counts and remembers.
func matter(t *Table) *Table {
	c := t.Clone()
	c.totals, c.where, c.strung, c.anew, c.lastCut = plan.Totals{}, where{}, true, false, none
	c.steps, c.phase, c.turn, c.last = 0, 0, 0, none
	c.astray, c.torn, c.ranged, c.walked = false, false, false, nil
	c.pulling.again, c.pulling.outward, c.pulling.also, c.pulling.stood = false, false, none, 0
	for i := range c.holes {
		c.holes[i].told, c.holes[i].scrap, c.holes[i].hidden = false, false, 0
	}
	for i := range c.spans {
		c.spans[i].nth, c.spans[i].turn, c.spans[i].since, c.spans[i].loose = 0, 0, false, false
	}
	for e := range c.ends {
		c.ends[e].felt = false
	}
	return c
}

func from(t testing.TB, p *plan.Plan, steps int) *Table {
	table, breaches := From(&p.Terms, p.Steps[:steps])
	require.Empty(t, breaches)
	return table
}

func pulls(p *plan.Plan, from, to int) (n int) {
	for _, s := range p.Steps[from:to] {
		if pull := s.Pull(); pull != nil && !pull.Repull {
			n++
		}
	}
	return n
}

// The way back leads through the very states of the way forward, however far, and the way forward leads on from there.
func TestTheWayBack(t *testing.T) {
	ways := 0
	for _, s := range samples(t) {
		p := trimmedLast(s.Plan)
		require.Empty(t, Check(p), s.name)
		end := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Phase == plan.PhaseFinish }) - 1
		mirrored := strings.Contains(s.name, " R ") || strings.Contains(s.name, "throat")
		for k := 2; k <= end; k++ {
			for j := 1; j < k; j++ {
				if (mirrored || !sweep.Take(k+j, 3)) && j > 1 && j < k-1 {
					continue // the whole way and one step are enough
				}
				name := fmt.Sprintf("%s from step %d back to %d", s.name, k, j)
				way := backwards(p, k, j)
				if takenBack(way) == "" && p.Steps[j].Phase != p.Steps[k-1].Phase {
					continue // only knots: no mishap of a strand leads back into an earlier phase
				}
				q := spliced(p, k, way, j+1)
				back := from(t, q, k+k-j)
				want := matter(from(t, p, j))
				got := matter(back)
				if j > 1 {
					want.weave = got.weave // more of it may be known
				}
				if first := back.bed.first(); got.spans[first].tense {
					// The tail that was pulled with its boost and eased into S has kept it.
					want.finished, want.spans[first].boosted = got.finished, got.spans[first].boosted
				}
				require.Equal(t, want, got, name)
				q.Totals.Pulls += pulls(p, j, k)
				require.Empty(t, Check(q), name)
				ways++
			}
		}
	}
	t.Logf("%d ways", ways)
	assert.Greater(t, ways, sweep.Share(2000, 3))
}

// slackFrom are the strands that lie slack behind a pull at a hole, from there on, each with the end by which the pull
// comes to it.
func slackFrom(table *Table, strand plan.Strand, hole plan.Hole) (names []plan.Strand) {
	e := table.end(strand, hole, ruleStock)
	if !table.spans[e/2].slipped { // it is the loop outside that slipped
		e = table.ends[e].link
	}
	for e != none && table.spans[e/2].slipped {
		names = append(names, table.nameOf(e))
		if e ^= 1; table.ends[e].holds > 0 {
			break
		}
		e = table.across(e)
	}
	return names
}

// walked are a walk of slack to a pull at a hole, and before it the look at the other side where it passes the centre loop.
func walked(table *Table, strand plan.Strand, hole plan.Hole) (ops []plan.Op) {
	slack := slackFrom(table, strand, hole)
	if len(slack) < 2 {
		return nil
	}
	slices.Reverse(slack)
	for i, s := range slack[1:] {
		if before := slack[i]; before[:2] == "M1" && s[:2] == "M1" {
			ops = append(ops, plan.Op{Op: plan.Inspect, Strand: before, Text: "is it slack?"})
		}
	}
	return append(ops, plan.Op{Op: plan.WalkSlack, Strands: slack})
}

// A clamp that let go anywhere is mended by a walk of the slack and a re-pull where it stood, under which it is set again.
func TestEveryClampSlips(t *testing.T) {
	slips, idle := 0, 0
	for _, s := range samples(t) {
		wide(&s.Terms)
		for k := 2; k <= len(s.Steps); k++ {
			for c, g := range s.Steps[k-1].Clamps {
				if g == nil || s.name[:3] == "fly" {
					continue // flying clamps hold two ends
				}
				name := fmt.Sprintf("%s: %s slips after step %d", s.name, c, k)
				backed := backs(from(t, s.Plan, k), *g) || pulls(s.Plan, 0, k) == 0
				mend := slipped(t, s.Plan, k, c, *g, backed)
				require.Empty(t, Check(spliced(s.Plan, k, mend, k+1)), name)
				if backed {
					idle++
					continue
				}
				slips++
				// Nothing of it may be left away.
				ops := mend[0].Ops
				for i := 1; i < len(ops); i++ {
					short := slices.Clone(mend)
					short[0].Ops = slices.Delete(slices.Clone(ops), i, i+1)
					q := spliced(s.Plan, k, short, k+1)
					assert.NotEmpty(t, Check(q), "%s, %s left away", name, doing(&ops[i]))
				}
			}
		}
	}
	t.Logf("%d slips, %d without consequence", slips, idle)
	assert.Greater(t, slips, 500)
	assert.Greater(t, idle, 30)
}

// A clamp that crept anywhere is mended by a re-pull under which it is set again; a clamp is never opened before, and
// what is left low is found.
func TestEveryClampCreeps(t *testing.T) {
	low := 0
	for _, s := range samples(t) {
		for k := 2; k <= len(s.Steps); k++ {
			for c, g := range s.Steps[k-1].Clamps {
				if g == nil || s.name[:3] == "fly" || backs(from(t, s.Plan, k), *g) || pulls(s.Plan, 0, k) == 0 {
					continue
				}
				name := fmt.Sprintf("%s: %s creeps after step %d", s.name, c, k)
				ops := []plan.Op{
					{Op: plan.Fault, Fault: plan.FaultClamp, Clamp: c, Extent: plan.Crept, Text: "jaw marks"}, ownPull(t, s.Plan, k, *g),
					{Op: plan.Unclamp, Clamp: c}, {Op: plan.ClampOn, Clamp: c, Strand: g.Strand, Hole: g.Hole, Outside: g.Outside}, {Op: plan.Release},
				}
				played := func(ops ...plan.Op) []Breach {
					return Check(spliced(s.Plan, k, []plan.Step{{Phase: s.Steps[k-1].Phase, Ops: ops}}, k+1))
				}
				require.Empty(t, played(ops...), name)
				low++
				left, stays := rules(played(ops[0])), rules(played(ops[0], ops[1], ops[4]))
				tail := s.Terms.Crosses[0].Strand
				if s.Terms.From == "throat" {
					tail = s.Terms.Crosses[len(s.Terms.Crosses)-1].Strand
				}
				// The pull that finishes the first cross's tail, still to come, is not told from one that takes its load.
				if due := s.Terms.Pieces == 2 && s.Terms.Start == "clamp" && !from(t, s.Plan, k).finished; due && g.Strand == tail {
					assert.Contains(t, left, ruleTension, "%s and is left so", name)
					assert.Contains(t, stays, ruleTension, "%s and stays on under the pull", name)
					continue
				}
				assert.Contains(t, left, ruleEnd, "%s and is left so", name)
				assert.Contains(t, stays, ruleEnd, "%s and stays on under the pull", name)
				assert.Contains(t, rules(played(ops[0], ops[2], ops[1], ops[3], ops[4])), ruleHeld, "%s and is opened first", name)
			}
		}
	}
	t.Log(low)
	assert.Greater(t, low, 400)
}

// backs says whether a clamp is not alone where it stands.
func backs(table *Table, g plan.Grip) bool {
	return table.ends[table.end(g.Strand, g.Hole, ruleStock)].holds > 1
}

func slipped(t testing.TB, p *plan.Plan, k int, c plan.Clamp, g plan.Grip, backed bool) []plan.Step {
	set := plan.Op{Op: plan.ClampOn, Clamp: c, Strand: g.Strand, Hole: g.Hole, Outside: g.Outside, With: g.With}
	ops := []plan.Op{{Op: plan.Fault, Fault: plan.FaultClamp, Clamp: c, Extent: plan.Gone, Text: "the jaws slid"}, {Op: plan.Unclamp, Clamp: c}}
	if !backed {
		table := from(t, p, k)
		table.fault(&ops[0])
		ops = append(ops, walked(table, g.Strand, g.Hole)...)
		ops = append(ops, ownPull(t, p, k, g), set, plan.Op{Op: plan.Release})
	} else {
		ops = append(ops, set)
	}
	return []plan.Step{{Phase: p.Steps[k-1].Phase, Ops: ops}}
}

// ownPull is the pull that a strand had, or the last one that it had at this hole, once more.
func ownPull(t testing.TB, p *plan.Plan, k int, g plan.Grip) plan.Op {
	op := plan.Op{Op: plan.Pull, Strand: g.Strand, Hole: g.Hole, Repull: true}
	boost := false
	for _, s := range p.Steps[:k] {
		if pull := s.Pull(); pull != nil && pull.Strand == g.Strand && (!pull.Repull || pull.Hole == g.Hole) {
			boost = pull.BoostPercent > 0
		}
	}
	force(&op, &p.Terms, boost)
	return op
}
