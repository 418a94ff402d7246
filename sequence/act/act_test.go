package act_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/library"
	"pullcard/patterns/source"
	"pullcard/patterns/sweep"
	"pullcard/sequence/act"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
)

func build(t require.TestingT, frame, sheet string) *plan.Plan {
	if sheet == "flying" {
		sheet = sequencetest.Flying
	}
	w, _ := sequencetest.Try(t, frame, sheet, "[tension]\nmains = \"24 kg\"\n")
	return w.Plan
}

// mend takes the way back from a mishap.
func mend(t *testing.T, p *plan.Plan, at string) *plan.Plan {
	p, err := shop.MendAll(p, []string{at})
	require.NoError(t, err)
	return p
}

// lines are the acts of a step in words.
func lines(table *act.Table, p *plan.Plan, n int) (out []string) {
	for _, a := range act.Of(p, n, nil) {
		out = append(out, table.Line(&a))
	}
	return out
}

func find(p *plan.Plan, title string) int {
	for i := range p.Steps {
		if p.Steps[i].Title == title {
			return i + 1
		}
	}
	return 0
}

func TestWritten(t *testing.T) {
	skip, clamp, flying := build(t, "club-sixteen", "two-piece-skip"), build(t, "club-sixteen", "two-piece-clamp"), build(t, "harbour-sixteen", "flying")
	for _, c := range []struct {
		p     *plan.Plan
		title string
		want  []string
	}{
		{skip, "Main 3 right", []string{"FEED M3R from 3TR to 3HR", "PULL M3R at 3HR, 24 kg", "CLAMP OFF B from M2R at 2TR", "CLAMP ON B on M3R at 3HR", "EASE the gripper on M3R"}},
		{skip, "Double back: weave cross 1", []string{"LEAVE LOOP outside 9HR, clamp S goes on it there", "DOUBLE BACK C1 from 7HR to 7HL, under first, 12 mains", "CLAMP ON S on C2 at 9HR, outside the frame"}},
		{skip, "Main 8 right", []string{"FEED M8R from 10HR to 10TR", "PULL M8R at 10TR, 26.4 kg, boosted by 10 %; keep 20 cm of tail for its knot", "CLAMP OFF B from M7R at 8HR", "CLAMP ON B on M8R at 10TR", "EASE the gripper on M8R"}},
		{skip, "Tie off the mains, right", []string{"TIE M8R out at 10TR, in 8TR on M7R: double half hitch by hand, 20 cm tail", "CLAMP OFF B from M8R at 10TR", "LOOK the knot: it does not creep", "TRIM the tail at 8TR to 3 mm; tuck in"}},
		{clamp, "Cross 1 again, at its start", []string{"RE-PULL C1 at 7HL, 26.4 kg, boosted by 10 %: grip the tail, take the load; keep 20 cm of tail for its knot", "CLAMP OFF S from C1 at 7HL", "CLAMP ON A on C1 at 7HL", "EASE the gripper on C1"}},
		{flying, "Mains 1, both together", []string{"PULL M1L and M1R at 1TL, 24 kg", "CLAMP ON A on M1L at 1TL and M1R at 1TR", "EASE the gripper on M1L", "CLAMP OFF S from M1R at 1TR"}},
	} {
		n := find(c.p, c.title)
		require.Positive(t, n, c.title)
		assert.Equal(t, c.want, lines(act.Written(), c.p, n), c.title)
	}
	feed := lines(act.Written(), skip, find(skip, "Feed the centre mains"))
	assert.Equal(t, "CUT TO LENGTH the mains", feed[0], "before all else")
	assert.Equal(t, []string{"LOOK the clamps, tried on this string: each holds, no mark", "CLAMP ON A on M1L at 1TL",
		"CLAMP ON S on M1L at 1TL, behind A, on the slack side"}, feed[3:], "before the first main")
	after := act.Of(skip, find(skip, "Weave cross 2"), nil)
	assert.True(t, after[0].Stop && !after[1].Stop, "after the mains there is a look")
	assert.Equal(t, "LOOK the supports again, the mains: none crossed outside, loops seated, knots tight", act.Written().Line(&after[0]))
}

