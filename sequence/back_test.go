package sequence_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// tinyPlan strings a frame of six mains and a few crosses.
func tinyPlan(t require.TestingT, sheet string, crosses int) *plan.Plan {
	p, err := sequence.Build(tiny(t, 6, crosses, "head"), technique(t, "name = \"t\"\n"+sheet+"\n"), kg(t, "24 kg"), kg(t, "23 kg"))
	require.NoError(t, err)
	return p
}

// hands are the ops of the steps that put things right, in short; looks only where they press a strand.
func hands(steps []plan.Step) string {
	var out []string
	for _, s := range steps {
		if s.Base > 0 {
			break
		}
		for _, o := range s.Ops {
			if s.Record || (o.Op == plan.Inspect || o.Op == plan.Note) && o.Strand == "" {
				continue
			}
			words := []string{string(o.Op), string(o.Clamp), string(o.Strand), string(o.From), string(o.To), string(o.Out), string(o.Hole), plan.Names(o.Strands)}
			if o.Repull {
				words = append(words, "again")
			}
			out = append(out, strings.Join(strings.Fields(strings.Join(words, " ")), " "))
		}
	}
	return strings.Join(out, "; ")
}

// What hands do after a mishap, worked out by the trade's rules: the gripper takes the load before a clamp comes off, a clamp
// that let go is cleaned first, slack is walked from the sound holder to the gripper and past the centre loop the other side is
// felt, wrong string comes out newest first, and a strand is pressed before a clamp is opened that may hold nothing.
func TestWaysBackByHand(t *testing.T) {
	p := tinyPlan(t, "", 5)
	for _, c := range []struct {
		step                 string // the mishap comes when so many of its ops are done
		ops                  int
		trouble, hands, then string
	}{
		{"Main 2 right", 2, "gripper-slipped", "pull M2R 2HR again; unclamp B; clamp B M2R 2HR; release", "Main 3 right"},
		{"Main 2 right", 0, "clamp-slipped clamp=B extent=crept", "pull M1R 1TR again; unclamp B; clamp B M1R 1TR; release", "Main 2 right"},
		{"Main 2 right", 0, "clamp-slipped clamp=B extent=base", "pull M1R 1TR again; unclamp B; clamp B M1R 1TR; release", "Main 2 right"},
		{"Main 2 right", 0, "clamp-slipped clamp=B extent=gone",
			"unclamp B; inspect M1L; walk M1L, M1R; pull M1R 1TR again; clamp B M1R 1TR; release", "Main 2 right"},
		{"Main 2 right", 0, "clamp-slipped clamp=B extent=gone with=M1L", "clamp S M1L 1HL; unclamp B; pull M1R 1TR again; clamp B M1R 1TR; release; unclamp S", "Main 2 right"},
		{"Main 2 right", 3, "gripper-slipped with=M1L", "clamp S M1L 1HL; walk M1R, M2R; pull M2R 2HR again; clamp B M2R 2HR; release; unclamp S", "Main 3 right"},
		{"Main 2 right", 3, "gripper-slipped", "inspect M1L; walk M1L, M1R, M2R; pull M2R 2HR again; clamp B M2R 2HR; release", "Main 3 right"},
		{"Main 2 right", 0, "clamp-slipped clamp=A extent=gone",
			"unclamp A; inspect M1R; walk M1R, M1L; pull M1L 1TL again; clamp A M1L 1TL; release", "Main 2 right"},
		{"Cross 2", 0, "clamp-slipped clamp=B extent=gone", "unclamp B; pull C1 4HR again; clamp B C1 4HR; release", "Cross 2"}, // its bight comes through C2 and C3
		{"Cross 4", 0, "clamp-slipped clamp=B extent=gone", "unclamp B; unweave C5 4TL 4TR; unweave C4 5TR 5TL; pull C1 4HR again; clamp B C1 4HR; release; walk C2, C3; pull C3 6HR again; clamp A C3 6HR; release; unclamp B", "Weave cross 4"},
		{"Cross 3", 0, "misweave strand=C2",
			"unweave C4 5TR 5TL; unweave C3 6HL 6HR; pull C2 5HL again; clamp B C1 4HR; unclamp A; slacken C2 5HL; unweave C2 5HR 5HL", "Weave cross 2"},
		{"Cross 3", 0, "misweave strand=C4", "unweave C4 5TR 5TL", "Weave cross 4"},
		{"Cross 3", 0, "wrong-hole strand=C4 hole=6HL", "move C4 6HL 5TL", "Cross 3"},
		{"Cross 3", 0, "wrong-hole strand=C2 hole=6HL", "unweave C4 5TR 5TL; unweave C3 6HL 6HR; pull C2 6HL again; clamp B C1 4HR; unclamp A; slacken C2 6HL; move C2 6HL 5HL", "Weave cross 3"},
		{"Cross 3", 0, "wrong-hole strand=C2 hole=4HR", "unweave C4 5TR 5TL; unweave C3 6HL 6HR; pull C2 5HL again; clamp B C1 4HR; unclamp A; slacken C2 5HL; unweave C2 4HR 5HL", "Weave cross 2"},
		{"Cross 3", 0, "slip-found-late strand=C1",
			"pull C1 4HL again; unclamp S; clamp B C1 4HL; release", "Cross 3"}, // and its tail is finished
		{"Cross 4", 0, "slip-found-late strand=C2", "pull C3 6HR again; clamp A C2 5HL; unclamp B; slacken C3 6HR; pull C2 5HL again; unclamp A; clamp A C2 5HL; release", "Cross 3"},
		{"Cross 3", 0, "strands-swapped strand=C2 with=C1",
			"unweave C4 5TR 5TL; unweave C3 6HL 6HR; pull C2 4HL again; clamp B C1 5HR; unclamp A; slacken C2 4HL; unweave C2 4HR 4HL; " +
				"pull C1 5HR again; unclamp B; slacken C1 5HR; unclamp S; unweave C1 5HL 5HR", "Weave cross 1"}, // each lies in the other's holes
		{"Cross 3", 0, "wrong-tension strand=C2", "pull C2 5HL again; unclamp A; clamp A C2 5HL; release", "Cross 3"},
		{"Cross 3", 0, "kink strand=C4", "", "Cross 3"}, // worked past before its pull
		{"Cross 3", 0, "kink strand=C5", "", "Cross 3"}, // and before it is woven
		{"Cross 3", 0, "kink strand=C5 choose=past", "", "Cross 3"},
		{"Cross 3", 0, "wrong-tension strand=C2 choose=again", "pull C2 5HL again; unclamp A; clamp A C2 5HL; release", "Cross 3"},
		{"Inspect the frame", 0, "hole-split hole=2HL", "fault 2HL", "Inspect the frame"}, // a sleeve, before anything is threaded
		{"Main 2 right", 0, "strands-swapped strand=M1L with=M1R hole=1HL", "pull M1R 1TR again; unclamp B; clamp B M1L 1HR; slacken M1R 1TR; unthread M1R 1HL 1TR; " +
			"pull M1L 1TL again; unclamp A; slacken M1L 1TL; unclamp B; unthread M1L 1HR 1TL", "Feed the centre mains"}, // at the throat each is in its own hole
		{"Main 1 right", 1, "string-broke strand=M1R where=gripper", "pull M1R 1TR again; clamp B M1R 1TR; release", "Main 1 left"},
		{"Cross 3", 1, "string-broke strand=C3 where=bed", "unweave C4 5TR 5TL; cut C2; unclamp A; inspect C1 4HL; unclamp S; cut C3; cut C1", "Weave cross 1"},
		{"Cross 3", 0, "string-broke strand=M2R where=bed", "cut M1L; cut C3; cut M1R; cut C2; unclamp A; inspect C1 4HL; unclamp S; cut M2L; cut C4; cut M2R; cut C1; cut M3L; cut M3R",
			"Feed the centre mains"},
		{"Cross 3", 0, "frame-cracked", "cut M1L; cut C3; cut M1R; cut C2; unclamp A; inspect C1 4HL; unclamp S; cut M2L; cut C4; cut M2R; cut C1; cut M3L; cut M3R; " +
			"dismount; dismount; dismount", ""},
	} {
		done := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == c.step })
		_, trouble, err := sequence.ParseTrouble(fmt.Sprintf("%d %s done=%d", done+1, c.trouble, c.ops))
		require.NoError(t, err)
		next := proven(t, p, done, trouble)
		assert.Equal(t, c.hands, hands(next.Steps[done:]), "%s, %s", c.step, c.trouble)
		then := ""
		for _, s := range next.Steps[done:] {
			if s.Base > 0 {
				then = s.Title
				break
			}
		}
		assert.Equal(t, c.then, then, "%s, %s", c.step, c.trouble)
	}
}

