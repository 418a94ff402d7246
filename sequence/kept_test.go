package sequence_test

import (
	"encoding/json"
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// kept holds that what each of so many cases says is what it said when it was kept, as a number a case; -update keeps it anew. That
// it is right is held elsewhere: here nothing changes unseen.
func kept(t *testing.T, name string, cases int, say func(i int, out *strings.Builder)) {
	path := filepath.Join("testdata", name+".txt")
	text, err := os.ReadFile(path)
	require.True(t, err == nil || *update, "write it with -update")
	want, got := strings.Split(string(text), "\n"), ""
	for i := range cases {
		var said strings.Builder
		say(i, &said)
		h := fnv.New64a()
		h.Write([]byte(said.String())) // cannot fail
		line := fmt.Sprintf("%016x %d", h.Sum64(), i)
		if got += line + "\n"; !*update {
			require.Equal(t, want[i], line)
		}
	}
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
}

// tell says all that a plan tells from a step on, and what hands and screens ask of it there.
func tell(out *strings.Builder, p *plan.Plan, done int) {
	steps, err := json.Marshal(p.Steps[done:min(done+25, len(p.Steps))])
	r := p.After(min(done+1, len(p.Steps)))
	fmt.Fprintln(out, string(steps), err, p.Plan, p.Frame, p.Warnings, p.Totals, sequence.Doubts(p))
	for _, h := range append(p.Terms.TieMains, p.Terms.TieCrosses...) {
		fmt.Fprintln(out, sequence.SplitHoles(p, done, r, h), sequence.KnotHoles(&p.Terms, r, "", h))
	}
	for i, s := range r.Newest() {
		if i%3 == 0 {
			fmt.Fprintln(out, sequence.PullsAnew(r, s.Strand))
		}
	}
}

// anyBack is what up to three mishaps of any job lead to, one in the way back of the other.
func anyBack(t *rapid.T) *strings.Builder {
	out := &strings.Builder{}
	text := anySheet(t)
	if rapid.Bool().Draw(t, "one piece") {
		word := func(label string, words ...string) string { return rapid.SampledFrom(words).Draw(t, label) }
		text = fmt.Sprintf("name = \"t\"\npieces = 1\naround = %s\n[clamps]\n%s = 2\n[mains]\nfirst = %q\nlead = %s\nthen = %q\nshort = %q\n[crosses]\nfrom = %q\nahead = %s\nclamps = %s\n",
			word("around", "false", "false", "true"), word("kind of clamps", "fixed", "fixed", "flying"), word("first", "L", "R"), word("lead", "1", "2", "3"),
			word("then", "overtake", "level"), word("short", "L", "R"), word("from", "head", "throat"), word("ahead", "true", "false"), word("clamps", "1", "2"))
	}
	text += rapid.SampledFrom([]string{"", "[redo]\nwalk = { mains = 1, crosses = 1 }\n", "[redo]\nwalk = { mains = 3, crosses = 5 }\n", "[tie]\nreach = 9\n", "[tie]\nreach = 2\n"}).Draw(t, "limits")
	name := rapid.SampledFrom(append(library.Layouts(), "any", "any", "tiny", "tiny", "tiny", "tiny")).Draw(t, "frame")
	var f *patterns.Frame
	switch name {
	case "any":
		f, _, _ = patterns.ReadLayout("any", []byte(anyLayout(t)))
	case "tiny":
		f = tiny(t, 2*rapid.IntRange(2, 4).Draw(t, "mains"), rapid.IntRange(3, 6).Draw(t, "crosses"), rapid.SampledFrom([]string{"head", "throat"}).Draw(t, "start"))
	default:
		f = layout(t, name)
	}
	p, err := sequence.Build(f, technique(t, text), kg(t, rapid.SampledFrom([]string{"24 kg", "11 kg", "27 kg"}).Draw(t, "mains' tension")), kg(t, "52 lb"))
	if fmt.Fprintln(out, name, text, err); err != nil {
		return out
	}
	tell(out, p, 0)
	done := 0
	for range rapid.IntRange(1, 3).Draw(t, "mishaps") {
		done = rapid.IntRange(done, len(p.Steps)).Draw(t, "done")
		trouble, ok := anyTrouble(t, p, done)
		if !ok {
			continue
		}
		next, err := sequence.Recover(p, done, trouble)
		if fmt.Fprintln(out, done, trouble.Words(), err); err != nil {
			continue
		}
		tell(out, next, done)
		if p = next; p.Cracked() {
			break
		}
		done++
	}
	return out
}

// No way back changes unseen; with -tags mutate.
func TestWaysBackKept(t *testing.T) {
	sweep.Net(t)
	back := rapid.Custom(anyBack)
	kept(t, "ways_back", 400, func(i int, out *strings.Builder) { out.WriteString(back.Example(i).String()) })
}
