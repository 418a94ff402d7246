package sequence_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// sound follows a plan through the state: nothing that is tight loses its hold but by a let-go, a cut or a mishap, and at the
// end the racket is strung or bare.
func sound(t require.TestingT, p *plan.Plan) {
	r := plan.NewRacket(&p.Terms)
	tight := func() (out []plan.Strand) {
		for _, s := range r.Spans() {
			if s.Tight {
				out = append(out, s.Strand)
			}
		}
		return out
	}
	for i, s := range p.Steps {
		for j := range s.Ops {
			o := &s.Ops[j]
			was := tight()
			if o.Op == plan.Pull && i > 0 {
				require.Nil(t, r.Gripper(), "step %d %s: two pulls", s.N, s.Title)
			}
			require.NoError(t, r.Apply(o), "step %d %s", s.N, s.Title)
			switch o.Op {
			case plan.Fault, plan.Slacken, plan.Cut:
				continue
			}
			if i := slices.IndexFunc(was, func(x plan.Strand) bool { return !r.Tight(x) }); i >= 0 {
				require.Fail(t, "it goes slack", "step %d %s, op %d %s: %s", s.N, s.Title, j+1, o.Op, was[i])
			}
			if o.Op == plan.Pull {
				require.True(t, r.Tight(o.Strand) || r.Span(o.Strand).Slipped, "step %d %s: the pull of %s does nothing", s.N, s.Title, o.Strand)
			}
		}
		require.Equal(t, s.Clamps, r.Grips(), "step %d", s.N)
	}
	for _, s := range r.Spans() {
		if p.Cracked() {
			require.False(t, s.Laid(), "%s is left", s.Strand)
			continue
		}
		require.True(t, s.Tight && !s.Low, "%s is slack or low at the end", s.Strand)
	}
	for _, o := range r.Open() {
		require.Fail(t, "still open", o.Text)
	}
	for c, g := range r.Grips() {
		require.Nil(t, g, "%s grips", c)
	}
	require.Equal(t, r.Totals(), p.Totals)
	if !p.Cracked() {
		require.Len(t, r.Knots(), 2*p.Terms.Pieces)
		for _, k := range r.Knots() {
			require.True(t, k.Trimmed && !k.Slipped, "knot in %s", k.Hole)
		}
	}
}

// proven recovers and lets state and referee play the whole of it: what was done, the recovery, the rest.
func proven(t require.TestingT, p *plan.Plan, done int, trouble sequence.Trouble) *plan.Plan {
	next, err := sequence.Recover(p, done, trouble)
	require.NoError(t, err, "after step %d: %s", done, trouble.Words())
	sound(t, next)
	if breaches := referee.Check(next); len(breaches) > 0 {
		require.Empty(t, breaches, "after step %d: %s\n%s", done, trouble.Words(), spelled(next, done))
	}
	require.Equal(t, p.Steps[:done], next.Steps[:done], "what was done stays")
	return next
}

// impossible says whether a mishap cannot have happened so. That no way back is proven is a failure.
func impossible(t require.TestingT, err error) bool {
	require.NotErrorAs(t, err, new(sequence.Unproven))
	return err != nil
}

func spelled(p *plan.Plan, done int) string {
	var b strings.Builder
	for i := max(done-2, 0); i < min(len(p.Steps), done+14); i++ {
		s := &p.Steps[i]
		fmt.Fprintf(&b, "%d %s: %s\n", s.N, s.Phase, s.Title)
		for _, o := range s.Ops {
			fmt.Fprintf(&b, "\t%s %s %s%s\n", o.Op, o.Strand, o.Hole, o.Clamp)
		}
	}
	return b.String()
}

func titles(p *plan.Plan, from, to int) (out []string) {
	for _, s := range p.Steps[from:to] {
		out = append(out, s.Title)
	}
	return out
}