// After something was left as it is by name the bed is looked at as ever.
func TestTheBedIsInspectedAfterAWaiver(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-clamp")
	look := func(p *plan.Plan) []string { return lines(act.Written(), p, find(p, "Inspect the bed")) }
	kept := mend(t, p, fmt.Sprintf("%d misweave strand=C5 choose=keep", find(p, "Inspect the bed")))
	require.Contains(t, look(p), "LOOK the supports again: each still touches, none presses")
	require.Equal(t, look(p), look(kept))
}

// A boost that alone takes a pull above what is printed on the frame is said with that pull; what was ordered above it is not said each time.
func TestBoostAboveTheRange(t *testing.T) {
	for mains, want := range map[string][]string{"24 kg": nil, "26 kg": {"above the printed 27 kg"}, "28 kg": nil} {
		p := sequencetest.Of(t, "club-sixteen", "two-piece-skip", "[tension]\nmains = \""+mains+"\"\n").Plan
		acts := act.Of(p, find(p, "Main 8 left"), nil)
		assert.Equal(t, want, acts[act.Lead(acts)].Warn, mains)
	}
}

// A way back is one act a card, the gripper first; a cut names all that it cuts.
func TestWayBack(t *testing.T) {
	p := mend(t, build(t, "club-sixteen", "two-piece-skip"), "39 misweave strand=C8")
	var got []string
	for n := 41; p.Steps[n-1].Base == 0; n++ {
		require.Len(t, lines(act.Written(), p, n), 1)
		got = append(got, lines(act.Written(), p, n)...)
	}
	assert.Equal(t, []string{"RELEASE C8 at 16HL, slowly: it goes slack", "DRAW OUT C8: its end back in at 16HL, out at 16HR"}, got[len(got)-2:])
	p = mend(t, build(t, "club-sixteen", "two-piece-skip"), "41 slip-found-late strand=C7")
	assert.Contains(t, lines(act.Written(), p, 42)[0], "TAKE LOAD C9 at 17HR, 24 kg; first draw slack back from C10 to 17HR: grip the bight", "it is let go then")
	p = mend(t, build(t, "club-sixteen", "two-piece-skip"), "10 clamp-slipped clamp=A extent=crept")
	assert.Regexp(t, `^RE-PULL .*: grip the tail, take the load$`, lines(act.Written(), p, 11)[0], "it lost tension")
	p = mend(t, build(t, "club-sixteen", "two-piece-skip"), "10 string-broke strand=M4R where=bed")
	cut := ""
	for n := range p.Steps {
		if l := lines(act.Written(), p, n+1); len(l) > 0 && strings.HasPrefix(l[0], "CUT M") {
			cut = l[0]
			break
		}
	}
	assert.Regexp(t, `^CUT M\d[LR](, M\d[LR])*$`, cut)
}

// When all is strung what differs from the plan is looked at by name: holes that are split, knots in holes that are not made for one.
func TestInspectNamesWhatDiffers(t *testing.T) {
	p := mend(t, build(t, "club-sixteen", "two-piece-skip"), "21 hole-split hole=8TR choose=6TR")
	n := find(p, "Inspect the bed")
	assert.Contains(t, lines(act.Written(), p, n), "LOOK 8TR, which is split: its edge cuts no string")
	assert.NotContains(t, strings.Join(lines(act.Written(), build(t, "club-sixteen", "two-piece-skip"), 63), "\n"), "split")
}

func TestSpoken(t *testing.T) {
	p, spoken := build(t, "club-sixteen", "two-piece-skip"), act.Spoken()
	say := func(title string) string { return spoken.Say(act.Of(p, find(p, title), nil)) }
	assert.Equal(t, "main three right; in at three throat; up at three head; twenty-four; B off; B on; ease", say("Main 3 right"))
	assert.Equal(t, "leave a scrap of string in nine head right before this run covers it; boost; set the machine: twenty-six point four kilograms; main eight right; in at ten head; down at ten throat; twenty-six point four; keep twenty centimetres of tail; B off; B on; ease", say("Main 8 right"))
	assert.Equal(t, "pull cross five at thirteen head right; twenty-four; straighten; B on; ease; A off", say("Cross 5"))
	assert.Equal(t, "leave a loop outside thirteen head right; weave cross six; in at fourteen head right, out at fourteen head left; over first", say("Weave cross 6"))
}