// After any one mishap at any op of a small racket, by five techniques, the way back is proven, and the racket strung or bare.
func TestEveryMishapOfASmallRacket(t *testing.T) {
	n, tried := 0, 0
	for _, sheet := range []string{"", "[crosses]\nstart = \"skip\"", "[crosses]\nstart = \"knot\"\nclamps = 1", "[crosses]\nfrom = \"throat\"\nahead = false",
		"pieces = 1\n[crosses]\nfrom = \"throat\""} {
		p := tinyPlan(t, sheet, 4)
		for done := range p.Steps {
			for ops := range len(p.Steps[done].Ops) + 1 {
				for _, trouble := range troubles(p.AfterOps(done, ops)) {
					if n++; !sweep.Take(n, 331) {
						continue
					}
					trouble.Ops = ops
					next, err := sequence.Recover(p, done, trouble)
					if impossible(t, err) {
						continue
					}
					tried++
					sound(t, next)
					handsOf(t, next, done)
					assert.Empty(t, referee.Check(next), "%q, after step %d and %d ops: %s\n%s", sheet, done, ops, trouble.Words(), spelled(next, done))
				}
			}
		}
	}
	t.Logf("%d of %d ways back", tried, n)
	assert.Greater(t, tried, sweep.Share(n, 331)/2)
}

