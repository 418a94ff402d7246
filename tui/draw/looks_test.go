package draw

import (
	"fmt"
	"hash"
	"hash/fnv"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/sweep"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
)

// A gallery looks at scenes drawn by lot, from any side, in any size and palette, and keeps what it saw as one number.
type gallery struct {
	hash.Hash64
	*rand.Rand
	palettes []Palette
}

func (g *gallery) look(s Scene) {
	w, h, view := g.size(s)
	if g.IntN(4) == 0 {
		s = s.Fitted(w, h, view, Scene{})
	}
	text := s.Render(w, h, view, g.palettes[g.IntN(len(g.palettes))])
	least, rows := s.Size(view)
	fmt.Fprintln(g, text, s.Current, s.Entry, s.Exit, s.Next, s.Deferred, s.Blocked, s.Soon, least, rows, s.Beside(view, w, h, g.IntN(90)), s.Laid(view, w, h)) // cannot fail
}

// size is mostly near one at which the picture of a scene gains or loses something.
func (g *gallery) size(s Scene) (w, h int, v View) {
	v = views()[g.IntN(8)]
	least, rows := s.Size(v)
	switch g.IntN(4) {
	case 0:
		return 1 + g.IntN(least+10), 1 + g.IntN(rows+8), v
	case 1:
		return 1 + g.IntN(220), 1 + g.IntN(90), v
	}
	return least + g.IntN(2*least), rows + g.IntN(rows), v
}

// frame is one that is built in, wide22 or one with hardly any string, now and then with ends in other holes than its own and with holes
// more on one side.
func (g *gallery) frame(t *testing.T) *patterns.Frame {
	text := layouts()[g.IntN(len(layouts()))]
	if g.IntN(4) == 0 {
		text = fmt.Sprintf("name = \"Little\"\nsport = \"squash\"\nmains = %d\ncrosses = %d\nstart = %q\n", 2+2*g.IntN(4), 1+g.IntN(5), patterns.End(g.IntN(2)))
	}
	f := frame(t, text)
	for range g.IntN(4) {
		all := append(f.Columns(), f.Crosses...)
		c, end := all[g.IntN(len(all))], g.IntN(2)
		to := c.Ends[end]
		to.N += 2*g.IntN(2) - 1
		if relaid, err := f.Relaid(c.Strand, c.Ends[end], to); err == nil && to.N > 0 && to.N <= f.Holes[to.Side] {
			f = relaid
		}
	}
	if g.IntN(4) == 0 {
		g.widen(f)
	}
	return f
}

// widen gives one side of a frame one or two holes that carry no string.
func (g *gallery) widen(f *patterns.Frame) {
	side := patterns.Side(g.IntN(2))
	at, more := 2+g.IntN(f.Holes[side]-1), 1+g.IntN(2)
	for _, list := range [][]patterns.Chord{f.Mains[side], f.Crosses} {
		for i := range list {
			for end := range list[i].Ends {
				if h := &list[i].Ends[end]; h.Side == side && h.N >= at {
					h.N += more
				}
			}
		}
	}
	f.Holes[side] += more
	f.TieMains, f.TieCrosses = nil, nil
}

// bed is a frame of which something is settled.
func (g *gallery) bed(f *patterns.Frame) Scene {
	is := func() bool { return g.IntN(2) == 0 }
	on := Planned{Mains: is(), Crosses: is(), Loops: is(), Ties: is(), InHand: patterns.Kind(g.IntN(2))}
	for range g.IntN(4) {
		side := patterns.Side(g.IntN(2))
		on.Hand = append(on.Hand, patterns.Hole{Side: side, N: 1 + g.IntN(f.Holes[side])})
	}
	return Bed(f, on)
}

// moment is one of a plan, as it should go, or after something went wrong.
func (g *gallery) moment(p *plan.Plan) Scene {
	done := g.IntN(len(p.Steps) + 1)
	switch g.IntN(3) {
	case 0:
		p = g.astray(p, done)
	case 1:
		if next := g.mended(p, done); next != nil {
			p = next
			done = min(len(p.Steps), done+g.IntN(8))
		}
	}
	s := At(p, done, (done+1)*min(1, g.IntN(6)))
	if g.IntN(6) == 0 {
		g.stack(s.Grips)
		g.stack(s.After)
	}
	return s
}

