package sequence_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/measure"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

var update = flag.Bool("update", false, "write the golden files anew")

func layout(t require.TestingT, name string) *patterns.Frame {
	data, ok := library.Layout(name)
	require.True(t, ok, name)
	f, _, err := patterns.ReadLayout(name, data)
	require.NoError(t, err)
	return f
}

func technique(t require.TestingT, text string) *sequence.Technique {
	s, _, err := sequence.ReadTechnique("sheet.toml", []byte(text))
	require.NoError(t, err)
	return s
}

func builtIn(t require.TestingT, name string) *sequence.Technique {
	data, ok := library.Technique(name)
	require.True(t, ok, name)
	return technique(t, string(data))
}

func kg(t require.TestingT, text string) measure.Tension {
	v, err := measure.ParseTension(text)
	require.NoError(t, err)
	return v
}

// oneSheetIn is one in how many sheets is tried outside a sweep; every value of a setting, and every two, come up in it.
const oneSheetIn = 11

// sheets calls use with every setting of a two-piece sheet; how many mains are boosted goes round with the others. It is
// every setting in a sweep only.
func sheets(use func(text string)) {
	n := 0
	for _, first := range []string{"L", "R"} {
		for lead := 1; lead <= 3; lead++ {
			for _, then := range []string{"overtake", "level"} {
				for _, from := range []string{"head", "throat"} {
					for _, side := range []string{"L", "R"} {
						for _, start := range []string{`"clamp"`, "\"clamp\"\nrepull = \"end\"", `"knot"`, `"skip"`} {
							for _, ahead := range []bool{true, false} {
								for clamps := 1; clamps <= 2; clamps++ {
									if n++; !sweep.Take(n, oneSheetIn) {
										continue
									}
									use(fmt.Sprintf("name = \"t\"\n[mains]\nfirst = %q\nlead = %d\nthen = %q\nboost = %d\n[crosses]\nfrom = %q\nside = %q\nstart = %s\nahead = %v\nclamps = %d\n",
										first, lead, then, n%3, from, side, start, ahead, clamps))
								}
							}
						}
					}
				}
			}
		}
	}
}

// The referee finds nothing to object to in any built-in layout by any setting.
func TestBuildEveryLayoutByEverySetting(t *testing.T) {
	n, plans := 0, 0
	for _, name := range library.Layouts() {
		f := layout(t, name)
		sheets(func(text string) {
			if n++; !sweep.Take(n, 3) {
				return
			}
			p, err := sequence.Build(f, technique(t, text), kg(t, "24 kg"), kg(t, "23 kg"))
			require.NoError(t, err, "%s by\n%s", name, text)
			require.Empty(t, referee.Check(p), "%s by\n%s", name, text)
			plans++
		})
	}
	t.Logf("%d plans", plans)
}

// Any layout that closes, by any setting: 12 to 20 mains, 14 to 22 crosses, skips wherever they fit.
func TestBuildAnyLayout(t *testing.T) {
	rapid.Check(t, sweep.Some(3, func(t *rapid.T) {
		f, _, err := patterns.ReadLayout("any", []byte(anyLayout(t)))
		require.NoError(t, err)
		p, err := sequence.Build(f, technique(t, anySheet(t)), kg(t, "24 kg"), kg(t, "52 lb"))
		require.NoError(t, err)
		table, breaches := referee.From(&p.Terms, nil)
		require.Empty(t, breaches)
		racket := p.After(0)
		for i := range p.Steps {
			require.Empty(t, table.Step(&p.Steps[i]))
			require.NoError(t, racket.ApplyAll(p.Steps[i].Ops))
			require.Empty(t, table.View(nil).Differs(racket), "what is shown of it too, after step %d", i+1)
		}
		require.Empty(t, table.Finish(p.Totals))
	}))
}