// handsOf demands of the acts of a way back what hands rely on: a strand is pressed beside the clamp that comes off next, and a
// clamp whose strand was cut comes off before anything else is done but cutting.
func handsOf(t require.TestingT, p *plan.Plan, done int) {
	words, r := act.Written(), p.After(done)
	pressed, stub := act.Act{}, plan.Clamp("")
	for n := done + 1; n <= len(p.Steps) && (p.Steps[n-1].Base == 0 || stub != ""); n++ {
		for _, a := range act.Of(p, n, r) {
			line := words.Line(&a)
			if stub != "" && a.Verb != act.Cut {
				require.Equal(t, [2]string{string(act.ClampOff), string(stub)}, [2]string{string(a.Verb), string(a.Clamp)}, "%d %s", n, line)
				stub = ""
			}
			if pressed.Verb != "" && a.Verb != act.Press {
				require.Equal(t, act.ClampOff, a.Verb, "%d %s", n, line)
				require.Equal(t, [2]string{string(pressed.Strand), string(pressed.To)}, [2]string{string(a.Strand), string(a.To)}, "%d %s", n, line)
				require.Contains(t, words.Line(&pressed), "at "+string(a.To))
				pressed = act.Act{}
			}
			if a.Verb == act.Press && a.To != "" {
				pressed = a
			}
			for _, s := range a.Strands {
				for c, g := range r.Grips() {
					if a.Verb == act.Cut && g != nil && g.Strand == s && c != plan.S && g.With == "" {
						stub = c
					}
				}
			}
		}
		require.NoError(t, r.ApplyAll(p.Steps[n-1].Ops))
	}
	require.Empty(t, stub)
}

// troubles are all that can go wrong with a racket as it is.
func troubles(r *plan.Racket) (out []sequence.Trouble) {
	add := func(t sequence.Trouble) { out = append(out, t) }
	for _, c := range plan.Clamps() {
		for _, e := range []plan.Extent{plan.Crept, plan.Base, plan.Gone} {
			add(sequence.Trouble{Fault: plan.FaultClamp, Clamp: c, Extent: e})
		}
	}
	add(sequence.Trouble{Fault: plan.FaultGripper})
	add(sequence.Trouble{Fault: plan.FaultFrame})
	for _, k := range r.Knots() {
		add(sequence.Trouble{Fault: plan.FaultKnot, Hole: k.Hole})
		add(sequence.Trouble{Fault: plan.FaultSplit, Hole: k.Hole})
	}
	laid := r.Newest()
	for i, s := range laid {
		for _, where := range []plan.Place{plan.AtGripper, plan.AtJaw, plan.InBed} {
			add(sequence.Trouble{Fault: plan.FaultBreak, Strand: s.Strand, Where: where})
		}
		for _, fault := range []plan.Mishap{plan.FaultLate, plan.FaultWeave, plan.FaultKink, plan.FaultTension, plan.FaultShort} {
			add(sequence.Trouble{Fault: fault, Strand: s.Strand})
		}
		add(sequence.Trouble{Fault: plan.FaultHole, Strand: s.Strand, Hole: "1HL"})
		for _, h := range []plan.Hole{s.In, s.Out} { // the next hole of that side
			at := r.At(h)
			add(sequence.Trouble{Fault: plan.FaultHole, Strand: s.Strand, Hole: r.HoleAt(max(at%r.Total()+1, 1))})
		}
		if i > 0 {
			add(sequence.Trouble{Fault: plan.FaultSwapped, Strand: s.Strand, With: laid[i-1].Strand})
		}
	}
	return out
}