// anyTrouble draws something that can have gone wrong, and what is answered to it.
func anyTrouble(t *rapid.T, p *plan.Plan, done int) (sequence.Trouble, bool) {
	trouble, ok := anyMishap(t, p, done)
	answers := map[plan.Mishap][]string{
		plan.FaultWeave: {plan.Keep}, plan.FaultHole: {plan.Keep}, plan.FaultSwapped: {plan.Keep}, plan.FaultTension: {plan.Keep, plan.Undo},
		plan.FaultKink: {plan.New}, plan.FaultShort: {plan.New}, plan.FaultBreak: {plan.Regrip}, plan.FaultSplit: {plan.Sleeve}, plan.FaultKnot: {plan.Keep},
	}[trouble.Fault]
	if trouble.Choose = rapid.SampledFrom(append(answers, "", "")).Draw(t, "answer"); trouble.Fault == plan.FaultKnot && trouble.Choose == plan.Keep {
		trouble.Extent = plan.Crept
	}
	o := plan.Op{Op: plan.Fault, Fault: trouble.Fault, Strand: trouble.Strand, Clamp: trouble.Clamp, Where: trouble.Where, Extent: trouble.Extent, Choose: trouble.Choose}
	r := p.AfterOps(done, trouble.Ops)
	if tight := slices.DeleteFunc(r.Slackens(&o), func(s plan.Strand) bool { return !r.MayHold(s, &o) }); ok && len(tight) > 0 && rapid.Bool().Draw(t, "something is felt to be tight") {
		trouble.With = rapid.SampledFrom(tight).Draw(t, "the first still tight")
	}
	return trouble, ok
}

func anyMishap(t *rapid.T, p *plan.Plan, done int) (sequence.Trouble, bool) {
	trouble := sequence.Trouble{Fault: rapid.SampledFrom(plan.Mishaps()).Draw(t, "fault")}
	if done < len(p.Steps) {
		trouble.Ops = rapid.IntRange(0, len(p.Steps[done].Ops)).Draw(t, "ops")
	}
	r := p.AfterOps(done, trouble.Ops)
	var laid, tight []plan.Strand
	for _, s := range r.Spans() {
		if s.Laid() {
			laid = append(laid, s.Strand)
		}
		if s.Tight {
			tight = append(tight, s.Strand)
		}
	}
	pick := func(from []plan.Strand, name string) bool {
		if len(from) == 0 {
			return false
		}
		trouble.Strand = rapid.SampledFrom(from).Draw(t, name)
		return true
	}
	switch trouble.Fault {
	case plan.FaultClamp:
		var on []plan.Clamp
		for _, c := range plan.Clamps() {
			if r.Grip(c) != nil {
				on = append(on, c)
			}
		}
		if len(on) == 0 {
			return trouble, false
		}
		trouble.Clamp = rapid.SampledFrom(on).Draw(t, "clamp")
		trouble.Extent = rapid.SampledFrom([]plan.Extent{plan.Crept, plan.Base, plan.Gone}).Draw(t, "extent")
	case plan.FaultGripper:
		return trouble, r.Gripper() != nil
	case plan.FaultLate, plan.FaultTension:
		if trouble.Fault == plan.FaultTension && rapid.Bool().Draw(t, "too high") {
			trouble.Extent = plan.High
		}
		return trouble, pick(tight, "strand")
	case plan.FaultBreak:
		trouble.Where = rapid.SampledFrom([]plan.Place{plan.AtGripper, plan.AtJaw, plan.AtHole, plan.InBed}).Draw(t, "where")
		return trouble, pick(laid, "strand")
	case plan.FaultWeave:
		var crosses []plan.Strand
		for _, s := range laid {
			if s[0] == 'C' {
				crosses = append(crosses, s)
			}
		}
		return trouble, pick(crosses, "strand")
	case plan.FaultHole:
		at := rapid.IntRange(1, r.Total()).Draw(t, "hole")
		if trouble.Hole = r.HoleAt(at); trouble.Hole == "" || !pick(laid, "strand") {
			return trouble, false
		}
		return trouble, true
	case plan.FaultKink, plan.FaultShort:
		return trouble, pick(laid, "strand")
	case plan.FaultSwapped:
		if !pick(laid, "strand") {
			return trouble, false
		}
		trouble.With = rapid.SampledFrom(laid).Draw(t, "with")
		if s := r.Span(trouble.Strand); rapid.Bool().Draw(t, "at one end") {
			trouble.Hole = rapid.SampledFrom([]plan.Hole{s.In, s.Out}).Draw(t, "that end")
		}
		return trouble, trouble.With != trouble.Strand
	case plan.FaultKnot:
		if len(r.Knots()) == 0 {
			return trouble, false
		}
		trouble.Hole = rapid.SampledFrom(r.Knots()).Draw(t, "knot").Hole
	case plan.FaultSplit:
		trouble.Hole = rapid.SampledFrom(append(p.Terms.TieMains, p.Terms.TieCrosses...)).Draw(t, "hole")
	}
	return trouble, true
}

