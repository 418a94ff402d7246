package referee

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// seen is what a view shows, in short: what is laid and slack, slipped, low, wrong, doubted or lost, and the rest.
func seen(v *View) string {
	var words []string
	for _, s := range []plan.Strand{"M3L", "M2L", "M1L", "M1R", "M2R", "M3R", "C1", "C2", "C3", "C4", "C5"} {
		c := v.Strands[s]
		how := ""
		for _, x := range []struct {
			is   bool
			word string
		}{{c.Laid && !c.Tight, "slack"}, {c.Slipped, "slipped"}, {c.Low, "low"}, {c.Wrong, "wrong"}, {c.Doubted, "doubted"}, {c.Lost, "lost"}} {
			if x.is {
				how += " " + x.word
			}
		}
		if how != "" {
			words = append(words, string(s)+how)
		}
	}
	for _, c := range plan.Clamps() {
		if g, on := v.Clamps[c]; on {
			word := fmt.Sprintf("%s %s %s", c, g.Strand, g.Hole)
			for _, x := range []struct {
				is   bool
				word string
			}{{g.Outside, " outside"}, {g.With != "", " with " + string(g.With)}, {v.Empty[c], " empty"}} {
				if x.is {
					word += x.word
				}
			}
			words = append(words, word)
		}
	}
	if v.Gripper != nil {
		words = append(words, fmt.Sprintf("gripper %s %s", v.Gripper.Strand, v.Gripper.Hole))
	}
	if v.Covered != nil {
		words = append(words, "covered "+names(v.Covered))
	}
	if v.Blocked != nil {
		words = append(words, "blocked "+names(v.Blocked))
	}
	for _, d := range v.Deferred {
		words = append(words, "deferred "+d.String())
	}
	return strings.Join(words, "; ")
}

func TestViews(t *testing.T) {
	all := samples(t)
	straight := func(name string) *plan.Plan { return find(t, all, name) }
	back := func(name string) *plan.Plan {
		for _, r := range recoveries {
			if r.name == name {
				p, _ := r.play(t, all)
				return p
			}
		}
		require.Fail(t, "no recovery is called", name)
		return nil
	}
	for _, c := range []struct {
		plan *plan.Plan
		done int
		want string
	}{
		{straight("clamp L head ahead"), 1, ""},
		{straight("clamp L head ahead"), 2, "M1L slack; M1R slack; A M1L 1HL; S M1L 1HL; deferred M1L at 1TL, pulled in step 4"},
		{straight("clamp L head ahead"), 3, "M1L slack; A M1L 1HL; B M1R 1TR; S M1L 1HL; deferred M1L at 1TL, pulled in step 4"},
		{straight("clamp L head ahead"), 7, "A M2L 2HL; B M3R 4TR; covered 3HR; blocked 3HR"},
		{straight("clamp L head ahead"), 10, "covered 3HL, 3HR, 3TL, 3TR; blocked 3HL, 3HR, 3TL, 3TR"},
		{straight("clamp L head ahead"), 13, "C4 slack; B C3 6HR; S C1 3HL outside; covered 3HL, 3HR, 3TL, 3TR, 4HR; blocked 3TL, 3TR; " +
			"deferred C1 at 3HL, pulled again and tied in step 17"},
		{straight("clamp L head ahead"), 16, "S C1 3HL outside; covered 3HL, 3HR, 3TL, 3TR, 4HR, 4TL; deferred C1 at 3HL, pulled again and tied in step 17"},
		{straight("skip L head ahead"), 12, "C1 slack; C4 slack; B C3 6HR; S C2 5HR outside; covered 3HL, 3HR, 3TL, 3TR, 4HR; blocked 3TL, 3TR; " +
			"deferred C1 at 3HL, pulled in step 16"},
		{straight("skip L head ahead"), 15, "C1 slack; S C2 5HR outside; covered 3HL, 3HR, 3TL, 3TR, 4HR, 4TL; deferred C1 at 3HL, pulled in step 16"},
		{straight("flying ahead"), 3, "A M1L 1TL with M1R; B M2R 2HR with M1R"},
		{back("a clamp crept"), 5, "A M1L 1TL; B M2R 2HR"},
		{back("a base slid that is redone by and by"), 14, "C1 low; C2 low; C3 low; C4 slack; B C3 6HR; S C1 3HL outside; " +
			"covered 3HL, 3HR, 3TL, 3TR, 4HR; blocked 3TL, 3TR; deferred C1 at 3HL, pulled again and tied in step 19"},
		{back("slack mains are drawn tight part by part"), 9, "M3L slack slipped; M2L slack slipped; M1L slack slipped; M1R slack slipped; M2R slack slipped; " +
			"M3R slack slipped; A M3L 4TL; covered 3HL, 3HR; blocked 3HL, 3HR"},
		{back("a step is interrupted under the pull"), 6, "M1L low; M1R low; M2R low; A M1L 1TL; B M2R 2HR; gripper M2L 2HL"},
		{back("two mains were pulled at a wrong setting and are pulled again"), 9, "M3L doubted; A M3L 4TL; B M3R 4TR; covered 3HL, 3HR; blocked 3HL, 3HR"},
		{back("the mains' string breaks while they go in"), 6, "A M2L 2HL; B M2R 2HR"},
	} {
		table, breaches := From(&c.plan.Terms, c.plan.Steps[:c.done])
		require.Empty(t, breaches)
		assert.Equal(t, c.want, seen(table.View(c.plan.Steps[c.done:])), "after step %d", c.done)
	}
}