// A side may lead by as much as the sheet allows while the other is undone: nothing of it is let go for that.
func TestOtherSideStaysWithinTheLead(t *testing.T) {
	for lead, want := range map[int]string{1: "M3L M3R M2R", 2: "M3R M2R"} {
		p := tinyPlan(t, fmt.Sprintf("[mains]\nlead = %d\nboost = 0", lead), 4)
		done := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Tie() != nil })
		next := proven(t, p, done, sequence.Trouble{Fault: plan.FaultHole, Strand: "M2R", Hole: "3HR"})
		var out []string
		for _, o := range ops(next, plan.Slacken) {
			out = append(out, string(o.Strand))
		}
		assert.Equal(t, want, strings.Join(out, " "), "lead %d", lead)
	}
}

// A knot that comes open lets go of its own strand: its neighbour loses some, what is beyond corners and weave hold. So its tail is pulled
// again, with its boost, and tied; where the tail is trimmed nothing but that strand counts as slack before the cutters come.
func TestKnotsComeOpen(t *testing.T) {
	p := build(t, "shuttle-twentytwo", "two-piece-knot")
	last := 0
	for i := range p.Steps {
		if p.Steps[i].Tie() != nil {
			last = i
		}
	}
	tie := p.Steps[last].Tie()
	open := sequence.Trouble{Fault: plan.FaultKnot, Hole: tie.Hole}
	for i, o := range p.Steps[last].Ops {
		if o.Op == plan.Unclamp {
			open.Ops = i + 1
		}
	}
	next := proven(t, p, last, open)
	s, at := string(tie.Strand), string(tie.Out)
	back := hands(next.Steps[last:])
	assert.Regexp(t, fmt.Sprintf("clamp (.) %s %s; untie %[1]s %[2]s %[3]s; pull %[1]s %[2]s again; unclamp .; clamp . %[1]s %[2]s; release", s, at, tie.Hole), back,
		"a clamp holds it before it is opened")
	assert.NotContains(t, back, "walk")
	assert.NotContains(t, back, "unweave")
	again := ops(&plan.Plan{Steps: next.Steps[last:]}, plan.Pull)
	require.Len(t, again, 1, "nothing else is pulled")
	assert.Positive(t, again[0].BoostPercent)
	r := next.After(last + 1)
	assert.Equal(t, []bool{false, true, true}, []bool{r.Tight(tie.Strand), r.Span(r.Before(tie.Strand).Strand).Low, r.Tight("C12")})

	trimmed := proven(t, p, last+1, sequence.Trouble{Fault: plan.FaultKnot, Hole: tie.Hole})
	r = trimmed.After(last + 2)
	for _, x := range r.Spans() {
		assert.Equal(t, x.Strand != tie.Strand, x.Tight, "%s", x.Strand)
	}
}

// A way back has the warnings of its own, after those of the plan: of a run to another hole that is long.
func TestAWayBackWarnsOfItsOwn(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-clamp")
	for done := range p.Steps {
		tie := p.Steps[done].Tie()
		if tie == nil {
			continue
		}
		for _, h := range sequence.SplitHoles(p, done, p.After(done), tie.Hole) {
			if !strings.Contains(h.String(), "a long run") {
				continue
			}
			next := proven(t, p, done, sequence.Trouble{Fault: plan.FaultSplit, Hole: tie.Hole, Choose: string(h.Hole)})
			require.Equal(t, p.Warnings, next.Warnings[:len(p.Warnings)])
			require.Len(t, next.Warnings, len(p.Warnings)+1)
			require.Contains(t, next.Warnings[len(p.Warnings)], string(h.Hole))
			return
		}
	}
	require.Fail(t, "no hole is far away")
}