// Every op of whatever plan is in one act, every act has words in both tables, and what is not pulled has no tension.
func TestActsAreWhole(t *testing.T) {
	tables := []*act.Table{act.Written(), act.Spoken()}
	plans := map[[2]string]*plan.Plan{}
	rapid.Check(t, sweep.Some(3, func(t *rapid.T) {
		key := [2]string{rapid.SampledFrom(library.Layouts()).Draw(t, "frame"), rapid.SampledFrom(append(library.Techniques(), "flying")).Draw(t, "sheet")}
		if _, built := plans[key]; !built {
			plans[key] = build(t, key[0], key[1])
		}
		p := plans[key]
		if p == nil {
			t.Skip("the frame cannot be strung so")
		}
		done := rapid.IntRange(1, len(p.Steps)-1).Draw(t, "done")
		q := cases.At(p, done).Wrong()
		a := rapid.SampledFrom(q.Answers).Draw(t, q.Ask)
		for a.Next != nil {
			q = a.Next()
			a = rapid.SampledFrom(q.Answers).Draw(t, q.Ask)
		}
		if next, err := shop.Mend(p, done, a.Trouble); err == nil {
			p = next
		}
		r := plan.NewRacket(&p.Terms)
		for i := range p.Steps {
			s, ops := &p.Steps[i], 0
			acts := act.Of(p, i+1, r)
			for _, a := range acts {
				if a.Ops > 0 {
					require.Equal(t, ops, a.First)
					ops += a.Ops
				}
				for _, table := range tables {
					require.NotEmpty(t, table.Line(&a), "%s", a.Verb)
					require.NotRegexp(t, `[{}\[\]]|  `, table.Line(&a))
				}
				require.Equal(t, a.Pulls(), a.Tension != "")
				said := slices.ContainsFunc(a.Warn, func(text string) bool { return strings.HasPrefix(text, "face away") })
				require.Equal(t, said, a.Away, "%s %s", a.Verb, a.Strand)
			}
			handled(t, p, r, s, acts)
			require.Equal(t, len(s.Ops), ops)
			if s.Base == 0 && !s.Record {
				require.Len(t, acts, 1, "a card of a way back is one act")
			}
			require.NoError(t, r.ApplyAll(s.Ops))
		}
	}))
}

// handled demands that acts name what hands need for them: a way into each hole under a run, an awl where no knot is meant to be, the
// tight mains beside which a cross is cut, whatever is cut before it, and the slack of laced strands where a bight is gripped again.
func handled(t require.TestingT, p *plan.Plan, before *plan.Racket, s *plan.Step, acts []act.Act) {
	r, ops := before.Clone(), s.Ops
	for _, a := range acts {
		bare := !slices.ContainsFunc(r.Spans(), func(s plan.Span) bool { return s.Strand.IsMain() && s.Tight })
		for i := range ops[:a.Ops] {
			o, warn := &ops[i], strings.Join(a.Warn, "; ")
			if o.Op == plan.Cut && o.Strand.IsCross() && !bare {
				require.Equal(t, 1, strings.Count(warn, "mind the tight mains"), "step %d", s.N)
			}
			for _, h := range o.Blocked {
				require.True(t, slices.Contains(a.Blocked, h) && r.Scrap(h) || strings.Contains(warn, "no scrap is in ") && strings.Contains(warn, string(h)),
					"step %d: how does %s go into %s?", s.N, o.Strand, h)
			}
			if o.Op == plan.Tie && !slices.ContainsFunc(slices.Concat(p.Terms.TieMains, p.Terms.TieCrosses), func(h plan.Hole) bool { return r.At(h) == r.At(o.Hole) }) {
				require.Contains(t, warn, "a blunt awl, beside "+string(o.Anchor))
			}
			if next := r.Next(o.Strand).Strand; o.Op == plan.Pull && r.Span(o.Strand).Turn > 0 && r.Span(o.Strand).Out == o.Hole && next != "" && !r.Tight(next) {
				require.Equal(t, next, a.Back[len(a.Back)-1])
				require.Regexp(t, "first draw slack back from "+string(a.Back[0])+".* to "+string(o.Hole), act.Written().Line(&a))
			}
			require.NoError(t, r.Apply(o))
		}
		ops = ops[a.Ops:]
	}
}