func anyLayout(t *rapid.T) string {
	half := rapid.IntRange(6, 10).Draw(t, "mains a side")
	crosses := rapid.IntRange(14, 22).Draw(t, "crosses")
	var skip, ties []string
	for _, end := range []string{"H", "T"} {
		skipped := map[int]bool{}
		for range rapid.IntRange(0, 2).Draw(t, "skips") {
			k := rapid.IntRange(half/2+1, half+1).Draw(t, "skip")
			if !skipped[k] {
				skip = append(skip, fmt.Sprintf(`"%d%s"`, k, end))
			}
			skipped[k] = true
		}
		for k := 3; k <= half; k++ {
			if !skipped[k] {
				ties = append(ties, fmt.Sprintf(`"%d%s"`, k, end))
			}
		}
	}
	return fmt.Sprintf("name = \"any\"\nsport = \"tennis\"\nmains = %d\ncrosses = %d\nskip = [%s]\nstart = %q\n[tie]\nmains = [%s]\ncrosses = [%s]\n",
		2*half, crosses, strings.Join(skip, ", "), rapid.SampledFrom([]string{"head", "throat"}).Draw(t, "start"), strings.Join(ties, ", "), strings.Join(ties, ", "))
}

// anySheet is a sheet for two pieces with any settings that go together.
func anySheet(t *rapid.T) string {
	free := rapid.IntRange(1, 2).Draw(t, "free clamps")
	if rapid.Bool().Draw(t, "flying") {
		return anySheetOf(t, "flying = 2", free, "clamp", "knot")
	}
	return anySheetOf(t, "fixed = 2", free, "clamp", "knot", "skip")
}

func anySheetOf(t *rapid.T, clamps string, free int, starts ...string) string {
	word := func(label string, words ...string) string { return rapid.SampledFrom(words).Draw(t, label) }
	return fmt.Sprintf("name = \"t\"\n[clamps]\n%s\n[mains]\nfirst = %q\nlead = %d\nthen = %q\nboost = %d\n"+
		"[crosses]\nfrom = %q\nside = %q\nstart = %q\nrepull = %q\nahead = %v\nclamps = %d\n%s\n[boost]\n%s\n", clamps,
		word("first", "L", "R"), rapid.IntRange(1, 3).Draw(t, "lead"), word("then", "overtake", "level"), rapid.IntRange(0, 3).Draw(t, "boost"),
		word("from", "head", "throat"), word("side", "L", "R"), word("start", starts...), word("repull", "third", "end"),
		rapid.Bool().Draw(t, "ahead"), free, word("face", "", `first = "over"`, `first = "under"`),
		word("amount", "percent = 10", "percent = 0", `amount = "4 lb"`))
}

// Common practice of the trade: where the two-piece plans of a 16×19 frame end and tie, from the head and the throat.
func TestBuildTies(t *testing.T) {
	for _, c := range []struct{ frame, technique, want string }{
		{"harbour-sixteen", "two-piece-clamp", "M8R 10HR>8HR, M8L 10HL>8HL, C1 7HL>6HL, C19 7TR>6TR"},
		{"club-sixteen", "two-piece-clamp", "M8R 10TR>8TR, M8L 10TL>8TL, C1 7HL>6HL, C19 7TR>6TR"},
		{"long-twenty", "two-piece-clamp", "M8R 10TR>8TR, M8L 10TL>8TL, C1 7HL>6HL, C20 7TL>6TL"},
	} {
		p := build(t, c.frame, c.technique)
		var got []string
		for _, o := range ops(p, plan.Tie) {
			got = append(got, fmt.Sprintf("%s %s>%s", o.Strand, o.Out, o.Hole))
		}
		assert.Equal(t, c.want, strings.Join(got, ", "))
	}
}

func build(t testing.TB, frame, sheet string) *plan.Plan {
	t.Helper()
	p, err := sequence.Build(layout(t, frame), builtIn(t, sheet), kg(t, "24 kg"), kg(t, "23 kg"))
	require.NoError(t, err)
	return p
}

func ops(p *plan.Plan, do plan.OpKind) (out []plan.Op) {
	for _, s := range p.Steps {
		for _, o := range s.Ops {
			if o.Op == do {
				out = append(out, o)
			}
		}
	}
	return out
}