// Any layout, any sheet, up to three mishaps with any answers, at any op: the way back never lets go of tight string and leads to
// a strung racket. Where the one that undoes least does not keep the rules all is cut out and strung anew, which is seldom and proven as
// well. PULLCARD_RUNS=from-to are other hundreds of runs than those of CI.
func TestRecoverAnything(t *testing.T) {
	from, to := 0, sweep.Share(30, 30)
	if runs := os.Getenv("PULLCARD_RUNS"); runs != "" {
		_, err := fmt.Sscanf(runs, "%d-%d", &from, &to)
		require.NoError(t, err)
	}
	runs, ways, anew := 0, 0, 0
	for i := from; i < to; i++ {
		back := sweep.Drawn((i + 1) << 20) // rapid counts on from it
		rapid.Check(t, sweep.Some(2, func(rt *rapid.T) {
			recovers(rt, func(p *plan.Plan, done int, trouble sequence.Trouble) (*plan.Plan, error) {
				next, err := sequence.Recover(p, done, trouble)
				if errors.As(err, new(sequence.Unproven)) {
					anew++
					t.Logf("seed %d, at step %d: %+v: %s", i+1, done+1, trouble, err)
					next, err = sequence.StringAnew(p, done, trouble)
					require.NoError(rt, err)
				}
				if err != nil {
					return nil, err // it cannot have happened so
				}
				ways++
				require.Empty(rt, referee.Check(next))
				return next, nil
			})
			runs++
		}))
		back()
	}
	t.Logf("%d runs, %d ways back, %d of them by stringing anew", runs, ways, anew)
	require.LessOrEqual(t, anew, 1+ways/10_000)
}

// Whatever went wrong, also in the midst of a way back, all of the string can be cut out and strung anew.
func TestStringAnew(t *testing.T) {
	for i := range sweep.Share(5, 5) { // times a hundred
		back := sweep.Drawn((i + 1) << 20)
		rapid.Check(t, sweep.Some(5, func(t *rapid.T) {
			recovers(t, func(p *plan.Plan, done int, trouble sequence.Trouble) (*plan.Plan, error) {
				if trouble.Fault == plan.FaultPause || rapid.Bool().Draw(t, "least") {
					if next, err := sequence.Recover(p, done, trouble); !errors.As(err, new(sequence.Unproven)) {
						return next, err
					}
				}
				return sequence.StringAnew(p, done, trouble)
			})
		}))
		back()
	}
}

func recovers(t *rapid.T, way func(p *plan.Plan, done int, trouble sequence.Trouble) (*plan.Plan, error)) {
	f, _, err := patterns.ReadLayout("any", []byte(anyLayout(t)))
	require.NoError(t, err)
	text := anySheet(t)
	if rapid.Bool().Draw(t, "one piece") {
		var whole []string
		add := func(text string) { whole = append(whole, text) }
		if rapid.Bool().Draw(t, "flying, one piece") {
			flyingWhole(add)
		} else {
			wholeSheets(add)
		}
		text = rapid.SampledFrom(whole).Draw(t, "sheet")
	}
	p, err := sequence.Build(f, technique(t, text), kg(t, "24 kg"), kg(t, "52 lb"))
	if err != nil {
		t.Skip(err)
	}
	done, told := 0, ""
	for range rapid.IntRange(1, 3).Draw(t, "mishaps") {
		done = rapid.IntRange(done, len(p.Steps)-1).Draw(t, "done")
		trouble, ok := anyTrouble(t, p, done)
		if !ok {
			continue
		}
		next, err := way(p, done, trouble)
		told += fmt.Sprintf("step %d %+v: ", done+1, trouble)
		if err != nil {
			t.Logf("%s%v", told, err)
			continue
		}
		p = next
		if done++; p.Cracked() {
			break
		}
	}
	t.Log(told)
	for _, s := range p.Steps {
		t.Logf("%d %s: %s", s.N, s.Phase, s.Title)
		for _, o := range s.Ops {
			if s.Base == 0 || s.N > done-3 {
				t.Logf("      %s %s %s%s", o.Op, o.Strand, o.Hole, o.Clamp)
			}
		}
	}
	sound(t, p)
	require.Empty(t, referee.Check(p))
	readBack(t, p)
	for range 4 {
		agree(t, p, rapid.IntRange(0, len(p.Steps)).Draw(t, "look"))
	}
}