// stack puts S behind a clamp, or that where S is.
func (g *gallery) stack(grips map[plan.Clamp]plan.Grip) {
	front := []plan.Clamp{plan.A, plan.B}[g.IntN(2)]
	for _, pair := range [][2]plan.Clamp{{front, plan.S}, {plan.S, front}} {
		if grip, ok := grips[pair[0]]; ok {
			grips[pair[1]] = grip
		}
	}
}

// astray is a plan with a step put in at which one to three things happen to the racket, whether that makes sense or not.
func (g *gallery) astray(p *plan.Plan, done int) *plan.Plan {
	var ops []plan.Op
	for range 1 + g.IntN(3) {
		all := mishaps(detour(p, done, ops...).After(done+1), newRing(&p.Terms), g.IntN)
		ops = append(ops, all[g.IntN(len(all))]...)
	}
	q := detour(p, done, ops...)
	q.Steps[done].Record = g.IntN(2) == 0
	return q
}

// mended is a plan with the way back from a mishap, nil where the lot fell on none.
func (g *gallery) mended(p *plan.Plan, done int) *plan.Plan {
	m := cases.At(p, done)
	q := m.Wrong()
	if slip := m.Slipped(); len(slip.Answers) > 0 && g.IntN(2) == 0 {
		q = slip
	}
	for {
		a := q.Answers[g.IntN(len(q.Answers))]
		if a.Next != nil {
			q = a.Next()
			continue
		}
		if a.Again {
			return nil
		}
		next, _ := shop.Mend(p, done, a.Trouble)
		return next
	}
}

// mishaps are ops that a racket may meet at a moment: every clamp, knot and newest strand gives way, is taken back or goes astray, and what
// may happen to any strand happens to one drawn by lot.
func mishaps(r *plan.Racket, round ring, lot func(int) int) (all [][]plan.Op) {
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
	}
	x := r.Spans()[lot(len(r.Spans()))]
	wrong := round.name(round.step(round.at(x.In), []int{1, -1, 3, -4}[lot(4)]))
	all = append(all, []plan.Op{{Op: plan.Fault, Fault: plan.FaultHole, Strand: x.Strand, From: x.In, Hole: wrong}},
		[]plan.Op{{Op: plan.Fault, Fault: plan.FaultBreak, Strand: x.Strand, Where: plan.InBed}, {Op: plan.Cut, Strand: x.Strand}},
		[]plan.Op{{Op: plan.Inspect, Strand: x.Strand, Text: "look"}}, []plan.Op{{Op: plan.WalkSlack, Strands: []plan.Strand{x.Strand, laid}}})
	if laid != "" {
		x := r.Span(laid)
		all = append(all, []plan.Op{{Op: plan.Unweave, Strand: laid, From: x.In, To: x.Out}})
	}
	return all
}

// Nothing changes in any picture unseen, of whatever frame, by whatever sheet, whatever goes wrong, from all sides and in all sizes; with
// -tags mutate, and -update writes anew what was seen.
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
	seen := func(name string, g hash.Hash64) {
		line := fmt.Sprintf("%016x %s\n", g.Sum64(), name)
		if !*update {
			require.Contains(t, string(want), line)
		}
		got.WriteString(line)
	}
	for i := range 120 {
		g := &gallery{fnv.New64a(), rand.New(rand.NewPCG(1, uint64(i))), palettes}
		f := g.frame(t)
		w, err := sequencetest.Make(t, f, sheet(t, sheets()[g.IntN(len(sheets()))]))
		for range 12 {
			if err != nil || g.IntN(4) == 0 {
				g.look(g.bed(f))
			} else {
				g.look(g.moment(w.Plan))
			}
		}
		seen(fmt.Sprintf("lot %d", i), g)
	}
	for size := -1; size < 8; size++ {
		g := fnv.New64a()
		for i, p := range palettes {
			ascii := i%2 > 0
			fmt.Fprintln(g, Big(known, size, ascii), BigWidth(known, size), p.Legend())
			if size > 0 {
				fmt.Fprintln(g, Dots(known, size, ascii), DotWidth(known, size), Slim(known, size), SlimWidth(known, size))
			}
		}
		seen(fmt.Sprint("figures ", size), g)
	}
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got.String()), 0o644))
		return
	}
	require.Equal(t, string(want), got.String())
}
