package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// String that went slack by itself keeps some tension at its corners where it goes on past the far hole of the strand beside a
// clamp: that clamp is not to be opened before the string is cut.
func TestHangs(t *testing.T) {
	gone := started + `; fault clamp slipped: clamp B extent gone`
	across := started + `; lay M2R 2TR 2HR after M1R; lay M2L 2TL 2HL after M1L; on S M1R 1HR`
	for _, c := range []struct {
		what, script string
		want         map[Clamp]bool
	}{
		{"all is tight", started, nil},
		{"the other clamp let go", gone, map[Clamp]bool{A: true}},
		{"the far hole is held", gone + `; on S M1L 1HL`, nil},
		{"parted at the far hole", gone + `; fault string broke: strand M1R where bed`, nil},
		{"never pulled", `lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L; on A M1L 1TL`, nil},
		{"it ends there", `lay M1L 1TL 1HL; on A M1L 1TL; pull M1L 1HL; ease`, nil},
		{"it ends there, on the right", `lay M1R 1TR 1HR; lay M2R 2HR 2TR after M1R; on A M2R 2HR; pull M2R 2TR; ease`, nil},
		{"it ends there, at the end it was begun with", `lay M1L 1TL 1HL; on A M1L 1HL; pull M1L 1TL; ease`, nil},
		{"tight on both sides", across, nil},
		{"beyond the clamp's hole", across + `; off A`, map[Clamp]bool{S: true}},
		{"beyond it, held", across + `; off A; on A M1L 1TL`, map[Clamp]bool{A: true}},
		{"a flying one on a strand that is not laid", gone + `; on A M1L 1TL with M2L`, map[Clamp]bool{A: true}},
		{"a flying one beside a strand that is not laid", gone + `; on A M2L 2TL with M1L`, map[Clamp]bool{A: true}},
		{"a flying one, of the second strand", started + `; lay M2L 2TL 2HL; on A M2L 2TL with M1L; fault clamp slipped: clamp B extent gone`,
			map[Clamp]bool{A: true}},
	} {
		r := do(t, small(), c.script)
		for _, clamp := range Clamps() {
			assert.Equal(t, c.want[clamp], r.MayHoldTension(clamp), "%s: %s in %s", c.what, clamp, lines(r))
		}
	}
}

// A scrap that was left in a hole waits there until the last strand or a knot comes through.
func TestScraps(t *testing.T) {
	leave := func(r *Racket, text string) *Racket {
		require.NoError(t, r.Apply(&Op{Op: Note, Text: text}))
		return r
	}
	left := func(r *Racket) (out []Hole) {
		for _, h := range []Hole{"1HL", "2HL", "3HL", "4HL"} {
			if r.Scrap(h) {
				out = append(out, h)
			}
		}
		return out
	}
	r := leave(small(), LeaveScrap+"3HL,4HL: runs come over them")
	assert.Equal(t, []Hole{"3HL", "4HL"}, left(r))
	assert.Equal(t, []Hole{"3HL"}, left(leave(small(), LeaveScrap+"3HL: a run comes over it")))
	assert.Equal(t, []Hole{"3HL", "4HL"}, left(leave(small(), LeaveScrap+"3HL 4HL")))
	assert.Empty(t, left(leave(small(), "look at 3HL")))
	assert.Equal(t, []Hole{"4HL"}, left(do(t, r.Clone(), `lay C1 3HL 3HR`)))
	assert.Equal(t, []Hole{"3HL"}, left(do(t, r.Clone(), `lay C2 4HR 4HL`)), "it comes out there")
	assert.Equal(t, []Hole{"3HL"}, left(do(t, r.Clone(), `tie M2L 2HL 4HL`)))
	assert.Equal(t, []Hole{"3HL", "4HL"}, left(r), "a clone's fate is its own")
	two := NewRacket(&Terms{HolesLeft: 8, HolesRight: 8, Mains: []Chord{{"M2L", [2]Hole{"3HL", "2TL"}}}, Crosses: []Chord{{"C1", [2]Hole{"3HL", "3HR"}}}})
	do(t, leave(two, LeaveScrap+"3HL"), `lay M2L 2TL 3HL`)
	assert.Equal(t, []Hole{"3HL"}, left(two), "C1 still comes")
	assert.Empty(t, left(do(t, two, `lay C1 3HL 3HR`)))
	moved := leave(do(t, small(), `lay C1 4HL 3HR; fault wrong hole: strand C1 hole 4HL`), LeaveScrap+"3HL")
	require.NoError(t, moved.Apply(&Op{Op: Fault, Fault: FaultHole, Strand: "C1", From: "3HL", Hole: "1HL"}))
	assert.Equal(t, []Hole{"3HL"}, left(moved))
	require.NoError(t, moved.Apply(&Op{Op: Move, Strand: "C1", From: "1HL", To: "3HL"}))
	assert.Empty(t, left(moved))
}