// readBack holds that an op means the same when it was written down and read.
func readBack(t *rapid.T, p *plan.Plan) {
	text, err := json.Marshal(p)
	require.NoError(t, err)
	var back plan.Plan
	require.NoError(t, json.Unmarshal(text, &back))
	for i := range p.Steps {
		for j, was := range p.Steps[i].Ops {
			is := back.Steps[i].Ops[j]
			for _, o := range []*plan.Op{&was, &is} { // an empty list is none
				o.Blocked, o.Covers, o.Strands = slices.Concat(o.Blocked), slices.Concat(o.Covers), slices.Concat(o.Strands)
			}
			if !reflect.DeepEqual(was, is) {
				require.Equal(t, was, is, "step %d, op %d", i+1, j+1)
			}
		}
	}
}

// The way back from a cross that is woven wrong, or whose pull is found to have slipped, is the shortest that the string
// allows. String is drawn out from its free end only, so all that was laid from the cross comes out, and nothing else; each
// of those that is tight is gripped and let go, and is pulled once more. A pull is put right by pulling again where the
// string outside is slack, at the start as well: where it is tight there what lies beyond the exit is gripped, let go and pulled once
// more, the newest first; the strand itself is pulled.
func TestShortest(t *testing.T) {
	n, tried, steps := 0, 0, 0
	for _, frame := range library.Layouts() {
		for _, sheet := range library.Techniques() {
			p, err := sequence.Build(layout(t, frame), builtIn(t, sheet), kg(t, "24 kg"), kg(t, "23 kg"))
			if err != nil {
				continue
			}
			for done := range p.Steps {
				if steps++; !sweep.Take(steps, 75) {
					continue
				}
				r := p.After(done)
				for _, s := range r.Newest() {
					if n++; s.Strand[0] == 'C' && n%11 == 0 {
						shortest(t, p, done, r, s.Strand, fmt.Sprintf("%s by %s after step %d: %s", frame, sheet, done, s.Strand))
						tried++
					}
				}
			}
		}
	}
	require.Greater(t, tried, 20)
}

func shortest(t *testing.T, p *plan.Plan, done int, r *plan.Racket, s plan.Strand, say string) {
	laid, tight, ends, beyond := laidFrom(r, s)
	more := func(next *plan.Plan, kind plan.OpKind) int { return did(next, done, kind) - did(p, done, kind) }
	next, err := sequence.Recover(p, done, sequence.Trouble{Fault: plan.FaultWeave, Strand: s})
	require.NoError(t, err, say)
	if did(next, done, plan.Cut) > 0 {
		return // a tail is tied
	}
	require.Equal(t, laid, more(next, plan.Unweave)+more(next, plan.Unthread), say)
	require.Equal(t, tight, more(next, plan.Slacken), say)
	require.Equal(t, 2*tight+ends, more(next, plan.Pull), say)
	exitAstray(t, p, done, r, s, say)
	if !r.Tight(s) {
		return
	}
	next, err = sequence.Recover(p, done, sequence.Trouble{Fault: plan.FaultLate, Strand: s})
	require.NoError(t, err, say)
	if did(next, done, plan.Cut) == 0 {
		require.Equal(t, beyond, more(next, plan.Slacken), say+", late")
		once := 2*beyond + 1
		if g := r.Grip(plan.S); g != nil && g.Strand == s && beyond == 0 {
			once = min(once, more(next, plan.Pull)) // the pull that finishes its start serves
		}
		require.Equal(t, once, more(next, plan.Pull), say+", late")
	}
}