// A table that says what cannot be filled in is refused, with its place.
func TestTableErrors(t *testing.T) {
	for text, want := range map[string]string{
		"[says]\npull = \"zieh {saite}\"": `de.toml:2:8: says.pull has "{saite"; what can stand in braces is strand, `,
		"texts = [\"a\"]":                 "de.toml:1:1: texts are pairs: ",
		"[says]\nzieh = \"x\"":            "de.toml:2:1: ",
	} {
		_, err := act.Read("de.toml", []byte(text))
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), want)
	}
	table, err := act.Read("de.toml", []byte("numbers = [\"null\", \"eins\"]\n[names]\nmain = \"Längs {n} {side}\"\nL = \"links\"\n[says]\ntrim = \"kürzen\"\npress = \"{strand} drücken\"\n"))
	require.NoError(t, err)
	assert.Equal(t, "Längs eins links drücken", table.Line(&act.Act{Verb: act.Press, Strand: "M1L"}))
}

// A starting knot takes string, so that is cut before; its tail is trimmed only once the cross is pulled against it and clamped.
// A hole that holds a main already is named before a cross goes through it. A knot is watched before its tail is trimmed.
func TestKnotsInTheOrderOfTheHands(t *testing.T) {
	p := sequencetest.Of(t, "shuttle-twentytwo", "two-piece-knot", "[tension]\nmains = \"11 kg\"\n").Plan
	verbs := map[string][]act.Verb{}
	shared := 0
	for n := range p.Steps {
		for _, a := range act.Of(p, n+1, nil) {
			verbs[p.Steps[n].Title] = append(verbs[p.Steps[n].Title], a.Verb)
			for _, text := range a.Warn {
				if strings.Contains(text, "shared with") {
					shared++
				}
			}
		}
	}
	assert.Equal(t, []act.Verb{act.Look, act.Measure, act.Tie}, verbs["Starting knot for cross 1"])
	assert.Equal(t, []act.Verb{act.Weave}, verbs["Weave cross 1"])
	assert.Equal(t, []act.Verb{act.Pull, act.Straighten, act.ClampOn, act.Ease, act.Trim}, verbs["Cross 1"])
	assert.Equal(t, []act.Verb{act.Tie, act.ClampOff, act.Look, act.Trim}, verbs["Tie off the mains, right"])
	assert.Equal(t, 6, shared, "crosses 2, 3, 5, 19, 20 and 21")
}

// Whatever a table of words says, it can be spoken, or every problem has its place.
func FuzzRead(f *testing.F) {
	f.Add([]byte("numbers = [\"null\", \"eins\"]\ntexts = ['a', 'b']\n[names]\nmain = \"Längs {n} {side}\"\n[says]\ntrim = \"kürzen\"\npress = \"[{strand}] drücken\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := act.Read("f.toml", data)
		if err != nil {
			require.ErrorAs(t, err, new(source.Problems))
			return
		}
		for _, v := range act.Verbs() {
			table.Line(&act.Act{Verb: v, Strand: "M1L"})
		}
	})
}