// The first hole of the ring is as good a wrong hole as any; an end moves only where it is, and never to where the other end is.
func TestStrayInTheFirstHole(t *testing.T) {
	move := func(from, to Hole) Op { return Op{Op: Fault, Fault: FaultHole, Strand: "C2", From: from, Hole: to} }
	for _, c := range []struct {
		op   Op
		want [2]int
	}{
		{move("4HL", "1HL"), [2]int{1, 13}},
		{move("4HR", "1HL"), [2]int{4, 1}},
		{move("4HR", "4HL"), [2]int{4, 13}},
		{move("3HR", "2HR"), [2]int{4, 13}},
		{move("", "2HR"), [2]int{4, 13}},
		{Op{Op: Fault, Fault: FaultHole, From: "4HL", Hole: "1HL"}, [2]int{4, 13}},
	} {
		r := do(t, small(), woven)
		require.NoError(t, r.Apply(&c.op))
		assert.Equal(t, c.want, r.LiesAt("C2"), c.op)
		if c.op.Strand != "" {
			assert.Len(t, r.Open(), 1)
		}
	}
	r := do(t, small(), woven)
	o := Op{Op: Fault, Fault: FaultHole, Strand: "C4", From: "3TL", Hole: "1HL"}
	require.NoError(t, r.Apply(&o))
	assert.Equal(t, r.Ends("C4"), r.LiesAt("C4"), "it is not laid")
	assert.Equal(t, Hole("3TR"), r.Other("C4", "3TL"), "as it will lie")
	for h, want := range map[Hole]Hole{"1HL": "1TL", "1TL": "1HL", "2HL": "", "": "", "9HL": ""} {
		assert.Equal(t, want, r.Other("M1L", h), h)
	}
	assert.Empty(t, r.Other("M9L", "1HL"))
	stray := do(t, small(), woven)
	o = move("4HL", "1HL")
	require.NoError(t, stray.Apply(&o))
	assert.Equal(t, Hole("1HL"), stray.Other("C2", "4HR"))
}

// Of two tails that are equally near the one that the piece was begun with is taken, so that a plan is the same each time.
func TestTailsEquallyNear(t *testing.T) {
	r := NewRacket(&Terms{HolesLeft: 8, HolesRight: 8, Mains: []Chord{{"M1L", [2]Hole{"1HL", "2TL"}}}})
	do(t, r, `lay M1L 2TL 1HL`)
	at, _ := r.Tail("M1L", "4HL")
	assert.Equal(t, Spot{"M1L", "2TL"}, at)
}