// Common practice of the trade: the holes that loops and runs cover when a 16×19 frame is started at the head or the
// throat; each is told before it is covered.
func TestBuildCovers(t *testing.T) {
	for frame, want := range map[string]string{
		"harbour-sixteen": "7HR 7HL 9TR 9TL 9HR 9HL",
		"club-sixteen":    "7TR 7TL 9HR 9HL 9TR 9TL",
		"long-twenty":     "7TR 7TL 9TR 9TL",
	} {
		p := build(t, frame, "two-piece-clamp")
		var covered []string
		for _, s := range p.Steps {
			told := ""
			for _, o := range s.Ops {
				if o.Op == plan.Note {
					told += o.Text
				}
				for _, h := range o.Covers {
					assert.Contains(t, told, string(h), "step %d", s.N)
					covered = append(covered, string(h))
				}
			}
		}
		assert.Equal(t, want, strings.Join(covered, " "), frame)
	}
}

// Common practice of the trade: the orders in which mains are pulled, one by one, two by two, and by a lead of three.
func TestBuildTurns(t *testing.T) {
	for _, c := range []struct {
		lead int
		then string
		want string
		most int
	}{
		{1, "level", "R1 L1 R2 L2 R3 L3 R4 L4 R5 L5 R6 L6 R7 L7 R8 L8", 1},
		{2, "level", "R1 L1 R2 R3 L2 L3 R4 R5 L4 L5 R6 R7 L6 L7 R8 L8", 2},
		{3, "overtake", "R1 L1 R2 R3 R4 L2 L3 L4 L5 L6 L7 R5 R6 R7 R8 L8", 3},
		{1, "overtake", "R1 L1 R2 L2 L3 R3 R4 L4 L5 R5 R6 L6 L7 R7 R8 L8", 1},
	} {
		sheet := technique(t, fmt.Sprintf("name = \"t\"\n[mains]\nlead = %d\nthen = %q\n", c.lead, c.then))
		p, err := sequence.Build(layout(t, "club-sixteen"), sheet, kg(t, "24 kg"), kg(t, "24 kg"))
		require.NoError(t, err)
		var got []string
		for _, o := range ops(p, plan.Pull) {
			if o.Strand[0] == 'M' {
				got = append(got, string(o.Strand[2:])+string(o.Strand[1:2]))
			}
		}
		assert.Equal(t, c.want, strings.Join(got, " "))
		assert.Equal(t, c.most, p.Totals.MaxLead)
	}
}

// Common practice of the trade: boosted are the last main of each side, the last cross, and the pull that finishes the
// first cross's tail; a starting knot has no such pull.
func TestBuildBoosts(t *testing.T) {
	for sheet, want := range map[string]string{
		"two-piece-clamp": "M8R M8L C1 C19", "two-piece-skip": "M8R M8L C19 C1", "two-piece-knot": "M8L M8R C19",
	} {
		var got []string
		for _, o := range ops(build(t, "club-sixteen", sheet), plan.Pull) {
			if o.BoostPercent > 0 {
				got = append(got, string(o.Strand))
				assert.InDelta(t, 10, o.BoostPercent, 1e-9)
			}
		}
		assert.Equal(t, want, strings.Join(got, " "), sheet)
	}
}

// Common practice of the trade: 10 % on 50 lb is 55 lb. Source of the newtons: GNU units, NIST SP 811 (2008).
func TestBuildNewtons(t *testing.T) {
	p, err := sequence.Build(layout(t, "club-sixteen"), builtIn(t, "two-piece-skip"), kg(t, "50 lb"), kg(t, "50 lb"))
	require.NoError(t, err)
	pulls := ops(p, plan.Pull)
	assert.InDelta(t, 222.411080763025, pulls[0].Newtons, 1e-9)
	assert.Equal(t, "55 lb", pulls[len(pulls)-1].Tension)
}

// ITF Rules of Tennis, Appendix II: the strings are alternately interlaced at every crossing. Plain weave as ISO
// 3572:1976 names it (clause from memory): over(i, j) = (i + j + c) mod 2.
func TestBuildInterlacing(t *testing.T) {
	for _, name := range library.Layouts() {
		f := layout(t, name)
		p, err := sequence.Build(f, builtIn(t, "two-piece-skip"), kg(t, "24 kg"), kg(t, "24 kg"))
		require.NoError(t, err)
		c := -1
		for _, o := range ops(p, plan.Weave) {
			var number int
			_, err := fmt.Sscanf(string(o.Strand), "C%d", &number)
			require.NoError(t, err)
			met := f.Met(f.Cross(number))
			require.Len(t, met, o.Meets)
			over := o.First == plan.Over
			if o.From[len(o.From)-1] == 'R' {
				over = over == (len(met)%2 == 1)
			}
			for _, col := range met {
				if parity := (number + col + map[bool]int{true: 1}[over]) % 2; c < 0 {
					c = parity
				} else {
					require.Equal(t, c, parity, "%s: %s over column %d", name, o.Strand, col)
				}
				over = !over
			}
		}
	}
}