// A clamp that was told to have let go comes off after its strand was felt to be slack: perhaps it was another one.
func TestLetGoIsFelt(t *testing.T) {
	next := mend(t, build(t, "club-sixteen", "two-piece-skip"), "14 clamp-slipped clamp=A extent=gone done=1")
	var warned [][]string
	for n := 14; n < len(next.Steps) && next.Steps[n].Base == 0; n++ {
		for _, a := range act.Of(next, n, nil) {
			if a.Verb == act.ClampOff && a.Clamp == plan.A {
				warned = append(warned, a.Warn)
			}
		}
	}
	require.NotEmpty(t, warned)
	require.Equal(t, []string{"press M5L first: it must be slack; if it is tight, leave the clamp on, and take back what was told"}, warned[0])
	for _, w := range warned[1:] {
		require.Empty(t, w)
	}
}

// What broke at the gripper has its free end there: it comes out at that end, and the rest of the string is not drawn through the bed.
func TestDrawnOutByTheShortWay(t *testing.T) {
	p := build(t, "shuttle-twentytwo", "two-piece-throat")
	n := find(p, "Cross 14")
	require.Equal(t, "WEAVE C13 from 18TR to 18TL, under first, 22 mains", lines(act.Written(), p, n-1)[1])
	whole := mend(t, p, fmt.Sprintf("%d misweave strand=C13", n))
	assert.Contains(t, begin(act.Written(), whole, "DRAW OUT"), "DRAW OUT C13: its end back in at 18TL, out at 18TR")
	broken := mend(t, p, fmt.Sprintf("%d string-broke strand=C14 where=gripper", n))
	assert.Contains(t, begin(act.Written(), broken, "DRAW OUT"), "DRAW OUT C13: its end back in at 18TR, out at 18TL")
}

// begin are the acts of a plan whose words begin so.
func begin(table *act.Table, p *plan.Plan, with string) (out []string) {
	for n := range p.Steps {
		for _, line := range lines(table, p, n+1) {
			if strings.HasPrefix(line, with) {
				out = append(out, line)
			}
		}
	}
	return out
}

// Where crosses begin with the first but one, how much of the string stays outside is said before that is woven, by each table.
func TestTheShortEndStaysOutside(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-skip")
	acts := act.Of(p, find(p, "Weave cross 2"), nil)
	act.AddLengths(acts, map[plan.Piece]act.Length{plan.PieceCrosses: {CutMM: 5775, ShortMM: 590}})
	weave := &acts[act.Lead(acts)]
	assert.Contains(t, act.Written().Line(weave), "; leave 590 mm outside 9HR: the short end")
	assert.Contains(t, act.Spoken().Line(weave), "leave 590 millimetres outside nine head right, the short end; nine head right: scrap out")
}

// A voice says on which side a sleeve goes in.
func TestASleeveHasItsSide(t *testing.T) {
	p := build(t, "shuttle-twentytwo", "two-piece-throat")
	n := find(p, "Weave cross 14")
	p = mend(t, p, fmt.Sprintf("%d hole-split hole=17TL choose=sleeve", n-1))
	assert.Equal(t, []string{"a sleeve into seventeen throat left: a bit of tubing, as long as the wall"}, begin(act.Spoken(), p, "a sleeve"))
}

// A strand that is pressed before its clamp comes off, and would be cut there if it were tight, may be cut by the time that its turn comes:
// then it is passed over. No other is.
func TestPassedOverWhatIsCut(t *testing.T) {
	p := mend(t, build(t, "club-sixteen", "two-piece-clamp"), "40 string-broke strand=M1L where=bed")
	pressed, told := map[plan.Strand]bool{}, 0
	for _, s := range p.Steps[40:] {
		for _, o := range s.Ops {
			if o.Op == plan.Inspect && o.WhenTight() == plan.CutTight {
				pressed[o.Strand] = true
			}
		}
		for _, a := range act.Of(p, s.N, nil) {
			passes := slices.ContainsFunc(a.Notes, func(note string) bool { return strings.HasPrefix(note, "pass over ") })
			may := a.Verb == act.Cut && slices.ContainsFunc(a.Strands, func(s plan.Strand) bool { return pressed[s] })
			assert.Equal(t, may, passes, "%d %v", s.N, a.Strands)
			if may {
				told++
			}
		}
		if s.Base > 0 {
			break
		}
	}
	assert.Positive(t, told)
}