// exitAstray demands that of a strand whose exit is in the hole beside its own only that end is moved: what was laid from it comes
// out, and nothing else; until it is moved every card names the hole where it is.
func exitAstray(t *testing.T, p *plan.Plan, done int, r *plan.Racket, s plan.Strand, say string) {
	span := *r.Span(s)
	at := r.HoleAt(r.At(span.Out)%r.Total() + 1)
	next, err := sequence.Recover(p, done, sequence.Trouble{Fault: plan.FaultHole, Strand: s, Hole: at})
	require.NoError(t, err, say)
	if did(next, done, plan.Cut) > 0 {
		return // a tail is tied
	}
	line := r.Line(s)
	beyond := len(line) - 1 - slices.Index(line, s)
	if i := slices.Index(line, s); i > 0 && line[i-1] == r.Next(s).Strand {
		beyond = i
	} else if r.Next(s).Strand == "" {
		beyond = 0
	}
	require.Equal(t, 1, did(next, done, plan.Move), say)
	require.Equal(t, beyond, did(next, done, plan.Unweave)+did(next, done, plan.Unthread)-did(p, done, plan.Unweave)-did(p, done, plan.Unthread), say)
	now := next.After(done)
	for _, step := range next.Steps[done:] {
		for _, o := range step.Ops {
			if home := now.Span(s).Out == span.Out; o.Strand == s && !home && !step.Record {
				require.NotContains(t, []plan.Hole{o.Hole, o.From}, span.Out, "%s: step %d %s", say, step.N, o.Op)
			}
			require.NoError(t, now.Apply(&o))
		}
	}
}

// laidFrom is how many strands were laid from one on, itself too, how many of those are tight, of how many the start was
// pulled again, and how many tight ones lie beyond its exit.
func laidFrom(r *plan.Racket, s plan.Strand) (laid, tight, ends, beyond int) {
	line := r.Line(s)
	count := func(x plan.Strand) {
		if laid++; r.Tight(x) {
			tight++
		}
		if r.Span(x).Ended {
			ends++
		}
	}
	count(s)
	for _, step := range []int{-1, 1} {
		exit := false
		for i, last := slices.Index(line, s)+step, s; i >= 0 && i < len(line); i += step {
			if exit = exit || line[i] == r.Next(s).Strand; exit && r.Tight(line[i]) {
				beyond++
			}
			if last == "" || r.Span(line[i]).Nth < r.Span(last).Nth {
				last = ""
				continue
			}
			count(line[i])
			last = line[i]
		}
	}
	if start := (plan.Spot{Strand: s, Hole: r.Span(s).In}); !r.Tight(r.Before(s).Strand) && r.KnotOf(start) == nil {
		beyond = 0
	}
	return laid, tight, ends, beyond
}

// did is how many ops of a kind a plan has after the first done steps.
func did(p *plan.Plan, done int, kind plan.OpKind) (n int) {
	for _, s := range p.Steps[done:] {
		for _, o := range s.Ops {
			if o.Op == kind {
				n++
			}
		}
	}
	return n
}

// While the skipped cross is out, the starting clamp stands where the crosses' string ends: what is pulled there, as the clamp crept, is no tail that
// waits for its second pull.
func TestNoTailWaitsAfterASkipStart(t *testing.T) {
	p, err := sequence.Build(tiny(t, 4, 5, "head"), technique(t, "name = \"t\"\n[crosses]\nstart = \"skip\"\n"), kg(t, "24 kg"), kg(t, "23 kg"))
	require.NoError(t, err)
	p = onward(t, p, []string{"16 misweave strand=C1 done=1", "17 clamp-slipped clamp=S extent=crept"})
	again := 0
	for done := range p.Steps {
		agree(t, p, done)
		for _, d := range p.Deferred(done) {
			require.False(t, d.Repull, "after step %d a tail waits: %v", done, d)
		}
		if o := p.Steps[done].Pull(); o != nil && o.Strand == "C2" && o.Repull && !p.After(done).Laid("C1") {
			again++
		}
	}
	require.Positive(t, again, "the clamp is set again while C1 is out")
}

// agree demands that state and referee, who share no code, hold the same of the racket when the first done steps are done:
// what is laid, tight, low and wrong, where clamps stand and whether they hold, what is blocked.
func agree(t require.TestingT, p *plan.Plan, done int) {
	table, _ := referee.From(&p.Terms, p.Steps[:done])
	v := table.View(p.Steps[done:])
	require.Empty(t, v.Differs(p.After(done)), "after step %d", done)
	require.Equal(t, v.Deferred, p.Deferred(done), "after step %d: what is deferred", done)
}