func TestFingerprint(t *testing.T) {
	one := build(t, "club-sixteen", "two-piece-skip")
	assert.Equal(t, one.Plan, build(t, "club-sixteen", "two-piece-skip").Plan)
	assert.Regexp(t, `^[0-9a-f]{16}$`, one.Plan)
	seen := map[string]bool{one.Plan: true}
	different := func(p *plan.Plan, err error) {
		require.NoError(t, err)
		assert.False(t, seen[p.Plan], p.Plan)
		seen[p.Plan] = true
	}
	f, s := layout(t, "club-sixteen"), builtIn(t, "two-piece-skip")
	different(sequence.Build(f, s, kg(t, "24.1 kg"), kg(t, "23 kg")))
	different(sequence.Build(f, s, kg(t, "24 kg"), kg(t, "24 kg")))
	different(sequence.Build(layout(t, "harbour-sixteen"), s, kg(t, "24 kg"), kg(t, "23 kg")))
	different(sequence.Build(f, builtIn(t, "two-piece-knot"), kg(t, "24 kg"), kg(t, "23 kg")))
	data, _ := library.Technique("two-piece-skip")
	for _, change := range [][2]string{{"percent = 10", "percent = 9"}, {`tail = "3 mm"`, `tail = "4 mm"`}, {"mark up", "mark down"}, {"ahead = true", "ahead = false"}} {
		different(sequence.Build(f, technique(t, strings.Replace(string(data), change[0], change[1], 1)), kg(t, "24 kg"), kg(t, "23 kg")))
	}
	same := technique(t, "# said otherwise\n"+strings.Replace(string(data), "fixed    = 2\n", "", 1))
	p, err := sequence.Build(f, same, kg(t, "24.0 kg"), kg(t, "23kg"))
	require.NoError(t, err)
	assert.Equal(t, one.Plan, p.Plan, "comments, spelling and usual values change nothing")
}

// A plan read back from its JSON is the same plan.
func TestPlanJSON(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-clamp")
	text, err := json.Marshal(p)
	require.NoError(t, err)
	var back plan.Plan
	require.NoError(t, json.Unmarshal(text, &back))
	assert.Empty(t, referee.Check(&back))
	again, err := json.Marshal(&back)
	require.NoError(t, err)
	assert.Equal(t, string(text), string(again))
}

func TestBuildProblems(t *testing.T) {
	for _, c := range []struct{ sheet, want string }{
		{"name = \"t\"\n[clamps]\nstarting = 0\n[crosses]\nstart = \"skip\"\n", `sheet.toml:3:12: crosses.start = "skip" takes a starting clamp; write starting = 1, or start = "knot"`},
		{"name = \"t\"\n[clamps]\nfixed = 1\n", "sheet.toml:3:9: the mains take two fixed clamps"},
	} {
		_, err := sequence.Build(layout(t, "club-sixteen"), technique(t, c.sheet), kg(t, "24 kg"), kg(t, "24 kg"))
		assert.ErrorContains(t, err, c.want)
	}
}