// A run to the other side passes the centre line the shorter way round and covers what is there: the centre loop, and those of
// strands that lie wrong.
func TestRunsAcrossCover(t *testing.T) {
	loop := &Terms{HolesLeft: 8, HolesRight: 8, Mains: []Chord{{"M1L", [2]Hole{"2HL", "1TL"}}, {"M1R", [2]Hole{"2HR", "1TR"}}},
		Crosses: []Chord{{"C1", [2]Hole{"3TL", "3TR"}}, {"C2", [2]Hole{"2TL", "2TR"}}}}
	blocked := func(script string) (out []int) {
		r := do(t, NewRacket(loop), script)
		for place := 1; place <= r.Total(); place++ {
			if r.Blocked(place) {
				out = append(out, place)
			}
		}
		return out
	}
	assert.Equal(t, []int{1, 16}, blocked(`lay M1L 1TL 2HL; lay M1R 2HR 1TR after M1L`))
	assert.Equal(t, []int{1, 16}, blocked(`lay M1R 1TR 2HR; lay M1L 2HL 1TL after M1R`))
	for _, script := range []string{`lay M1L 2HL 1TL; lay C1 3TR 3TL after M1L`, `lay C1 3TL 3TR; tie C1 3TL 4TL; lay M1L 1TL 2HL after C1`} {
		assert.Equal(t, []int{9, 10}, blocked(script), script)
	}
	for _, script := range []string{`lay M1R 2HR 1TR; lay C1 3TL 3TR after M1R`, `lay C1 3TL 3TR; tie C1 3TR 4TR; lay M1R 1TR 2HR after C1`} {
		assert.Equal(t, []int{7, 8}, blocked(script), script)
	}
	assert.Equal(t, []int{7}, blocked(`lay M1L 2HL 1TL; lay C1 3TL 3TR after M1L`), "a run of one side")
}

// What the ticket says of a mishap that is over.
func TestOutcome(t *testing.T) {
	for want, all := range map[string][]Op{
		"its knot went into 4HL": {{Fault: FaultShort, Choose: "4HL"}},
		"its knot went into 1HL": {{Fault: FaultShort, Choose: "1HL"}},
		"left as it is":          {{Fault: FaultWeave, Choose: Keep}, {Fault: FaultKnot, Choose: Keep}, {Fault: FaultTension, Choose: Keep}},
		PutRight: {{Fault: FaultSplit}, {Fault: FaultShort, Choose: Bridge}, {Fault: FaultShort, Choose: New}, {Fault: FaultHole, Choose: "4HL"},
			{Fault: FaultClamp}, {Fault: FaultHole, Choose: Sleeve}, {Fault: FaultBreak, Choose: Regrip}},
	} {
		for _, o := range all {
			assert.Equal(t, want, o.Outcome(), o)
		}
	}
}

// A strand that is pulled again where it was begun has its tail done; that counts once it is tight again, too, and not while it is
// low.
func TestEnded(t *testing.T) {
	low := woven + `; fault clamp slipped: clamp S extent crept`
	for script, want := range map[string]bool{
		woven: false,
		woven + `; off S; on S C1 3HR; pull C1 3HL`: false,
		woven + `; pull C1 3HR repull`:              false,
		woven + `; pull C1 3HL repull; ease`:        true,
		low + `; pull C1 3HL repull`:                false,
		woven + `; off S; pull C1 3HL repull`:       false,
		woven + `; pull C1 3HL repull; fault clamp slipped: clamp A extent gone; on A C1 3HR; pull C1 3HL repull`: true,
		woven + `; fault clamp slipped: clamp A extent gone; on A C1 3HR; pull C1 3HL repull`:                     false,
	} {
		assert.Equal(t, want, do(t, small(), script).Span("C1").Ended, script[len(woven):])
	}
}

// The tail of a strand waits only while the starting clamp holds it where the string was begun.
func TestTailWaits(t *testing.T) {
	for _, c := range []struct {
		script string
		at     Spot
		want   bool
	}{
		{woven, Spot{"C1", "3HL"}, true},
		{woven, Spot{"C1", "3HR"}, false},
		{woven, Spot{"C2", "4HR"}, false},
		{woven, Spot{"M2L", "2HL"}, false},
		{woven + `; off S`, Spot{"C1", "3HL"}, false},
		{woven + `; on S C1 3HR`, Spot{"C1", "3HL"}, false},
		{woven + `; on S C2 4HR`, Spot{"C1", "3HL"}, false},
		{woven + `; on S C2 4HR`, Spot{"C2", "4HR"}, false},  // the string comes to it from C1
		{woven + `; on S M2L 6TL`, Spot{"C1", "3HL"}, false}, // 3HL by its other name, but another's
		{woven + `; pull C1 3HL repull`, Spot{"C1", "3HL"}, false},
	} {
		assert.Equal(t, c.want, do(t, small(), c.script).tailWaits(c.at), c.script[len(woven):])
	}
}

