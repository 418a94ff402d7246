package sequence_test

import (
	"cmp"
	"fmt"
	"math/rand"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// No way back is longer than it has to be: whatever hands may do after a mishap on a tiny racket, as long as the referee lets
// them, and then the planner's way on from there, none takes fewer pulls, let-gos, layings and knots than the planner's, and fewer
// cuts, which waste string.
// Hands do what follows, on any strand, by any clamp and in any order: let a strand go, with what lies behind it clamped or not;
// pull it again at either end; draw it out; cut it; take a clamp off; open a knot; ease the gripper.
func TestNoShorterWayBack(t *testing.T) {
	n, knots, tried := 0, 0, map[plan.Mishap]int{}
	for _, p := range tinyRackets(t) {
		for done := range p.Steps {
			for _, trouble := range troubles(p.After(done)) {
				if trouble.Fault == plan.FaultFrame || trouble.Fault == plan.FaultKink {
					continue // all comes out; a kinked piece is replaced, whatever else would do
				}
				of, share := 97, 11
				switch trouble.Fault {
				case plan.FaultClamp:
					of = 29 // there are few
				case plan.FaultKnot:
					of, share = 17, 11
				}
				if n++; n%of != 0 || !sweep.Take(n/of, share) {
					continue
				}
				next, err := sequence.Recover(p, done, trouble)
				if impossible(t, err) {
					continue
				}
				tried[trouble.Fault]++
				if bare(p, next, done, 0) {
					continue
				}
				if trouble.Fault == plan.FaultKnot && cutsString(next.Steps[done:]) {
					knots++
				}
				b := &brute{t: t, terms: &p.Terms, best: work(next, done), room: sweep.Share(100, 5)}
				way := b.shorter(next, done+1)
				assert.Empty(t, way, "%s, after step %d: %s takes %d, %s; %d would do", p.Frame, done, trouble.Words(), work(next, done), hands(next.Steps[done+1:]), b.best)
			}
		}
	}
	t.Log(n, knots, tried)
	assert.Positive(t, knots, "a knot came open, and its piece is cut out")
	for _, fault := range []plan.Mishap{plan.FaultWeave, plan.FaultLate, plan.FaultBreak, plan.FaultClamp} {
		assert.Positive(t, tried[fault], fault)
	}
}

// A racket is a small frame, by its mains, crosses and where its mains start, and a sheet.
type racket struct {
	mains, crosses int
	start, sheet   string
}

func (r racket) build(t *testing.T) (*plan.Plan, error) {
	return sequence.Build(tiny(t, r.mains, r.crosses, r.start), technique(t, "name = \"t\"\n"+r.sheet+"\n"), kg(t, "24 kg"), kg(t, "23 kg"))
}

// tinyRackets are plans of small frames by ten sheets, each with its frame and sheet for a name.
func tinyRackets(t *testing.T) (out []*plan.Plan) {
	for _, size := range [][2]int{{4, 3}, {4, 4}, {4, 5}} {
		for _, start := range []string{"head", "throat"} {
			for _, sheet := range []string{"", "pieces = 1", "[clamps]\nflying = 2", "[mains]\nlead = 1", "[crosses]\nclamps = 1", "[crosses]\nstart = \"skip\"", "[crosses]\nstart = \"knot\"", "[crosses]\nfrom = \"throat\"", "[crosses]\nahead = false", "[redo]\nwalk = { mains = 1, crosses = 1 }"} {
				r := racket{size[0], size[1], start, sheet}
				p, err := r.build(t)
				if err != nil {
					continue // no hole to tie in
				}
				p.Frame = fmt.Sprintf("%d by %d from the %s, %q", r.mains, r.crosses, r.start, r.sheet)
				out = append(out, p)
			}
		}
	}
	require.Greater(t, len(out), 30)
	return out
}

// Nor of crosses that flying clamps pull in pairs.
func TestNoShorterWayBackOfPairs(t *testing.T) {
	n := 0
	for _, p := range tinyRackets(t) {
		for done := range p.Steps {
			if p.Terms.Flying == 0 {
				break
			}
			for _, s := range p.After(done).Newest() {
				for _, fault := range []plan.Mishap{plan.FaultLate, plan.FaultTension} {
					next, err := sequence.Recover(p, done, sequence.Trouble{Fault: fault, Strand: s.Strand})
					if s.Strand.IsMain() || impossible(t, err) {
						continue
					}
					if n++; sweep.Take(n, 7) {
						b := &brute{t: t, terms: &p.Terms, best: work(next, done), room: sweep.Share(100, 5)}
						way := b.shorter(next, done+1)
						assert.Empty(t, way, "%s, after step %d: %s of %s takes %d, %s; %d would do", p.Frame, done, fault, s.Strand, work(next, done), hands(next.Steps[done+1:]), b.best)
					}
				}
			}
		}
	}
	assert.Greater(t, n, 100)
}

// A second thing goes wrong in the midst of a way back: what is decided by then stays decided, and nothing is pulled again or moved that is let
// go or drawn out for the other.
func TestNoShorterWayBackOfTwoMishaps(t *testing.T) {
	plain := racket{4, 5, "head", ""}
	for i, c := range []struct {
		racket
		mishaps [2]string
	}{
		{plain, [2]string{"19 wrong-tension strand=C3", "23 gripper-slipped done=1"}},
		{plain, [2]string{"10 slip-found-late strand=M2L", "11 slip-found-late strand=M2L"}},
		{plain, [2]string{"20 wrong-hole strand=C2 hole=1HL", "23 slip-found-late strand=C3"}},
		{plain, [2]string{"20 slip-found-late strand=C2", "26 slip-found-late strand=C1"}},
		{plain, [2]string{"18 slip-found-late strand=C3", "20 wrong-hole strand=C2 hole=5HL"}},
		{plain, [2]string{"9 wrong-hole strand=M1R hole=1HL", "10 wrong-tension strand=M2R"}},
		{plain, [2]string{"21 wrong-hole strand=C5 hole=4TR", "22 wrong-hole strand=C3 hole=4TL"}},
		{plain, [2]string{"19 wrong-hole strand=C2 hole=1HL", "30 misweave strand=C1"}},
		{racket{4, 3, "head", "[crosses]\nfrom = \"throat\""}, [2]string{"9 wrong-tension strand=M1L", "18 slip-found-late strand=M1R done=1"}},
		{racket{4, 5, "throat", "[crosses]\nclamps = 1"}, [2]string{"8 slip-found-late strand=M1R", "9 slip-found-late strand=M1L"}},
		{racket{4, 4, "head", "[mains]\nlead = 1"}, [2]string{"9 strands-swapped strand=M1R with=M2R", "10 wrong-tension strand=M2L"}},
		{racket{4, 4, "throat", "[redo]\nwalk = { mains = 1, crosses = 1 }"}, [2]string{"15 clamp-slipped clamp=S extent=crept", "20 gripper-slipped"}},
		{racket{4, 5, "throat", "[crosses]\nfrom = \"throat\""}, [2]string{"15 clamp-slipped clamp=S extent=crept", "16 clamp-slipped clamp=B extent=gone done=1"}},
		{racket{4, 5, "throat", ""}, [2]string{"18 clamp-slipped clamp=S extent=base", "19 clamp-slipped clamp=B extent=crept"}},
		{racket{4, 3, "throat", "[redo]\nwalk = { mains = 1, crosses = 1 }"}, [2]string{"7 clamp-slipped clamp=A extent=gone", "14 too-short strand=M1L done=1"}},
		{racket{4, 3, "head", "[clamps]\nflying = 2"}, [2]string{"15 clamp-slipped clamp=B extent=crept", "16 wrong-tension strand=C1 done=1"}},
		{racket{4, 5, "throat", "[crosses]\nfrom = \"throat\""}, [2]string{"9 clamp-slipped clamp=A extent=gone", "15 wrong-hole strand=M2R hole=1HL"}},
	} {
		if !sweep.Take(i, 4) {
			continue
		}
		p, err := c.build(t)
		require.NoError(t, err)
		done, trouble, err := sequence.ParseTrouble(c.mishaps[1])
		require.NoError(t, err)
		next := proven(t, onward(t, p, c.mishaps[:1]), done, trouble)
		b := &brute{t: t, terms: &p.Terms, best: work(next, done), room: 60}
		assert.Empty(t, b.shorter(next, done+1), "%v: takes %d, %d would do", c, work(next, done), b.best)
	}
}

// Any two mishaps, the second anywhere in the way back of the first or just after it: at most one in two hundred is longer than it has to be.
func TestNoShorterWayBackOfAnyTwoMishaps(t *testing.T) {
	rackets := tinyRackets(t)
	seed, err := int64(1), error(nil)
	if s := os.Getenv("PULLCARD_PAIRS"); s != "" { // other pairs than those of CI
		seed, err = strconv.ParseInt(s, 10, 64)
		require.NoError(t, err)
	}
	rng := rand.New(rand.NewSource(seed))
	tried, longer := 0, 0
	for tried < sweep.Share(200, 20) {
		whole := rackets[rng.Intn(len(rackets))]
		done := rng.Intn(len(whole.Steps))
		first := drawn(rng, whole, done, 0)
		p, err := sequence.Recover(whole, done, first)
		if impossible(t, err) || len(referee.Check(p)) > 0 {
			continue
		}
		then := soonAfter(rng, p, done, 2)
		if then >= len(p.Steps) {
			continue
		}
		second := drawn(rng, p, then, rng.Intn(len(p.Steps[then].Ops)+1))
		next, err := sequence.Recover(p, then, second)
		if impossible(t, err) || len(referee.Check(next)) > 0 || bare(p, next, then, second.Ops) {
			continue
		}
		tried++
		b := &brute{t: t, terms: &p.Terms, best: work(next, then), room: 60}
		if way := b.shorter(next, then+1); way != nil {
			longer++
			t.Logf("%s: %d %s, %d %s done=%d: takes %d, %s; %d would do, %s", whole.Frame, done+1, first.Words(), then+1, second.Words(), second.Ops, work(next, then), hands(next.Steps[then+1:]), b.best, way)
		}
	}
	t.Logf("%d pairs, %d longer", tried, longer)
	assert.LessOrEqual(t, longer, tried/200)
}

// soonAfter is a step by lot in the way back of a mishap after a step, or one of the first so many that follow.
func soonAfter(rng *rand.Rand, p *plan.Plan, done, follow int) int {
	cards := slices.IndexFunc(p.Steps[done+1:], func(s plan.Step) bool { return s.Base > 0 })
	return done + 1 + rng.Intn(max(cards, 0)+follow)
}

// drawn is one of the mishaps that may have happened after a step and some ops of the next, each kind as often.
func drawn(rng *rand.Rand, p *plan.Plan, done, ops int) sequence.Trouble {
	kinds := map[plan.Mishap][]sequence.Trouble{}
	var order []plan.Mishap
	for _, t := range troubles(p.AfterOps(done, ops)) {
		if t.Fault == plan.FaultFrame || t.Fault == plan.FaultKink {
			continue // all comes out; a kinked piece is replaced, whatever else would do
		}
		if kinds[t.Fault] == nil {
			order = append(order, t.Fault)
		}
		kinds[t.Fault] = append(kinds[t.Fault], t)
	}
	of := kinds[order[rng.Intn(len(order))]]
	t := of[rng.Intn(len(of))]
	t.Ops = ops
	return t
}

func cutsString(steps []plan.Step) bool {
	return slices.ContainsFunc(steps, func(s plan.Step) bool {
		return slices.ContainsFunc(s.Ops, func(o plan.Op) bool { return o.Op == plan.Cut })
	})
}

// bare says whether mains come out while crosses lie. Then the trade says how: both are cut, from the centre, and that is shortest
// where each strand is cut once, or drawn out if it was never pulled, and nothing else is undone.
func bare(p, next *plan.Plan, done, ops int) bool {
	r := next.After(done + 1)
	wrong := slices.ContainsFunc(r.Open(), func(o plan.Op) bool { return o.Strand[0] == 'M' }) ||
		slices.ContainsFunc(r.Knots(), func(k plan.Knot) bool { return k.Slipped && k.Strand[0] == 'M' })
	if !wrong && !r.Lost(plan.PieceMains) {
		return false
	}
	laid, mains, crosses, undone := 0, 0, 0, 0
	for _, s := range p.AfterOps(done, ops).Newest() {
		if laid++; s.Strand[0] == 'C' {
			crosses++
		}
	}
	for _, s := range next.Steps[done+1:] {
		if s.Base > 0 {
			break
		}
		for _, o := range s.Ops {
			if undone == 0 && o.Op == plan.Slacken && r.Gripper() != nil && r.Same(*r.Gripper(), plan.Spot{Strand: o.Strand, Hole: o.Hole}) { // what the gripper pulls gives way first
				_ = r.Apply(&o)
				continue
			}
			if o.Op == plan.Cut {
				undone++
			}
			if o.Op == plan.Cut && o.Strand[0] == 'M' {
				mains++
			}
			switch {
			case o.Op == plan.Slacken || (o.Op == plan.Unthread || o.Op == plan.Unweave) && r.Span(o.Strand).Pulled:
				undone += laid
			case o.Op == plan.Unthread || o.Op == plan.Unweave:
				undone++ // it was never pulled
			}
			_ = r.Apply(&o)
		}
	}
	return mains > 0 && crosses > 0 && undone == laid
}

// work is what a plan takes from a step on, to be weighed against another: a pull, an easing, a let-go, a laying or a knot, in or out, is 1, a
// piece that was sound and is cut is 20 more.
func work(p *plan.Plan, from int) (n int) {
	r := p.After(from)
	for _, s := range p.Steps[from:] {
		n += labour(r, s.Ops)
	}
	return n
}

// labour is the same of some ops, which it does.
func labour(r *plan.Racket, ops []plan.Op) (n int) {
	for i := range ops {
		switch o := &ops[i]; o.Op {
		case plan.Cut:
			if n++; !wasted(r, r.Span(o.Strand).Piece) {
				n += 20
			}
		case plan.Pull, plan.Release, plan.Slacken, plan.Thread, plan.Weave, plan.Unthread, plan.Unweave, plan.Move, plan.Tie, plan.Untie:
			n++
		}
		_ = r.Apply(&ops[i])
	}
	return n
}

// wasted says whether a piece of string is to be replaced whatever hands do: it broke, or its tail is too short to be tied again.
func wasted(r *plan.Racket, p plan.Piece) bool {
	return r.Lost(p) || slices.ContainsFunc(r.Knots(), func(k plan.Knot) bool { return k.Slipped && k.Trimmed && r.Span(k.Strand).Piece == p })
}

// brute looks for a shorter way back.
type brute struct {
	t     require.TestingT
	terms *plan.Terms
	best  int // the shortest so far, from the mishap on
	room  int // how many states are looked at
}

// way is what hands did so far.
type way struct {
	steps  []plan.Step
	racket *plan.Racket
	work   int
}

// least is what a racket takes at the least: each strand that is not laid is laid, pulled and eased, each that is slack is pulled and eased, but
// slack that slipped may come with another.
func least(r *plan.Racket) (n int) {
	for _, s := range r.Spans() {
		switch {
		case !s.Laid():
			n += 3
		case !s.Tight && !s.Slipped:
			n += 2
		}
	}
	return n
}

// shorter goes on from a mishap, the cheapest first, and returns the first way that is shorter than the planner's.
func (b *brute) shorter(p *plan.Plan, done int) []string {
	start := way{steps: p.Steps[:done:done], racket: p.After(done)}
	start.work = labour(p.After(done-1), start.steps[done-1].Ops) // of the step in hand
	seen := map[string]bool{}
	for open := []way{start}; len(open) > 0 && b.room > 0; b.room-- {
		slices.SortStableFunc(open, func(a, c way) int { return cmp.Compare(a.work+least(a.racket), c.work+least(c.racket)) })
		at := open[0]
		open = open[1:]
		if at.work+least(at.racket) >= b.best {
			break
		}
		if next, err := sequence.GoOn(&plan.Plan{Terms: p.Terms, Frame: p.Frame, Steps: slices.Concat(at.steps, p.Steps[len(p.Steps)-1:])}, len(at.steps)); err == nil {
			if total := at.work + work(next, len(at.steps)); total < b.best && len(referee.Check(next)) == 0 {
				b.best = total
				return append([]string{"by"}, hands(next.Steps[done:]))
			}
		}
		for _, ops := range b.moves(at.racket) {
			next := at
			next.steps = append(slices.Clip(at.steps), plan.Step{N: len(at.steps) + 1, Phase: phaseNow(at.racket), Title: "by hand", Ops: ops})
			next.racket = at.racket.Clone()
			next.work += labour(next.racket, ops)
			next.steps[len(at.steps)].Clamps = next.racket.Grips()
			if ops[len(ops)-1].Op == plan.Slacken && slack(next.racket) > slack(at.racket)+1 {
				continue // the trade lets strands go one by one
			}
			key := stateKey(next.racket)
			if seen[key] || next.work+least(next.racket) >= b.best {
				continue
			}
			if _, breaches := referee.From(b.terms, next.steps); len(breaches) > 0 {
				continue
			}
			seen[key] = true
			open = append(open, next)
		}
	}
	return nil
}

func slack(r *plan.Racket) (n int) {
	for _, s := range r.Spans() {
		if !s.Tight {
			n++
		}
	}
	return n
}

func phaseNow(r *plan.Racket) plan.Phase {
	for _, s := range r.Spans() {
		if s.Strand[0] == 'C' && s.Laid() {
			return plan.PhaseCrosses
		}
	}
	return plan.PhaseMains
}

func stateKey(r *plan.Racket) string {
	text := fmt.Sprint(r.Gripper(), len(r.Open()))
	for _, s := range r.Spans() {
		text += fmt.Sprint(s.Laid(), s.Tight, s.Slipped, s.Low, s.Pulled, " ")
	}
	for _, c := range plan.Clamps() {
		if g := r.Grip(c); g != nil {
			text += fmt.Sprint(c, g.Strand, r.At(g.Hole), r.Holds(c), r.Slipped(c))
		}
	}
	for _, k := range r.Knots() {
		text += fmt.Sprint(k)
	}
	return text
}

// moves are what hands might do next.
func (b *brute) moves(r *plan.Racket) (out [][]plan.Op) {
	add := func(ops ...plan.Op) { out = append(out, ops) }
	for _, c := range plan.Clamps() {
		g, pulls := r.Grip(c), r.Gripper()
		if g == nil || r.Slipped(c) != "" && pulls != nil && (pulls.Strand != g.Strand || r.At(pulls.Hole) != r.At(g.Hole)) {
			continue // the gripper takes the load of what crept at that exit
		}
		add(plan.Op{Op: plan.Unclamp, Clamp: c})
	}
	if g := r.Gripper(); g != nil {
		add(plan.Op{Op: plan.Release})
		add(plan.Op{Op: plan.Slacken, Strand: g.Strand, Hole: g.Hole})
		for _, c := range plan.Clamps()[:2] {
			add(append(b.off(r, c), plan.Op{Op: plan.ClampOn, Clamp: c, Strand: g.Strand, Hole: g.Hole}, plan.Op{Op: plan.Release})...)
		}
		return out
	}
	for _, k := range r.Knots() {
		if k.Trimmed {
			continue // its tail is too short to be pulled again
		}
		add(plan.Op{Op: plan.Untie, Strand: k.Strand, Out: k.Out, Hole: k.Hole})
	}
	for _, s := range r.Newest() {
		do := plan.Unthread
		if s.Strand[0] == 'C' {
			do = plan.Unweave
		}
		if !s.Tight {
			add(plan.Op{Op: do, Strand: s.Strand, From: s.In, To: s.Out})
		}
		add(plan.Op{Op: plan.Cut, Strand: s.Strand})
		for _, end := range [2]plan.Hole{s.In, s.Out} {
			at := plan.Spot{Strand: s.Strand, Hole: end}
			for _, boosted := range []bool{false, true} {
				b.pulls(r, at, boosted, add)
			}
		}
	}
	return out
}

func (b *brute) off(r *plan.Racket, c plan.Clamp) []plan.Op {
	if r.Grip(c) == nil {
		return nil
	}
	return []plan.Op{{Op: plan.Unclamp, Clamp: c}}
}

// pulls adds what begins with a pull at a point: to pull again there, and to let go.
func (b *brute) pulls(r *plan.Racket, at plan.Spot, boosted bool, add func(...plan.Op)) {
	order := b.terms.PullOf(at.Strand)
	pull := plan.Op{Op: plan.Pull, Strand: at.Strand, Hole: at.Hole, Newtons: order.Newtons, Tension: order.Ordered, Repull: true}
	if boosted {
		pull.Newtons, pull.Tension, pull.BoostPercent = order.BoostedNewtons, order.Boosted, order.BoostPercent
	}
	first := []plan.Op{pull}
	if slack := r.Cell(at); !r.Tight(at.Strand) && len(slack) > 1 {
		first = []plan.Op{{Op: plan.WalkSlack, Strands: slack}, pull}
	}
	var there []plan.Op
	for _, c := range plan.Clamps() {
		if g := r.Grip(c); g != nil && g.Strand == at.Strand && r.At(g.Hole) == r.At(at.Hole) {
			there = append(there, plan.Op{Op: plan.Unclamp, Clamp: c})
		}
	}
	for _, c := range plan.Clamps() {
		on := plan.Op{Op: plan.ClampOn, Clamp: c, Strand: at.Strand, Hole: at.Hole, Outside: c == plan.S}
		off := there
		if !slices.ContainsFunc(there, func(o plan.Op) bool { return o.Clamp == c }) {
			off = slices.Concat(there, b.off(r, c))
		}
		add(slices.Concat(first, off, []plan.Op{on, {Op: plan.Release}})...)
	}
	slacken := plan.Op{Op: plan.Slacken, Strand: at.Strand, Hole: at.Hole}
	add(slices.Concat(first, there, []plan.Op{slacken})...)
	if before := r.Before(at.Strand); before.Strand != "" {
		for _, c := range plan.Clamps()[:2] {
			on := plan.Op{Op: plan.ClampOn, Clamp: c, Strand: before.Strand, Hole: before.Hole}
			off := slices.DeleteFunc(slices.Clone(there), func(o plan.Op) bool { return o.Clamp == c })
			add(slices.Concat(first, b.off(r, c), []plan.Op{on}, off, []plan.Op{slacken})...)
		}
	}
}
