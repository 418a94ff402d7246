package draw

import (
	"fmt"
	"hash"
	"hash/fnv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

// A gallery looks at scenes from all sides, in every size and palette by turns, and keeps what it saw as one number.
type gallery struct {
	hash.Hash64
	n, every int // looks, and how many it has until it looks again
	palettes []Palette
}

// gallerySizes are those of terminals, and some at which a picture gains or loses something.
var gallerySizes = [][2]int{{37, 21}, {80, 24}, {120, 40}, {60, 20}, {44, 23}, {200, 60}, {24, 9}, {80, 38}, {52, 30}, {100, 36}, {60, 26},
	{120, 60}, {200, 75}, {70, 45}, {41, 60}, {90, 21}, {46, 31}}

func (g *gallery) look(at func() Scene) {
	if g.n++; g.n%g.every > 0 {
		return
	}
	s := at()
	size := gallerySizes[g.n%len(gallerySizes)]
	text := s.Render(size[0], size[1], views()[g.n%8], g.palettes[g.n/3%len(g.palettes)])
	fmt.Fprintln(g, text, s.Current, s.Entry, s.Exit, s.Next, s.Deferred, s.Blocked, s.Soon) // cannot fail
}

// mishaps are ops that a racket may meet at a moment: every clamp, knot and newest strand gives way, is taken back or goes astray.
func mishaps(r *plan.Racket, round ring, n int) (all [][]plan.Op) {
	for _, c := range plan.Clamps() {
		if g := r.Grip(c); g != nil {
			all = append(all, []plan.Op{{Op: plan.Fault, Fault: plan.FaultClamp, Clamp: c, Extent: plan.Gone}, {Op: plan.Unclamp, Clamp: c},
				{Op: plan.Pull, Strand: g.Strand, Hole: g.Hole, Repull: true}})
		}
	}
	for _, k := range r.Knots() {
		all = append(all, []plan.Op{{Op: plan.Untie, Strand: k.Strand, Out: k.Out, Hole: k.Hole}})
	}
	laid := plan.Strand("")
	for _, x := range r.Spans() {
		if x.Laid() && (laid == "" || x.Nth > r.Span(laid).Nth) {
			laid = x.Strand
		}
		if n++; !x.Laid() || n%7 > 0 {
			continue
		}
		for _, step := range []int{1, -1, 3} {
			wrong := round.name(round.step(round.at(x.In), step))
			all = append(all, []plan.Op{{Op: plan.Fault, Fault: plan.FaultHole, Strand: x.Strand, From: x.In, Hole: wrong}})
		}
		all = append(all, []plan.Op{{Op: plan.Fault, Fault: plan.FaultBreak, Strand: x.Strand, Where: plan.InBed}, {Op: plan.Cut, Strand: x.Strand}},
			[]plan.Op{{Op: plan.Inspect, Strand: x.Strand, Text: "look"}}, []plan.Op{{Op: plan.WalkSlack, Strands: []plan.Strand{x.Strand, laid}}})
	}
	if laid != "" {
		x := r.Span(laid)
		all = append(all, []plan.Op{{Op: plan.Unweave, Strand: laid, From: x.In, To: x.Out}})
	}
	return all
}

func (g *gallery) plan(p *plan.Plan) {
	for done := range len(p.Steps) + 1 {
		g.look(func() Scene { return At(p, done, done+1) })
		if done%9 > 0 {
			continue
		}
		for i, ops := range mishaps(p.After(done), newRing(&p.Terms), g.n) {
			q := detour(p, done, ops...)
			q.Steps[done].Record = i%2 == 0 && ops[0].Op == plan.Fault
			g.look(func() Scene { return At(q, done, done+1) })
			g.look(func() Scene { return At(q, done+1, 0) })
		}
	}
	g.look(func() Scene { return At(p, len(p.Steps), 0) })
}

func (g *gallery) bed(f *patterns.Frame) {
	for i := range 32 {
		on := Planned{Mains: i&1 > 0, Crosses: i&2 > 0, Loops: i&4 > 0, Ties: i&8 > 0}
		if i&16 > 0 {
			on.Hand, on.InHand = f.TieMains, patterns.Main
			on.Hand = append(on.Hand, f.Crosses[i%len(f.Crosses)].Ends[:]...)
			if i%3 > 0 {
				on.InHand = patterns.Cross
			}
		}
		g.look(func() Scene { return Bed(f, on) })
	}
}

// Nothing changes in any picture unseen: every built-in layout by every sheet, step by step and with what goes wrong, from all
// sides and in all sizes; with -tags mutate, and -update writes anew what was seen.
func TestLooks(t *testing.T) {
	sweep.Net(t)
	var palettes []Palette
	for _, name := range []string{"plain", "dark", "light"} {
		palettes = append(palettes, palette(t, name, false), palette(t, name, true))
	}
	path := filepath.Join("testdata", "looks.txt")
	want, err := os.ReadFile(path)
	require.True(t, err == nil || *update, "write it with -update")
	var got strings.Builder
	nth := 0
	seen := func(name string, g *gallery) {
		line := fmt.Sprintf("%016x %d %s\n", g.Sum64(), g.n, name)
		if !*update {
			require.Contains(t, string(want), line)
		}
		got.WriteString(line)
	}
	fresh := func() *gallery { nth++; return &gallery{fnv.New64a(), 7 * nth, 13, palettes} }
	for size := -1; size < 8; size++ {
		g := fresh()
		for _, ascii := range []bool{false, true} {
			fmt.Fprintln(g, Big(known, size, ascii), BigWidth(known, size))
			if size > 0 {
				fmt.Fprintln(g, Dots(known, size, ascii), DotWidth(known, size), Slim(known, size), SlimWidth(known, size))
			}
		}
		seen(fmt.Sprint("figures ", size), g)
	}
	for _, layout := range layouts() {
		g := fresh()
		g.bed(frame(t, layout))
		seen(layout, g)
	}
	for i, sheet := range append(library.Techniques(), "pairs") {
		for j, layout := range layouts() {
			if _, p, err := tryBuild(t, layout, sheet); err == nil && (i+j)%2 == 0 {
				g := fresh()
				g.plan(p)
				seen(layout+", "+sheet, g)
			}
		}
	}
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got.String()), 0o644))
		return
	}
	require.Equal(t, string(want), got.String())
}