// Where a clamp that crept held the one end of a tight strand, that is where it is pulled again from; a second point between tight
// stretches ends nothing. Beside a line that it could leave, a flying clamp still holds the other.
func TestFlyingClampOfTwoLines(t *testing.T) {
	r := do(t, small(), started+`; lay M2R 2TR 2HR after M1R; pull M2R 2HR; on S M2R 2HR with M1R; off B; ease; fault clamp slipped: clamp S extent crept`)
	assert.Equal(t, "~|M1L=.=|M1R=.=.M2R=|~", lines(r)[:len("~|M1L=.=|M1R=.=.M2R=|~")])
	require.True(t, r.Span("M2R").Low)
	assert.Equal(t, Spot{"M2R", "2HR"}, r.LowAt("M2R"))
	r = do(t, small(), `lay M1R 1HR 1TR; lay M2R 2TR 2HR; on A M2R 2TR with M1R; pull M2R 2HR`)
	assert.False(t, r.CanComeOff(A), "M2R hangs on it, M1R is slack")
}

// By which step what is slack now is tight or out, the last one among them.
func TestSlackUntil(t *testing.T) {
	for _, c := range []struct {
		skip  bool
		done  int
		slack []Strand
		want  int
	}{
		{false, 1, []Strand{"C1"}, 2},
		{false, 1, []Strand{"C2"}, 3},
		{false, 1, []Strand{"C1", "C2"}, 3},
		{false, 3, []Strand{"C3"}, 4},
		{true, 1, []Strand{"C1"}, 6},
		{true, 5, []Strand{"C1"}, 6},
		{true, 6, []Strand{"C1"}, 0},
	} {
		p := crossing(c.skip)
		assert.Equal(t, c.want, p.SlackUntil(c.done, c.slack), c)
	}
	assert.Len(t, crossing(false).Fingerprint(), 16, "eight bytes in hexadecimal digits")
}

// steps is a plan for the small racket, a script a step.
func steps(t *testing.T, scripts ...string) *Plan {
	p := &Plan{Terms: smallTerms()}
	for i, script := range scripts {
		p.Steps = append(p.Steps, Step{N: i + 1, Ops: scripted(t, script)})
	}
	return p
}

// Deferred is what is pulled after a strand that was laid later, and the tail that the starting clamp holds; not what was pulled
// and is pulled anew, and not what slipped.
func TestWhatIsDeferred(t *testing.T) {
	begun := `lay C1 3HL 3HR; on S C1 3HL; pull C1 3HR; on A C1 3HR; ease`
	second := `lay C2 4HR 4HL after C1; pull C2 4HL; on B C2 4HL; ease`
	for _, c := range []struct {
		what    string
		scripts []string
		want    []string // when the first step is over
	}{
		{"each in its turn", []string{`lay C1 3HL 3HR; lay C2 4HR 4HL after C1`, `pull C1 3HR`, `pull C2 4HL`}, nil},
		{"two, one after the other", []string{`lay C1 3HL 3HR; lay C2 4HR 4HL after C1; lay C3 4TL 4TR after C2`, `pull C3 4TR`, `pull C1 3HR`, `pull C2 4HL`},
			[]string{"C1 at 3HR, pulled in step 3", "C2 at 4HL, pulled in step 4"}},
		{"laid last, and another is laid and pulled before", []string{`lay C1 3HL 3HR`, `lay C2 4HR 4HL; pull C2 4HL`, `pull C1 3HR`},
			[]string{"C1 at 3HR, pulled in step 3"}},
		{"a tail, at once", []string{begun, `pull C1 3HL repull`}, nil},
		{"a tail, after the next", []string{begun, second, `pull C1 3HL repull`}, []string{"C1 at 3HL, pulled again and tied in step 3"}},
		{"pulled anew at its exit", []string{begun + ";" + second, `pull C1 3HR repull`}, nil},
		{"slipped", []string{begun + ";" + second + `; fault clamp slipped: clamp A extent gone; fault clamp slipped: clamp B extent gone; lay C3 4TL 4TR; on A C3 4TL; pull C3 4TR`,
			`pull C1 3HL repull`}, nil},
	} {
		var got []string
		for _, d := range steps(t, c.scripts...).Deferred(1) {
			got = append(got, d.String())
		}
		assert.Equal(t, c.want, got, c.what)
	}
}

