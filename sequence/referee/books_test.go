package referee

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/sequence/plan"
)

// agree checks that what the table counts is what there is.
func agree(t require.TestingT, table *Table) {
	var tight [2]int
	rest := len(table.spans) - table.bed.mains
	strands, due, over := make([]int, len(table.holes)), make([]int, len(table.holes)), make([]int, len(table.holes))
	holds := make([]int, len(table.ends))
	cover := func(u run) {
		for i := 1; i < u.steps; i++ {
			over[table.bed.under(u, i)]++
		}
	}
	for s, sp := range table.spans {
		if sp.tense {
			tight[table.kind(s)]++
		}
		if s == table.bed.skipped() {
			rest--
		} else if sp.pulled && table.kind(s) == 1 {
			rest--
		}
		for i, pos := range table.bed.strands[s].ends {
			e := 2*s + i
			if !sp.laid {
				due[pos]++
				require.Equal(t, end{link: none}, table.ends[e])
				continue
			}
			if !table.ends[e].kept {
				strands[table.ends[e].hole]++
			}
			if table.ends[e].hole != table.ends[e].home {
				due[table.ends[e].home]++
			}
			if next := table.ends[e].link; next != none {
				require.Equal(t, e, table.ends[next].link)
				require.Equal(t, table.ends[e].tense, table.ends[next].tense)
				if e < next {
					cover(table.between(e, next))
				}
			} else {
				require.False(t, table.ends[e].tense, "a tail is slack")
			}
		}
		require.False(t, sp.tense && sp.slipped)
		require.False(t, !sp.laid && (sp.tense || sp.pulled || sp.slipped))
	}
	for _, k := range table.knots {
		if k.end != none && !k.slipped {
			holds[k.end]++
		}
		cover(table.bed.run(k.out, k.at))
	}
	for _, c := range table.clamps {
		if c.on() && !c.slipped && c.stub == 0 {
			holds[c.end]++
			if c.pair != none {
				holds[c.pair]++
			}
		}
	}
	if table.gripper != none {
		holds[table.gripper]++
	}
	for e := range table.ends {
		if table.ends[e].corner {
			holds[e]++
		}
		require.Equal(t, holds[e], table.ends[e].holds, "what holds %s at %s", table.nameOf(e), table.bed.name(table.ends[e].hole))
	}
	for pos := 1; pos < len(table.holes); pos++ {
		h := table.holes[pos]
		require.Equal(t, [3]int{strands[pos], due[pos], over[pos]}, [3]int{h.strands, h.due, h.over}, table.bed.name(pos))
	}
	require.Equal(t, tight, table.tight)
	require.Equal(t, rest, table.rest)
}

// Whatever hands do, right or wrong, the table's books stay in order.
func TestBooksStayInOrder(t *testing.T) {
	all := samples(t)
	var ops []plan.Op
	for _, r := range recoveries {
		p, n := r.play(t, all)
		for _, s := range p.Steps[r.done : r.done+n] {
			ops = append(ops, s.Ops...)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(all).Draw(t, "sample")
		done := rapid.IntRange(1, len(p.Steps)-1).Draw(t, "done")
		table, _ := From(&p.Terms, p.Steps[:done])
		agree(t, table)
		own, _, _ := flat(p.Plan)
		for range rapid.IntRange(1, 30).Draw(t, "ops") {
			op := rapid.SampledFrom(rapid.SampledFrom([][]plan.Op{ops, own}).Draw(t, "from")).Draw(t, "op")
			if rapid.Bool().Draw(t, "change") {
				other := rapid.SampledFrom(own).Draw(t, "other")
				op.Strand, op.From, op.To, op.Hole, op.Out = other.Strand, other.From, other.To, other.Hole, other.Out
			}
			table.Step(&plan.Step{N: table.steps + 1, Phase: plan.PhaseCrosses, Ops: []plan.Op{op}})
			agree(t, table)
		}
	})
}
