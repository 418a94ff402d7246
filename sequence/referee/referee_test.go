package referee

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

func TestCorrectPlansAreProven(t *testing.T) {
	all := append(samples(t), sample{"eighteen by twenty", large(t)})
	for _, s := range all {
		t.Run(s.name, func(t *testing.T) {
			assert.Empty(t, Check(s.Plan))
		})
	}
	assert.Len(t, all, 33)
}

// large is a plan of an invented frame with 18 mains and 20 crosses, 38 holes a side, none left out.
func large(t testing.TB) *plan.Plan {
	terms := layout(strings.Repeat("h", 9)+strings.Repeat("x", 20)+strings.Repeat("t", 9),
		strings.Repeat("h", 9)+strings.Repeat("x", 20)+strings.Repeat("t", 9))
	terms.Supports, terms.Release = smallTerms().Supports, smallTerms().Release
	terms.TieMains = []plan.Hole{"8TL", "8TR"}
	terms.TieCrosses = []plan.Hole{"9HL", "9HR", "9TL", "9TR"}
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("%s", twoPieceMains[:strings.Index(twoPieceMains, "# mains\nthread M2R")])
	for n := 2; n <= 9; n++ {
		from, to := "T", "H"
		if n%2 == 1 {
			from, to = to, from
		}
		for i, side := range []string{"R", "L"} {
			line("# mains\nthread M%d%s %d%s%s %d%s%s after M%d%s", n, side, n, from, side, n, to, side, n-1, side)
			line("pull M%d%s %d%s%s%s", n, side, n, to, side, map[bool]string{true: " boost"}[n == 9])
			line("unclamp %c\nclamp %c M%d%s %d%s%s\nrelease", "BA"[i], "BA"[i], n, side, n, to, side)
		}
	}
	for i, side := range []string{"R", "L"} {
		line("# mains\ntie M9%s 9T%s 8T%s M8%s\nunclamp %c\ntrim 8T%s", side, side, side, side, "BA"[i], side)
	}
	weave := func(n int) {
		from, to := "L", "R"
		if n%2 == 0 {
			from, to = to, from
		}
		after := ""
		if n > 1 {
			after = fmt.Sprintf(" after C%d", n-1)
		}
		line("weave C%d %dH%s %dH%s over 18%s", n, n+9, from, n+9, to, after)
	}
	line("# crosses")
	weave(1)
	line("clamp S C1 10HL outside")
	for n := 1; n <= 20; n++ {
		if n < 20 {
			weave(n + 1)
		}
		exit := string("LR"[n%2])
		line("pull C%d %dH%s%s\nstraighten C%d", n, n+9, exit, map[bool]string{true: " boost"}[n == 20], n)
		line("clamp %c C%d %dH%s\nrelease", "AB"[n%2], n, n+9, exit)
		if n > 1 {
			line("unclamp %c", "BA"[n%2])
		}
		line("# crosses")
	}
	line("tie C20 29HL 9TL M9L\nunclamp A\ntrim 9TL")
	line("# crosses\npull C1 10HL repull boost\nunclamp S\nclamp A C1 10HL\nrelease")
	line("# crosses\ntie C1 10HL 9HL M9L\nunclamp A\ntrim 9HL")
	return write(t, terms, mounting+b.String()+dismounting, plan.Totals{Pulls: 38, Knots: 4, MaxLead: 1})
}

// A way out of the middle of a job is proved from a clone, which leaves the table as it was.
func TestStepsAreProvenFromTheMiddle(t *testing.T) {
	for _, s := range samples(t) {
		table, breaches := New(&s.Terms)
		require.Empty(t, breaches)
		for i := range s.Steps {
			// Leaving the next step away is a mistake from here on, and the clone alone knows of it.
			wrong := table.Clone()
			var found []Breach
			for k := i + 1; k < len(s.Steps); k++ {
				found = append(found, wrong.Step(&s.Steps[k])...)
			}
			assert.NotEmpty(t, append(found, wrong.Finish(s.Totals)...), "%s without step %d", s.name, i+1)

			right := table.Clone()
			for k := i; k < len(s.Steps); k++ {
				require.Empty(t, right.Step(&s.Steps[k]), "%s from step %d", s.name, i+1)
			}
			require.Empty(t, right.Finish(s.Totals), "%s from step %d", s.name, i+1)
			require.Empty(t, table.Step(&s.Steps[i]))
		}
	}
}