// What is asked of an op, a step, a clamp and the terms.
func TestSmallQuestions(t *testing.T) {
	one, two := Grip{Strand: "M1R", Hole: "1TR"}, Grip{Strand: "M2R", Hole: "2TR", With: "M1R"}
	assert.True(t, one.On("M1R") && two.On("M1R") && two.On("M2R"))
	assert.False(t, one.On("M2R") || one.On("") || two.On("M1L") || two.On(""))

	terms := smallTerms()
	assert.Equal(t, [2]Hole{"2HL", "2TL"}, terms.Ends("M2L"))
	assert.Equal(t, [2]Hole{"4TL", "4TR"}, terms.Ends("C3"))
	assert.Equal(t, [2]Hole{}, terms.Ends("C5"))

	var m Mishap
	require.NoError(t, m.UnmarshalText([]byte("tie-off hole split")))
	assert.Equal(t, FaultSplit, m, "as older books have it")
	require.NoError(t, m.UnmarshalText([]byte("kink")))
	assert.Equal(t, FaultKink, m)

	step := Step{Ops: scripted(t, `lay M1L 1TL 1HL; pull M1L 1HL; ease`)}
	assert.Len(t, step.FromPull(), 2)
	assert.Len(t, (&Step{Ops: step.Ops[:1]}).FromPull(), 1, "it has no pull")
	assert.Equal(t, Thread, step.Lay().Op)
	assert.Equal(t, Weave, (&Step{Ops: []Op{{Op: Note}, {Op: Weave, Strand: "C1"}}}).Lay().Op)
	assert.Nil(t, (&Step{Ops: step.Ops[1:]}).Lay())

	assert.True(t, (&Op{Fault: FaultHole}).Illegal() && (&Op{Fault: FaultWeave}).Illegal())
	assert.False(t, (&Op{Fault: FaultHole, To: "1HL"}).Illegal(), "a layout has it so")
	assert.False(t, (&Op{Fault: FaultTension}).Illegal(), "it lies right")

	first := Spot{"M1R", "1TR"}
	assert.True(t, do(t, small(), started).KeptInside(first))
	assert.False(t, do(t, small(), `lay M1L 1HL 1TL; lay M1R 1HR 1TR after M1L; on A M1L 1HL; pull M1R 1TR`).KeptInside(first), "the gripper alone holds it")

	r := do(t, small(), woven+`; on S M1R 1TR with M2R; fault clamp slipped: clamp S extent gone`)
	assert.Equal(t, Spot{}, small().Next("M1R"), "it is not laid")
	assert.Equal(t, Spot{}, small().Before("M9R"))
	assert.Equal(t, Extent("gone"), r.Slipped(S))

	// One that gave a little and is kept holds; one that is kept without that is not.
	tied := started + `; tie M1R 1TR 3TR anchor M2R; off B; fault knot slipped: strand M1R hole 3TR choose keep`
	assert.True(t, do(t, small(), tied+` extent crept`).Tight("M1R"))
	assert.False(t, do(t, small(), tied).Tight("M1R"))
	assert.False(t, do(t, small(), started+`; tie M1R 1TR 3TR anchor M2R; off B; fault knot slipped: strand M1R hole 3TR extent crept`).Tight("M1R"))

	both := do(t, small(), woven+`; fault misweave: strand C1; fault misweave: strand C2; fault kink: strand C1; waive C1`)
	require.Len(t, both.Waived(), 1)
	require.Len(t, both.Open(), 2)
	assert.Equal(t, Strand("C1"), both.Waived()[0].Strand)
}