// Where no tie-off hole serves, the error names the candidates and why each falls out; where one is far, the stringer is
// warned.
func TestBuildTieHoles(t *testing.T) {
	data, _ := library.Layout("club-sixteen")
	with := func(old, new string) (*plan.Plan, error) {
		text := strings.Replace(string(data), old, new, 1)
		require.NotEqual(t, string(data), text)
		f, _, err := patterns.ReadLayout("layout", []byte(text))
		require.NoError(t, err)
		return sequence.Build(f, builtIn(t, "two-piece-skip"), kg(t, "24 kg"), kg(t, "24 kg"))
	}
	_, err := with(`mains   = ["6H", "8T"]`, `mains   = ["10T"]`)
	assert.EqualError(t, err, "layout:11:1: no tie-off hole for the tail of M8R that leaves at 10TR: 10TR carries only M8R itself; name another in tie.mains")
	_, err = with(`["6H", "6T"]`, `["8TR", "6HL"]`)
	assert.EqualError(t, err, "layout:12:1: no tie-off hole for the tail of C19 that leaves at 7TR: 8TR has a knot already; name another in tie.crosses")
	_, err = with(`["6H", "6T"]`, `["6HR"]`)
	assert.EqualError(t, err, "layout:12:1: no tie-off hole for the tail of C1 that leaves at 7HL: there is none on the left side; name another in tie.crosses\n"+
		"sheet.toml:29:2: the run outside from 7TR to 6HR takes 23 hole-steps, and tie.reach allows 6; name a nearer hole in tie.crosses, or write reach = 23 if the frame's maker strings it so")
	p, err := with(`["6H", "6T"]`, `["3H", "6T"]`)
	require.NoError(t, err)
	assert.Equal(t, []string{"the run outside from 7HL to 3HL is long: it passes more than three holes"}, p.Warnings)
}

// Common practice of the trade: what a stringer is warned of.
func TestBuildWarnings(t *testing.T) {
	f, s := layout(t, "club-sixteen"), builtIn(t, "two-piece-skip")
	for _, c := range []struct{ mains, crosses, want string }{
		{"24 kg", "24 kg", ""},
		{"25 kg", "25 kg", "boosted mains are pulled at 27.5 kg, above the frame's printed range, 22 kg to 27 kg"},
		{"28 kg", "26 kg", "mains at 28 kg lie above the frame's printed range"},
		{"22 kg", "24.5 kg", "the crosses at 24.5 kg are much harder than the mains at 22 kg"},
		{"55 kg", "55 kg", "mains at 55 kg: the unit looks wrong for tennis; is 55 lb meant?"},
		{"25 lb", "25 lb", "mains at 25 lb: the unit looks wrong for tennis; is 25 kg meant?"},
		{"20 kg", "20 kg", "mains at 20 kg lie below the frame's printed range"},
	} {
		p, err := sequence.Build(f, s, kg(t, c.mains), kg(t, c.crosses))
		require.NoError(t, err)
		if c.want == "" {
			assert.Empty(t, p.Warnings)
			continue
		}
		assert.Contains(t, strings.Join(p.Warnings, "\n"), c.want)
	}
}

// Goldens: the words of three plans, one for each way to start the crosses.
func TestPlanGoldens(t *testing.T) {
	for _, c := range [][2]string{{"club-sixteen", "two-piece-skip"}, {"harbour-sixteen", "two-piece-clamp"}, {"dense-eighteen", "two-piece-knot"}} {
		var b strings.Builder
		p, words := build(t, c[0], c[1]), act.Written()
		for _, s := range p.Steps {
			fmt.Fprintf(&b, "%d %s: %s\n", s.N, s.Phase, s.Title)
			for _, a := range act.Of(p, s.N, nil) {
				for _, text := range slices.Concat(a.Warn, []string{words.Line(&a)}, a.Notes) {
					fmt.Fprintf(&b, "\t%s\n", text)
				}
			}
		}
		path := filepath.Join("..", "testdata", "plans", c[0]+"_"+c[1]+".txt")
		if *update {
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
			require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, string(want), b.String())
	}
}

// Layout to refereed plan.
func BenchmarkLayoutToPlan(b *testing.B) {
	data, _ := library.Layout("dense-eighteen")
	sheet, _ := library.Technique("two-piece-skip")
	mains := kg(b, "24 kg")
	b.ReportAllocs()
	for b.Loop() {
		f, _, err := patterns.ReadLayout("f", data)
		require.NoError(b, err)
		s, _, err := sequence.ReadTechnique("t", sheet)
		require.NoError(b, err)
		p, err := sequence.Build(f, s, mains, mains)
		require.NoError(b, err)
		require.Empty(b, referee.Check(p))
	}
}