// A pull that went wrong is done again: the gripper takes the string behind the clamp, the clamp comes off and on again.
func TestRedoOfTheNewestPull(t *testing.T) {
	all := samples(t)
	terms, totals, text := script(t, all, "clamp L head ahead")
	again := "clamp A C2 5HL\nrelease\nunclamp B\n# crosses\npull C2 5HL repull\nunclamp A\nclamp A C2 5HL\nrelease\n"
	require.Equal(t, 1, strings.Count(text, "clamp A C2 5HL\nrelease\nunclamp B\n"))
	text = strings.Replace(text, "clamp A C2 5HL\nrelease\nunclamp B\n", again, 1)
	assert.Empty(t, Check(write(t, terms, text, totals)))
}

// Whatever a file says, the referee answers.
func FuzzCheck(f *testing.F) {
	seed := func(p *plan.Plan) string {
		data, err := json.Marshal(p)
		require.NoError(f, err)
		f.Add(data)
		return string(data)
	}
	for _, name := range []string{"clamp L head ahead", "skip R throat in turn", "around ahead", "flying ahead"} {
		p := find(f, samples(f), name)
		whole := seed(p)
		// The same with holes, strands and numbers spoiled, and some steps alone, which are short.
		f.Add([]byte(strings.Replace(whole, `"2HR"`, `"٢HR"`, 3)))
		f.Add([]byte(strings.Replace(whole, `"M2R"`, `"M02R"`, 5)))
		f.Add([]byte(strings.Replace(whole, `"holes_left":11`, `"holes_left":-11`, 1)))
		short := *p
		for i := 2; i+2 < len(p.Steps); i += 4 {
			if !sweep.Take(i/4, 3) {
				continue
			}
			short.Steps = p.Steps[i : i+2]
			seed(&short)
		}
	}
	for i, r := range recoveries {
		if !sweep.Take(i, 3) {
			continue
		}
		p, n := r.play(f, samples(f))
		seed(p)
		short := *p
		short.Steps = p.Steps[r.done : r.done+n]
		seed(&short)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var p plan.Plan
		if json.Unmarshal(data, &p) != nil {
			return
		}
		first := Check(&p)
		for _, b := range first {
			if b.Rule < 1 || b.Rule > 12 || b.What == "" {
				t.Fatalf("a breach that says nothing: %+v", b)
			}
		}
		if !slices.Equal(first, Check(&p)) {
			t.Fatal("the referee does not agree with itself")
		}
	})
}

// The fuzz target takes bytes that are mostly no plan; these changes to correct plans always are one.
func TestSpoiltPlansAreAnswered(t *testing.T) {
	words := []string{"", "M1L", "M9R", "C1", "C99", "1HL", "11TR", "99HL", "A", "S", "D", "over", "whole", "pull", "tie", "weave", "thread"}
	for _, s := range samples(t)[:12] {
		spoil(t, s.Plan, 0, len(s.Steps), words)
	}
}

func TestSpoiltRecoveriesAreAnswered(t *testing.T) {
	words := []string{"", "M1L", "C1", "1HL", "S", "fault", "cut", "unweave", "unthread", "slacken", "untie",
		"string broke", "clamp slipped", "knot slipped", "tie-off hole split", "frame cracked"}
	all := samples(t)
	for _, r := range recoveries {
		p, n := r.play(t, all)
		spoil(t, p, r.done, r.done+n, words)
	}
}

// spoil puts each word into a field of every op of some steps of a plan and checks what comes of it.
func spoil(t *testing.T, p *plan.Plan, from, to int, words []string) {
	ops, step, sizes := flat(p)
	for i := range ops {
		if step[i] < from || step[i] >= to {
			continue
		}
		for k, w := range words {
			if !sweep.Take(i*len(words)+k, 11) {
				continue
			}
			changed := slices.Clone(ops)
			op := &changed[i]
			switch (i + k) % 9 {
			case 0:
				op.Op = plan.OpKind(w)
			case 1:
				op.Strand = plan.Strand(w)
			case 2:
				op.After = plan.Strand(w)
			case 3:
				op.Hole = plan.Hole(w)
			case 4:
				op.From, op.Out = plan.Hole(w), plan.Hole(w)
			case 5:
				op.Clamp = plan.Clamp(w)
			case 6:
				op.Anchor, op.To = plan.Strand(w), plan.Hole(w)
			case 7:
				op.Covers, op.Blocked = []plan.Hole{plan.Hole(w)}, []plan.Hole{plan.Hole(w), "1HL"}
			case 8:
				op.Fault = plan.Mishap(w)
			}
			assert.NotPanics(t, func() { Check(change(p, changed, sizes)) })
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	p := large(b)
	require.Empty(b, Check(p))
	b.ReportAllocs()
	for b.Loop() {
		Check(p)
	}
}