// What a view says of a broken line: it is lost, and slack as far as what holds next.
func TestViewOfABreak(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	for strand, want := range map[plan.Strand]string{
		// The crosses: from S to the clamp on C3; C4 beyond was slack before.
		"C2": "C1 slack lost; C2 slack lost; C3 slack lost; C4 slack lost; B C3 6HR; S C1 3HL outside; covered 3HL, 3HR, 3TL, 3TR, 4HR; blocked 3TL, 3TR",
		// The mains: from knot to knot; the crosses come out too, but what S and B hold is tight.
		"M1L": "M3L slack lost; M2L slack lost; M1L slack lost; M1R slack lost; M2R slack lost; M3R slack lost; C1 lost; C2 lost; C3 lost; " +
			"C4 slack lost; B C3 6HR; S C1 3HL outside; covered 3HL, 3HR, 3TL, 3TR, 4HR; blocked 3TL, 3TR",
	} {
		table := from(t, p, 13)
		table.fault(&plan.Op{Op: plan.Fault, Fault: plan.FaultBreak, Strand: strand, Where: plan.InBed, Text: "it broke"})
		assert.Equal(t, want, seen(table.View(nil)), strand)
	}
}

// A racket that is an op behind, or ahead, is told from what the referee knows wherever the op moves something.
func TestViewDiffers(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	table, _ := New(&p.Terms)
	told := 0
	for n := range p.Steps {
		before := p.After(n)
		assert.Empty(t, table.View(nil).Differs(before))
		table.Step(&p.Steps[n])
		assert.Empty(t, table.View(nil).Differs(p.After(n+1)), "after step %d", n+1)
		if d := table.View(nil).Differs(before); d != "" {
			told++
		} else {
			assert.False(t, slices.ContainsFunc(p.Steps[n].Ops, func(o plan.Op) bool { return o.Op == plan.Pull || o.Op == plan.ClampOn }), "step %d", n+1)
		}
	}
	assert.Greater(t, told, len(p.Steps)/2)
}

// A strand is finished late only where one that was laid later is pulled before it, be that one not even laid yet.
func TestWhatIsFinishedLate(t *testing.T) {
	all := samples(t)
	p := find(t, all, "clamp L head in turn")
	assert.Empty(t, from(t, p, 11).View(p.Steps[16:17]).Deferred, "only the first cross lies, and its tail is pulled at once")
	assert.Len(t, from(t, p, 11).View(p.Steps[11:17]).Deferred, 1)

	next := write(t, p.Terms, "# mains\npull M2R 2HR\n# mains\npull M1R 1TR", p.Totals).Steps
	assert.Equal(t, []plan.Deferral{{Strand: "M1R", Hole: "1TR", Step: 2}}, from(t, p, 2).View(next).Deferred)
	assert.Empty(t, from(t, p, 2).View(next[1:]).Deferred)
}

// The first cross's tail waits where S holds it, for a re-pull there.
func TestWhereTheTailWaits(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	for _, c := range []struct {
		op    plan.Op
		state func(*Table)
		want  bool
	}{
		{plan.Op{Strand: "C1", Hole: "3HL", Repull: true}, nil, true},
		{plan.Op{Strand: "C1", Hole: "3HL"}, nil, false},
		{plan.Op{Strand: "C1", Hole: "3HR", Repull: true}, nil, false},
		{plan.Op{Strand: "C2", Hole: "3HL", Repull: true}, nil, false},
		{plan.Op{Strand: "C1", Hole: "3HL", Repull: true}, func(table *Table) { table.off(starting) }, false},
		{plan.Op{Strand: "C1", Hole: "3HL", Repull: true}, func(table *Table) { table.finished = true }, false},
	} {
		table := from(t, p, 12)
		if c.state != nil {
			c.state(table)
		}
		assert.Equal(t, c.want, table.tailWaits(&c.op, table.bed.find(c.op.Strand)), "%+v", c.op)
	}
}
