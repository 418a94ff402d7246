package plan

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// small is a frame of four mains and four crosses, eight holes a side, invented.
func small() *Racket {
	t := smallTerms()
	return NewRacket(&t)
}

func smallTerms() Terms {
	t := Terms{HolesLeft: 8, HolesRight: 8, Pieces: 2}
	for _, m := range []string{"2L", "1L", "1R", "2R"} {
		t.Mains = append(t.Mains, Chord{Strand("M" + m), [2]Hole{Hole(m[:1] + "H" + m[1:]), Hole(m[:1] + "T" + m[1:])}})
	}
	for i, h := range []string{"3H", "4H", "4T", "3T"} {
		t.Crosses = append(t.Crosses, Chord{Strand(fmt.Sprintf("C%d", i+1)), [2]Hole{Hole(h + "L"), Hole(h + "R")}})
	}
	return t
}

// do takes the racket further by a script, an op a line:
//
//	lay M1R 1HR 1TR after M1L         pull M1R 1TR also M1L at 230      on A M1L 1HL with M2L      off A      ease
//	tie M2R 2TR 3TR anchor M1R        trim 3TR      untie M2R 2TR      out M2R      cut M2R      slacken M1R 1TR
//	fault clamp slipped: clamp A extent gone
func do(t *testing.T, r *Racket, script string) *Racket {
	t.Helper()
	for _, o := range scripted(t, script) {
		require.NoError(t, r.Apply(&o), o)
	}
	return r
}

func scripted(t *testing.T, script string) (out []Op) {
	t.Helper()
	for _, line := range strings.Split(strings.ReplaceAll(script, ";", "\n"), "\n") {
		w := strings.Fields(line)
		if len(w) == 0 {
			continue
		}
		w = append(w, "", "", "", "")
		o := Op{Strand: Strand(w[1])}
		switch w[0] {
		case "lay":
			o.Op, o.From, o.To, o.Piece = Thread, Hole(w[2]), Hole(w[3]), PieceMains
			if o.Strand[0] == 'C' {
				o.Op, o.Piece = Weave, PieceCrosses
			}
		case "pull":
			o.Op, o.Hole = Pull, Hole(w[2])
		case "on", "off":
			o = Op{Op: Unclamp, Clamp: Clamp(w[1]), Strand: Strand(w[2]), Hole: Hole(w[3])}
			if w[0] == "on" {
				o.Op = ClampOn
			}
		case "ease":
			o.Op = Release
		case "tie":
			o.Op, o.Out, o.Hole = Tie, Hole(w[2]), Hole(w[3])
		case "trim":
			o = Op{Op: Trim, Hole: Hole(w[1])}
		case "untie":
			o.Op, o.Out = Untie, Hole(w[2])
		case "out":
			o.Op = Unthread
		case "cut":
			o.Op = Cut
		case "slacken":
			o.Op, o.Hole = Slacken, Hole(w[2])
		case "waive":
			o.Op = Waive
		case "fault":
			kind, rest, _ := strings.Cut(strings.TrimPrefix(strings.TrimSpace(line), "fault "), ":")
			o = Op{Op: Fault, Fault: Mishap(kind)}
			w = strings.Fields(rest)
		}
		w = append(w, "")
		for i := range w[:len(w)-1] {
			switch next := w[i+1]; w[i] {
			case "after":
				o.After = Strand(next)
			case "also":
				o.Also = Strand(next)
			case "with":
				o.With = Strand(next)
			case "anchor":
				o.Anchor = Strand(next)
			case "at":
				_, err := fmt.Sscan(next, &o.Newtons)
				require.NoError(t, err)
			case "repull":
				o.Repull = true
			case "outside":
				o.Outside = true
			case "clamp":
				o.Clamp = Clamp(next)
			case "extent":
				o.Extent = Extent(next)
			case "strand":
				o.Strand = Strand(next)
			case "hole":
				o.Hole = Hole(next)
			case "where":
				o.Where = Place(next)
			case "choose":
				o.Choose = next
			}
		}
		out = append(out, o)
	}
	return out
}

// lines draws every line from one end to the other: tails and runs as = tight or ~ slack, spans by name with the same, and
// the points between as | held or . not.
func lines(r *Racket) string {
	var out []string
	for _, l := range r.lines {
		held, text := r.held(l), ""
		for seg, tight := range l.tight {
			if seg%2 == 1 {
				text += string(r.strands[l.on[seg/2]])
			}
			text += map[bool]string{true: "=", false: "~"}[tight]
			if seg < len(held) {
				text += map[bool]string{true: "|", false: "."}[held[seg]]
			}
		}
		out = append(out, text)
	}
	return strings.Join(out, "  ")
}

// started is the small racket with its centre mains on: both pulled, a clamp on each.
const started = `
	lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L
	on A M1L 1HL; pull M1R 1TR at 230; on B M1R 1TR; ease
	pull M1L 1TL at 240; off A; on A M1L 1TL; ease`

// What a hand does and what the string does then, by the trade's physics: string is tight only between two things that
// hold it, and what was not tight on both sides of a holder is slack when the holder goes.
func TestWhatStringDoes(t *testing.T) {
	for _, c := range []struct{ what, script, want string }{
		{"begun", `lay M1L 1TL 1HL`, "~.M1L~.~"},
		{"the centre loop", `lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L`, "~.M1L~.~.M1R~.~"},
		{"laid on at the other end", `lay M1L 1TL 1HL; lay M2L 2TL 2HL after M1L`, "~.M2L~.~.M1L~.~"},
		{"pulled against a clamp", `lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L; on A M1L 1HL; pull M1R 1TR`, "~.M1L~|=.M1R=|~"},
		{"pulled against nothing", `lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L; pull M1R 1TR`, "~.M1L~.~.M1R~|~"},
		{"eased on a clamp", `lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L; on A M1L 1HL; pull M1R 1TR; on B M1R 1TR; ease`, "~.M1L~|=.M1R=|~"},
		{"eased on nothing", `lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L; on A M1L 1HL; pull M1R 1TR; ease`, "~.M1L~|~.M1R~.~"},
		{"both mains", started, "~|M1L=.=.M1R=|~"},
		{"a clamp off tight string", started + `; off A`, "~.M1L~.~.M1R~|~"},
		{"a free clamp off", started + `; off S`, "~|M1L=.=.M1R=|~"},
		{"a clamp off behind the gripper", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; off B`, "~|M1L=.=.M1R=.=.M2R=|~"},
		{"a clamp set anew frees where it stood", started + `; on A M1R 1HR`, "~.M1L=.=|M1R=|~"},
		{"a pull from where a clamp keeps the string draws nothing", started + `; lay M2R 2TR 2HR after M1R; on S M2R 2HR; pull M2R 2HR`,
			"~|M1L=.=.M1R=|~.M2R~|~"},
		{"both pulled across the loop", `lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L; on S M1R 1TR; pull M1L 1TL also M1R`, "~|M1L=.=.M1R=|~"},
		{"tied", started + `; tie M1R 1TR 3TR anchor M2R; off B`, "~|M1L=.=.M1R=|~"},
		{"a knot slips", started + `; tie M1R 1TR 3TR anchor M2R; off B; fault knot slipped: strand M1R hole 3TR`, "~|M1L=.=|M1R~.~"},
		{"a knot slips behind a clamp", started + `; tie M1R 1TR 3TR anchor M2R; fault knot slipped: strand M1R hole 3TR`, "~|M1L=.=.M1R=|~"},
		{"no knot there slips", started + `; tie M1R 1TR 3TR anchor M2R; off B; fault knot slipped: strand M1R hole 4TR`, "~|M1L=.=.M1R=|~"},
		{"untied", started + `; tie M1R 1TR 3TR anchor M2R; tie M1L 1TL 3TL anchor M2L; off B; untie M1R 1TR`, "~|M1L~.~.M1R~.~"},
		{"a clamp lets go", started + `; fault clamp slipped: clamp B extent gone`, "~|M1L~.~.M1R~.~"},
		{"a clamp creeps", started + `; fault clamp slipped: clamp B extent crept`, "~|M1L=.=.M1R=|~"},
		{"a free clamp slips", started + `; fault clamp slipped: clamp S extent gone`, "~|M1L=.=.M1R=|~"},
		{"the gripper lets go", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; fault gripper slipped:`, "~|M1L=.=.M1R=|~.M2R~.~"},
		{"the gripper lets go with the clamp off", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; off B; fault gripper slipped:`,
			"~|M1L~.~.M1R~.~.M2R~.~"},
		{"the gripper lets go with the clamp off, and the other side is tight",
			started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; off B; fault gripper slipped: with M1L`, "~|M1L=|~.M1R~.~.M2R~.~"},
		{"pulled again through the corners of the loop", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; off B; fault gripper slipped: with M1L; pull M2R 2HR repull`,
			"~|M1L=.=.M1R=.=.M2R=|~"},
		{"a clamp lets go, and the other side is tight", started + `; fault clamp slipped: clamp A extent gone with M1R`, "~.M1L~.~|M1R=|~"},
		{"slackened", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; slacken M2R 2HR`, "~|M1L=.=.M1R=|~.M2R~.~"},
		{"broken in the bed", started + `; fault string broke: strand M1R where bed`, "~|M1L~.~.M1R~.~  ~.M1R~|~"},
		{"broken beside a hold", started + `; on S M1L 1HL; fault string broke: strand M1R where bed`, "~|M1L=|~.M1R~.~  ~.M1R~|~"},
		{"broken at the gripper", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; fault string broke: strand M2R where gripper choose regrip`,
			"~|M1L=.=.M1R=|~.M2R~.~"},
		{"broken at the jaw", started + `; fault string broke: strand M1R where jaw choose regrip`, "~|M1L~.~.M1R~.~"},
		{"broken at the gripper of another", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; fault string broke: strand M1L where bed`,
			"~|M1L~.~  ~.M1L~.~.M1R~|=.M2R=|~"},
		{"drawn out", started + `; lay M2R 2TR 2HR after M1R; out M2R`, "~|M1L=.=.M1R=|~"},
		{"cut out of the middle", started + `; lay M2R 2TR 2HR after M1R; on S M2R 2TR; pull M2R 2HR; tie M2R 2HR 3HR anchor M1R; ease; cut M1R`,
			"~|M1L~.~  ~|M2R=|~"},
		{"pulled against nothing, the other way", `lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L; pull M1L 1TL`, "~|M1L~.~.M1R~.~"},
		{"slack beside tight", started + `; on S M1R 1HR; off B; on B M1R 1TR; off S`, "~|M1L~.~.M1R~|~"},
		{"a pull beyond a clamp outside the frame", `lay M1L 1TL 1HL; on A M1L 1TL; on S M1L 1HL outside; pull M1L 1HL`, "~|M1L=|~"},
		{"a pull where a flying clamp keeps the neighbour", `lay M1R 1HR 1TR; lay M2R 2TR 2HR; on A M2R 2TR with M1R; on S M1R 1HR; pull M1R 1TR`,
			"~|M1R~|~  ~|M2R~.~"},
		{"a pull at the other end of what a flying clamp grips", `lay M1R 1HR 1TR; lay M2R 2TR 2HR; on A M2R 2TR with M1R; pull M1R 1HR`, "~|M1R=|~  ~|M2R~.~"},
		{"broken at one of two jaws", started + `; on S M1R 1HR; fault string broke: strand M1R where jaw choose regrip`, "~|M1L=.=|M1R~.~"},
		{"the clamp of the first place lets go", started + `; fault clamp slipped: clamp A extent gone`, "~.M1L~.~.M1R~|~"},
		{"a flying clamp holds two", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; on A M2R 2HR with M1R; off B`, "~.M1L~.~|M1R=.=.M2R=|~"},
	} {
		assert.Equal(t, c.want, lines(do(t, small(), c.script)), c.what)
	}
}

// woven is the small racket with all mains tight and tied, a cross that is pulled and one that is not.
const woven = started + `
	lay M2R 2TR 2HR after M1R; pull M2R 2HR at 250; off B; on B M2R 2HR; ease
	lay M2L 2TL 2HL after M1L; pull M2L 2HL at 260; off A; on A M2L 2HL; ease
	tie M2R 2HR 3HR anchor M1R; tie M2L 2HL 3HL anchor M1L; off A; off B; trim 3HR
	lay C1 3HL 3HR; on S C1 3HL; lay C2 4HR 4HL after C1; pull C1 3HR at 200; on A C1 3HR; ease`

// What is asked of the racket, each answer worked out by hand on the string as it lies.
func TestWhatIsAsked(t *testing.T) {
	r := do(t, small(), woven)
	assert.Equal(t, "~|M2L=.=.M1L=.=.M1R=.=.M2R=|~  ~|C1=|~.C2~.~", lines(r))

	assert.Equal(t, []Strand{"M2L", "M1L", "M1R", "M2R"}, r.Line("M1R"), "the mains lie on one line")
	assert.Nil(t, r.Line("C4"), "C4 is not laid")
	assert.Equal(t, []Strand{"M2L", "M1L", "M1R", "M2R"}, r.Cell(Spot{"M2R", "2HR"}), "as far as the knot of the other side")
	assert.Equal(t, []Strand{"M2R", "M1R", "M1L", "M2L"}, r.Cell(Spot{"M2L", "2HL"}))
	assert.Equal(t, []Strand{"C2"}, r.Cell(Spot{"C2", "4HL"}), "as far as the clamp on C1")
	assert.Equal(t, []Strand{"C1"}, r.Cell(Spot{"C1", "3HL"}))
	assert.Equal(t, []Strand{"C2"}, r.Cell(Spot{"C2", "4HR"}), "away from C1")
	assert.True(t, r.Tight("C1") && r.Laid("C2"))
	assert.False(t, r.Tight("C2") || r.Tight("C9") || r.Laid("C3") || r.Laid("C9"))
	assert.True(t, r.Holds(A))
	assert.False(t, r.Holds(B), "it is free")
	shared := Terms{HolesLeft: 8, HolesRight: 8, Mains: []Chord{{"M2R", [2]Hole{"3HR", "2TR"}}}, Crosses: []Chord{{"C1", [2]Hole{"3HL", "3HR"}}}}
	assert.Equal(t, []Strand{"M2R", "C1"}, do(t, NewRacket(&shared), `lay M2R 2TR 3HR; lay C1 3HR 3HL`).through("3HR"), "in the order in which they were laid")
	assert.Equal(t, []Strand{"C1", "M2R"}, do(t, NewRacket(&shared), `lay C1 3HR 3HL; lay M2R 2TR 3HR`).through("3HR"))
	assert.Nil(t, r.Cell(Spot{"C4", "3TL"}))

	for script, want := range map[string]Strand{
		`fault clamp slipped: clamp B extent gone`: "M1L", `fault clamp slipped: clamp A extent gone`: "M1R", `fault clamp slipped: clamp B extent crept`: "",
		`fault clamp slipped: clamp S extent gone`: "", `fault gripper slipped:`: "", `fault slip found late: strand M1R`: "",
		`fault string broke: strand M1R where jaw choose regrip`: "M1L", `fault string broke: strand M1R where bed`: "",
	} {
		o := scripted(t, script)[0]
		assert.Equal(t, want, do(t, small(), started).Loop(&o), script)
	}
	o := scripted(t, `fault gripper slipped:`)[0]
	assert.Equal(t, Strand("M1L"), do(t, small(), started+`; lay M2R 2TR 2HR after M1R; pull M2R 2HR; off B`).Loop(&o))
	assert.Empty(t, do(t, small(), started+`; on S M1L 1HL; lay M2R 2TR 2HR after M1R; pull M2R 2HR; off B`).Loop(&o), "S holds M1L")

	assert.Equal(t, []Strand{"C2"}, r.SlackBeyond(Spot{"C1", "3HR"}))
	assert.Empty(t, r.SlackBeyond(Spot{"C1", "3HL"}), "a tail")
	assert.Empty(t, r.SlackBeyond(Spot{"M1L", "1HL"}), "M1R is tight")
	assert.Equal(t, Spot{"C2", "4HR"}, r.Across(Spot{"C1", "3HR"}))
	assert.Equal(t, Spot{}, r.Across(Spot{"C1", "3HL"}))
	assert.Equal(t, Spot{}, r.Before("M1L"+"x"))
	assert.Equal(t, Spot{"M1R", "1HR"}, r.Next("M1L"), "over the centre loop")
	assert.Equal(t, Spot{"M1L", "1TL"}, r.Before("M2L"))
	assert.Equal(t, Spot{}, r.Next("M2L"), "a tail")
	assert.Equal(t, Spot{}, r.Next("M2R"))
	assert.Equal(t, Spot{"C2", "4HR"}, r.Next("C1"))
	assert.Equal(t, Spot{"C1", "3HR"}, r.Before("C2"))
	assert.Equal(t, Spot{}, r.Before("C4"))

	for at, want := range map[Spot]bool{
		{"M2R", "2HR"}: true, {"M2R", "2TR"}: false, {"M2L", "2HL"}: true, {"C1", "3HL"}: true, {"C1", "3HR"}: true, {"C2", "4HR"}: false,
		{"C4", "3TL"}: false, {"M9R", "1HR"}: false, {"C1", "4HR"}: false,
	} {
		assert.Equal(t, want, r.Held(at), at)
	}

	_, ok := r.Tail("M2R", "3HR")
	assert.False(t, ok, "it is tied")
	_, ok = r.Tail("M1R", "3HR")
	assert.False(t, ok, "it has none")
	at, ok := r.Tail("C2", "4HL")
	assert.True(t, ok)
	assert.Equal(t, Spot{"C2", "4HL"}, at)
	alone := do(t, small(), `lay C3 4TL 4TR`)
	for to, want := range map[Hole]Hole{"3TL": "4TL", "3TR": "4TR", "4TL": "4TL", "1HR": "4TR"} {
		at, _ = alone.Tail("C3", to)
		assert.Equal(t, Spot{"C3", want}, at, "the tail that is nearer")
	}

	assert.Equal(t, []Run{{"2TL", "1TL", "M2L", "M1L"}, {"1HL", "1HR", "M1L", "M1R"}, {"1TR", "2TR", "M1R", "M2R"}, {"3HR", "4HR", "C1", "C2"},
		{"2HR", "3HR", "M2R", ""}, {"2HL", "3HL", "M2L", ""}}, r.Runs())
	assert.Equal(t, Load{Left: 500, Right: 480, Crosses: 200}, r.Load())
	assert.Equal(t, Totals{Pulls: 5, Knots: 2, MaxLead: 1}, r.Totals())
	assert.Equal(t, 5, r.PullCount())
	assert.Zero(t, r.Lead())
	assert.Equal(t, []Strand{"M1L", "M2R", "M2L"}, r.PulledSince("M1L"))
	assert.Equal(t, []Strand{"C1"}, r.PulledSince("C1"))
	assert.Empty(t, r.PulledSince("M9R"))
	assert.Equal(t, []Strand{"C2", "C1", "M2L", "M2R", "M1R", "M1L"}, strandsOf(r.Newest()))

	assert.Equal(t, Knot{Strand: "M2R", Out: "2HR", Hole: "3HR", Anchor: "M1R", Trimmed: true}, *r.KnotIn("3HR"))
	assert.Equal(t, "M2L", string(r.KnotIn("6TL").Strand), "3HL by its other name")
	assert.Nil(t, r.KnotIn("4HL"))
	assert.Equal(t, "3HL", string(r.KnotOf(Spot{"M2L", "2HL"}).Hole))
	assert.Nil(t, r.KnotOf(Spot{"M2L", "2TL"}))
	assert.Nil(t, r.KnotOf(Spot{"C1", "2HL"}))

	assert.Equal(t, []Strand{"C1"}, r.Through(r.At("3HL")))
	assert.Empty(t, r.Through(r.At("3TL")))
	assert.True(t, r.ToBeThreaded(r.At("3TL")))
	assert.False(t, r.ToBeThreaded(r.At("3HL")))
	assert.False(t, r.ToBeThreaded(r.At("8HL")), "nothing goes there")
	assert.Equal(t, []int{r.At("4TL"), r.At("3TL")}, r.Covered(r.At("4HL"), r.At("2TL")), "C3 and C4 are not laid")
	assert.Empty(t, r.Covered(r.At("2HL"), r.At("4HL")))
	for h, want := range map[Hole]bool{"2HL": false, "3HL": false, "4HL": false, "3HR": false} {
		assert.Equal(t, want, r.Blocked(r.At(h)), h)
	}

	courses := r.Courses()
	require.Len(t, courses, 2)
	assert.Equal(t, Course{Piece: PieceMains, First: 1, Tied: [2]bool{true, true}, Spans: []Stretch{
		{"M2L", "2HL", "2TL"}, {"M1L", "1TL", "1HL"}, {"M1R", "1HR", "1TR"}, {"M2R", "2TR", "2HR"},
	}}, courses[0])
	assert.Equal(t, Course{Piece: PieceCrosses, Spans: []Stretch{{"C1", "3HL", "3HR"}, {"C2", "4HR", "4HL"}}}, courses[1])
	courses = do(t, r, `untie M2L 2HL; out M2L`).Courses()
	require.Len(t, courses, 2)
	assert.Equal(t, PieceMains, courses[0].Piece, "begun first, whatever became of it since")
	courses = do(t, small(), started+`; lay M2R 2TR 2HR after M1R; cut M1L; lay C1 3HL 3HR`).Courses()
	require.Len(t, courses, 1, "what the mains were begun with is out")
	assert.Equal(t, PieceCrosses, courses[0].Piece)

	broken := do(t, small(), woven+`; fault string broke: strand M1R where bed`) // it lies on two lines, one by each hole
	assert.Equal(t, Spot{"M1L", "1HL"}, broken.Before("M1R"))
	assert.Equal(t, Spot{"M2R", "2TR"}, broken.Next("M1R"))
	assert.Equal(t, []Strand{"M1R", "M2R"}, broken.Line("M2R"))
	assert.Equal(t, []Strand{"M2L", "M1L", "M1R"}, broken.Line("M1L"))
	do(t, broken, `on A M1R 1HR; on B M1R 1TR`)
	assert.True(t, broken.Held(Spot{"M1R", "1HR"}) && broken.Held(Spot{"M1R", "1TR"}))

	asked := do(t, small(), started)
	do(t, asked.Clone(), `pull M1R 1TR; off A; cut M1R; fault hole split: strand C1 hole 7HL; fault misweave: strand M1L; waive M1L; tie M1L 1TL 2TL`)
	assert.Equal(t, do(t, small(), started), asked, "a clone's fate is its own")
}

func strandsOf(spans []Span) (out []Strand) {
	for _, s := range spans {
		out = append(out, s.Strand)
	}
	return out
}

// A run outside lies over what is strictly between its holes, of its own side, and says of what is still to be threaded there.
func TestRunsCover(t *testing.T) {
	r := do(t, small(), `lay M1L 1TL 1HL; lay C1 3HL 3HR after M1L; lay M2R 2TR 2HR after C1; tie M2R 2HR 6HR anchor M1R`)
	on := map[Hole]bool{"2HL": true, "4HR": true, "4TR": true, "3TR": true, "3HR": true} // 6HR is 3TR by its other name
	for place := 1; place <= 16; place++ {
		want := false
		for h := range on {
			want = want || r.At(h) == place
		}
		assert.Equal(t, want, r.Blocked(place), place)
	}
	fresh := do(t, small(), `lay M2R 2TR 2HR`)
	step := Step{Ops: []Op{{Op: Tie, Strand: "M2R", Out: "2TR", Hole: "5TR"}, {Op: Tie, Strand: "M2R", Out: "2HR", Hole: "6HR"}}}
	assert.Equal(t, []Hole{"3TR", "4TR", "3HR", "4HR"}, fresh.Step(&step), "4TR lies under both and is told once")
	assert.Empty(t, fresh.Step(&Step{Ops: []Op{{Op: Note}}}), "runs of before are no news")
	again := do(t, small(), `lay M2R 2TR 2HR; tie M2R 2HR 3HR`)
	assert.Equal(t, []Hole{"3TR", "4TR"}, again.Step(&Step{Ops: step.Ops[:1]}))
}

// A clamp can come off when what it alone holds is not tight; Behind says what would go slack.
func TestWhatAClampHolds(t *testing.T) {
	for _, c := range []struct {
		what, script, clamp string
		spare               bool
		behind              []Strand
	}{
		{"alone", started, "B", false, []Strand{"M1R", "M1L"}},
		{"alone on the other side", started, "A", false, []Strand{"M1L", "M1R"}},
		{"free", started, "S", true, nil},
		{"let go", started + `; fault clamp slipped: clamp B extent gone`, "B", true, nil},
		{"behind the gripper", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR`, "B", true, nil},
		{"on slack string", `lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L; on A M1R 1TR`, "A", true, nil},
		{"between tight and slack", started + `; lay M2R 2TR 2HR after M1R; on S M2R 2HR`, "B", false, []Strand{"M1R", "M1L"}},
		{"a flying one", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; on A M2R 2HR with M1R; off B; ease; on B M1R 1HR`, "A",
			false, []Strand{"M2R", "M1R"}},
		{"on one strand", `lay M1L 1TL 1HL; on A M1L 1TL; pull M1L 1HL; on B M1L 1HL; ease`, "A", false, []Strand{"M1L"}},
		{"on one strand, at its exit", `lay M1L 1TL 1HL; on A M1L 1TL; pull M1L 1HL; on B M1L 1HL; ease`, "B", false, []Strand{"M1L"}},
		{"a flying one on two lines", `lay M1R 1HR 1TR; lay M2R 2TR 2HR; on S M1R 1TR; pull M1R 1HR; on A M2R 2HR with M1R; ease`, "A", false, []Strand{"M1R"}},
		{"a flying one beside another", started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; on S M2R 2HR; on A M2R 2TR with M1R; ease`, "A", true, nil},
	} {
		r := do(t, small(), c.script)
		before := lines(r)
		assert.Equal(t, c.spare, r.CanComeOff(Clamp(c.clamp)), c.what)
		assert.Equal(t, c.behind, r.Behind(Clamp(c.clamp)), c.what)
		assert.Equal(t, before, lines(r), "asking moves nothing")
	}
}

// A clamp that crept or slid leaves its string low until it is pulled again from where that clamp stands.
func TestLow(t *testing.T) {
	low := func(r *Racket) (out []Strand) {
		for _, s := range r.Spans() {
			if s.Low {
				out = append(out, s.Strand)
			}
		}
		return out
	}
	for _, extent := range []string{"crept", "base"} {
		crept := started + `; fault clamp slipped: clamp B extent ` + extent
		assert.Equal(t, []Strand{"M1L", "M1R"}, low(do(t, small(), crept)))
		assert.Equal(t, Extent(extent), do(t, small(), crept).Slipped(B))
		assert.True(t, do(t, small(), crept).Holds(B))
		assert.Empty(t, low(do(t, small(), crept+`; pull M1R 1TR repull; off B`)), "from the clamp's own exit")
		assert.NotEmpty(t, low(do(t, small(), crept+`; pull M1R 1TR repull`)), "the clamp keeps the string from the gripper")
		assert.Equal(t, []Strand{"M1L", "M1R"}, low(do(t, small(), crept+`; lay M2R 2TR 2HR after M1R; pull M2R 2HR; off B`)), "from elsewhere")
		assert.Empty(t, low(do(t, small(), crept+`; off B`)), "it is slack then, and no more low")
		assert.Empty(t, low(do(t, small(), crept+`; fault string broke: strand M1R where bed; out M1L`)))
	}
	assert.Empty(t, low(do(t, small(), started+`; fault clamp slipped: clamp B extent gone`)))
}

// What is wrong with a strand stays open until the strand is out, waived or, where it is doubted, pulled anew from its exit.
func TestOpen(t *testing.T) {
	open := func(script string) (out []string) {
		for _, o := range do(t, small(), script).Open() {
			out = append(out, string(o.Strand)+" "+string(o.Fault))
		}
		return out
	}
	late, kink := woven+`; fault slip found late: strand C1`, woven+`; fault kink: strand C2`
	weave := woven + `; fault misweave: strand C2`
	for _, c := range []struct {
		script string
		want   []string
	}{
		{woven, nil},
		{late, []string{"C1 slip found late"}},
		{late + `; off A; pull C1 3HR repull`, nil},
		{late + `; pull C1 3HR repull`, []string{"C1 slip found late"}}, // a clamp keeps the string from the gripper
		{late + `; pull C2 4HL; off A`, []string{"C1 slip found late"}}, // not from its own exit
		{late + `; off A; pull C1 3HR repull; fault slip found late: strand C1; off S`, []string{"C1 slip found late"}},
		{late + `; pull C2 4HL; slacken C2 4HL`, []string{"C1 slip found late"}}, // a clamp holds it
		{late + `; pull C2 4HL; off A; slacken C2 4HL`, nil},
		{late + `; waive C1`, []string{"C1 slip found late"}}, // slack is never left as it is
		{late + `; waive C2`, []string{"C1 slip found late"}},
		{late + `; cut C2`, []string{"C1 slip found late"}},
		{late + `; cut C1`, nil},
		{kink, []string{"C2 kink"}},
		{woven + `; fault kink: strand C2 choose past`, nil},
		{kink + `; out C2`, nil},
		{kink + `; pull C2 4HL`, []string{"C2 kink"}},
		{weave, []string{"C2 misweave"}},
		{woven + `; fault wrong hole: strand C2 hole 5HL`, []string{"C2 wrong hole"}},
		{woven + `; fault strands swapped: strand C1 with C2`, []string{"C1 strands swapped", "C2 strands swapped"}},
		{woven + `; fault strands swapped: strand C1 with C3`, []string{"C1 strands swapped"}}, // C3 is not laid
		{woven + `; fault wrong tension: strand M2R`, []string{"M2R wrong tension", "M2L wrong tension"}},
		{woven + `; fault wrong tension: strand M2R; pull M2R 2HR repull`, []string{"M2L wrong tension"}},
		{woven + `; fault wrong tension: strand C1`, []string{"C1 wrong tension"}},
	} {
		assert.Equal(t, c.want, open(c.script), c.script[len(woven):])
	}

	waived := do(t, small(), woven+`; fault misweave: strand C2; fault slip found late: strand C1; waive C2`)
	require.Len(t, waived.Waived(), 1)
	assert.Equal(t, FaultWeave, waived.Waived()[0].Fault)
	assert.Len(t, do(t, waived, `out C2; cut C1`).Waived(), 0, "it came out")
	kept := do(t, small(), woven+`; fault misweave: strand C2; waive C2; out C2; lay C2 4HR 4HL after C1`)
	assert.Empty(t, kept.Waived())
	other := do(t, small(), woven+`; fault misweave: strand C1; waive C1; out C2`)
	assert.Len(t, other.Waived(), 1)
	for _, m := range Mishaps() {
		assert.Equal(t, map[Mishap]bool{FaultWeave: true, FaultHole: true, FaultSwapped: true}[m], m.LiesWrong(), m)
	}
}

// A tail that was trimmed or cut is too short to be laid on, pulled or tied; drawing the next strands out gives it string
// again, strand by strand.
func TestTails(t *testing.T) {
	for _, c := range []struct {
		script string
		strand Strand
		want   Hole // of the tail nearest to 4HR
	}{
		{woven + `; untie M2R 2HR`, "M2R", ""}, // trimmed
		{woven + `; untie M2L 2HL`, "M2L", "2HL"},
		{woven + `; untie M2R 2HR; out M2R`, "M1R", "1TR"}, // the strand gives what it was trimmed of
		{woven + `; untie M2R 2HR; out M2R; lay M2R 2TR 2HR after M1R`, "M2R", ""},
		{woven + `; untie M2R 2TR`, "M2R", ""}, // no knot there: the other stays
		{woven + `; trim 3HL; untie M2L 2HL`, "M2L", ""},
		{woven + `; trim 3HL; untie M2L 2HL; out M2L`, "M1L", "1TL"},
		{woven + `; trim 3HL; untie M2L 2HL; out M2L; lay M2L 2TL 2HL after M1L`, "M2L", ""},
		{woven + `; cut C2`, "C1", "3HL"},
		{woven + `; out C2`, "C1", "3HR"},
		{woven + `; out C2; lay C2 4HR 4HL after C1; out C2; lay C2 4HR 4HL after C1`, "C2", "4HL"},
		{woven + `; cut M1R`, "M1L", ""},
		{woven + `; cut M1R; untie M2L 2HL; out M1L`, "M2L", "2HL"},
		{woven + `; untie M2R 2HR; fault string broke: strand M1R where bed`, "M2R", ""}, // still as short
		{woven + `; trim 3HL; untie M2L 2HL; fault string broke: strand M1R where bed`, "M2L", ""},
		{woven + `; lay C3 4TR 4TL; tie C3 4TR 3TR; tie C3 4TL 3TL; trim 3TR; untie C3 4TR`, "C3", ""}, // the other is still tied
		{woven + `; lay C3 4TR 4TL; tie C3 4TR 3TR; tie C3 4TL 3TL; trim 3TL; untie C3 4TL`, "C3", ""},
		{woven + `; lay C3 4TR 4TL; tie C3 4TR 3TR; tie C3 4TL 3TL; trim 3TL; untie C3 4TR`, "C3", "4TR"},
		{woven + `; fault string broke: strand C2 where bed`, "C2", "4HL"}, // the half that hangs out of 4HL
		{woven + `; fault string broke: strand C2 where bed; cut C2`, "C1", "3HL"},
	} {
		r := do(t, small(), c.script)
		at, ok := r.Tail(c.strand, "4HR")
		assert.Equal(t, c.want, at.Hole, c.script[len(woven):])
		assert.Equal(t, c.want != "", ok)
	}
}

// Knots, pieces and choices as mishaps leave them.
func TestWhatMishapsLeave(t *testing.T) {
	r := do(t, small(), woven+`; fault hole split: strand C1 hole 7HL`)
	assert.True(t, r.Split("7HL"))
	assert.True(t, r.Split("2TL"), "the same hole")
	assert.False(t, r.Split("6HL"))
	assert.Empty(t, r.KnotInstead("7HL"))
	r = do(t, small(), woven+`; fault hole split: strand C1 hole 7HL choose 1HL`)
	assert.Equal(t, Hole("1HL"), r.KnotInstead("7HL"), "the hole at place 1")
	assert.Empty(t, r.KnotInstead("6HL"))
	r = do(t, small(), woven+`; fault hole split: strand C1 hole 7HL choose sleeve`)
	assert.False(t, r.Split("7HL"))
	assert.Empty(t, r.KnotInstead("7HL"))

	assert.Equal(t, Hole("1HL"), do(t, small(), woven+`; fault too short: strand C2 choose 1HL`).ChosenKnotHole("C2"))
	assert.Empty(t, do(t, small(), woven+`; fault too short: strand C2 choose bridge`).ChosenKnotHole("C2"))
	short := do(t, small(), woven+`; fault too short: strand C2 choose new`)
	assert.True(t, short.Lost(PieceCrosses))
	assert.False(t, short.Lost(PieceMains))
	assert.Empty(t, short.ChosenKnotHole("C2"))
	assert.NoError(t, small().Apply(&Op{Op: Fault, Fault: FaultShort, Choose: New}), "nothing is named")
	assert.NoError(t, small().Apply(&Op{Op: Fault, Fault: FaultBreak}))
	assert.NoError(t, small().Apply(&Op{Op: Fault, Fault: FaultClamp}))

	broken := do(t, small(), woven+`; fault string broke: strand C1 where bed`)
	assert.True(t, broken.Lost(PieceCrosses))
	assert.False(t, broken.BegunAnew(PieceCrosses), "nothing of it was cut yet")
	assert.True(t, do(t, small(), woven+`; cut C2`).Lost(PieceCrosses), "C1 is of a piece that was cut")
	do(t, broken, `cut C1`)
	assert.True(t, broken.BegunAnew(PieceCrosses))
	assert.True(t, broken.Lost(PieceCrosses), "C2 still lies")
	do(t, broken, `cut C2`)
	assert.False(t, broken.Lost(PieceCrosses))
	assert.True(t, broken.BegunAnew(PieceCrosses))
	assert.False(t, broken.BegunAnew(PieceMains))
	do(t, broken, `lay C1 3HL 3HR`)
	assert.False(t, broken.BegunAnew(PieceCrosses))
	assert.False(t, do(t, small(), woven+`; out C2; out C1`).BegunAnew(PieceCrosses), "drawn out, it is the same string")
	assert.True(t, do(t, small(), woven+`; fault too short: strand C2 choose new; out C2; out C1`).BegunAnew(PieceCrosses), "but for one that is lost")
	assert.Empty(t, do(t, small(), woven+`; fault string broke: strand C4 where bed`).lost, "it is not laid")

	// A starting knot falls with its anchor while its strand is not laid; any other knot goes with its own strand.
	knots := func(script string) int { return do(t, small(), script).Totals().Knots }
	assert.Equal(t, 2, knots(woven+`; cut M1R`))
	assert.Equal(t, 1, knots(woven+`; cut M2R`))
	assert.Equal(t, 2, knots(woven+`; cut C1`))
	assert.Equal(t, 3, knots(woven+`; tie C3 4TR 5TR anchor M2R`))
	assert.Equal(t, 1, knots(woven+`; tie C3 4TR 5TR anchor M2R; cut M2R`))
	assert.Equal(t, 2, knots(woven+`; tie C3 4TR 5TR anchor M2R; cut M1R; cut M2L`))
	// What grips a strand that comes out comes off with it; when it is cut, a clamp of a rail stays there and holds nothing.
	gone := do(t, small(), woven+`; pull C2 4HL; cut C2`)
	assert.Nil(t, gone.Gripper())
	assert.NotNil(t, gone.Grip(A))
	assert.NotNil(t, do(t, small(), woven+`; pull C2 4HL; cut M1R`).Gripper())
	gone = do(t, small(), woven+`; cut C1`)
	assert.Equal(t, Strand("C1"), gone.Grip(A).Strand)
	assert.False(t, gone.Holds(A))
	assert.Nil(t, gone.Grip(S))
	assert.Nil(t, gone.Grip(B), "it was free")
	assert.Nil(t, do(t, gone, `off A`).Grip(A))
}

// Leads count mains that are pulled now; strands that are pulled together lead by nothing, and what was lost counts no more.
func TestLeads(t *testing.T) {
	for _, c := range []struct {
		script    string
		lead, max int
	}{
		{started, 0, 1},
		{started + `; lay M2L 2TL 2HL after M1L; pull M2L 2HL`, 1, 1},
		{started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR`, -1, 1},
		{started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; pull M2R 2HR repull`, -1, 1},
		{`lay M1L 1TL 1HL; lay M1R 1HR 1TR after M1L; on S M1R 1TR; pull M1L 1TL also M1R`, 0, 0},
		{started + `; cut M1L`, 0, 1}, // M1R goes slack with it
		{started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; slacken M2R 2HR`, 0, 1},
		{started + `; lay C1 3HL 3HR; pull C1 3HR`, 0, 1},
		{`lay M1L 1TL 1HL; pull M1L 1HL`, 0, 0}, // nothing holds it
		{`lay M1L 1TL 1HL; on A M1L 1TL; pull M1L 1HL`, 1, 1},
		{`lay M1R 1TR 1HR; on A M1R 1TR; pull M1R 1HR`, -1, 1},
		{started + `; lay M2R 2TR 2HR after M1R; pull M2R 2HR; off A; on A M2R 2HR; ease; cut M1L`, -1, 1}, // of M1R and M2R one is held
	} {
		r := do(t, small(), c.script)
		assert.Equal(t, c.lead, r.Lead(), c.script)
		assert.Equal(t, c.max, r.Totals().MaxLead, c.script)
	}
}

// An op that names what is not there is refused and leaves the racket as it was.
func TestApplyRefuses(t *testing.T) {
	for want, o := range map[string]Op{
		`no strand "M9R"`:          {Op: Thread, Strand: "M9R", From: "1HL", To: "1TL"},
		`no hole "9HL"`:            {Op: Thread, Strand: "M1L", From: "9HL", To: "1TL"},
		`no hole "0HL"`:            {Op: Thread, Strand: "M1L", From: "1HL", To: "0HL"},
		`no hole "1XL"`:            {Op: Tie, Strand: "M1L", Out: "1HL", Hole: "1XL"},
		`no hole "1H"`:             {Op: Tie, Strand: "M1L", Out: "1H", Hole: "1HL"},
		`no clamp "Q"`:             {Op: ClampOn, Clamp: "Q", Strand: "M1L", Hole: "1HL"},
		`there is no clamp "Z"`:    {Op: Unclamp, Clamp: "Z"},
		"no strand is named":       {Op: Pull, Hole: "1HL"},
		`no operation is called "`: {Op: "hammer"},
	} {
		assert.ErrorContains(t, small().Apply(&o), want)
	}
	assert.ErrorContains(t, small().ApplyAll([]Op{{Op: Release}, {Op: "hammer"}}), "hammer")
}

func (r *Racket) through(h Hole) []Strand { return r.Through(r.At(h)) }

// crossing is a plan for crosses with a starting clamp: C1's tail waits until C2 is pulled. With skip C1 itself waits.
func crossing(skip bool) *Plan {
	p := &Plan{Terms: Terms{HolesLeft: 8, HolesRight: 8, Crosses: []Chord{{"C1", [2]Hole{"3HL", "3HR"}}, {"C2", [2]Hole{"4HL", "4HR"}}, {"C3", [2]Hole{"4TL", "4TR"}}}}}
	lay := func(s, after Strand, from, to Hole) Op {
		return Op{Op: Weave, Strand: s, From: from, To: to, After: after, Piece: PieceCrosses}
	}
	pull := func(s Strand, h Hole) Op { return Op{Op: Pull, Strand: s, Hole: h} }
	again := pull("C1", "3HL")
	again.Repull = !skip
	first, start, other := Op{Op: Note}, Hole("3HL"), Strand("C1")
	if !skip {
		first = pull("C1", "3HR")
	} else {
		start, other = "4HR", "C2"
	}
	p.Steps = []Step{
		{N: 1, Ops: []Op{lay("C1", "", "3HL", "3HR"), {Op: ClampOn, Clamp: S, Strand: other, Hole: start}, lay("C2", "C1", "4HR", "4HL")}},
		{N: 2, Ops: []Op{first, {Op: ClampOn, Clamp: A, Strand: "C1", Hole: "3HR"}, {Op: Release}}},
		{N: 3, Ops: []Op{lay("C3", "C2", "4TL", "4TR"), pull("C2", "4HL"), {Op: ClampOn, Clamp: B, Strand: "C2", Hole: "4HL"}, {Op: Release}}},
		{N: 4, Ops: []Op{pull("C3", "4TR"), {Op: ClampOn, Clamp: A, Strand: "C3", Hole: "4TR"}, {Op: Release}}},
		{N: 5, Ops: []Op{{Op: Note}}},
		{N: 6, Ops: []Op{again, {Op: ClampOn, Clamp: B, Strand: "C1", Hole: "3HL"}, {Op: Release}}},
	}
	return p
}

// What waits is told from when it does until it is finished.
func TestDeferred(t *testing.T) {
	texts := func(p *Plan, n int) (out []string) {
		for _, d := range p.Deferred(n) {
			out = append(out, d.String())
		}
		return out
	}
	tail, whole := []string{"C1 at 3HL, pulled again and tied in step 6"}, []string{"C1 at 3HL, pulled in step 6"}
	for n, want := range [][]string{0: nil, 1: nil, 2: tail, 3: tail, 4: tail, 5: tail, 6: nil} {
		assert.Equal(t, want, texts(crossing(false), n), n)
	}
	for n, want := range [][]string{0: nil, 1: whole, 2: whole, 3: whole, 4: whole, 5: whole, 6: nil} {
		assert.Equal(t, want, texts(crossing(true), n), n)
	}
}

// An end in a wrong hole is found there: by clamps, runs and knots, and its own hole waits for it, until it is moved.
func TestStrayEnds(t *testing.T) {
	r := do(t, small(), woven)
	c2 := *r.Span("C2")
	wrong := r.HoleAt(r.At(c2.Out) - 1)
	require.NotEmpty(t, wrong)
	before := r.Next("C2")
	home := r.At(c2.Out)
	require.NoError(t, r.Apply(&Op{Op: ClampOn, Clamp: B, Strand: "C2", Hole: c2.Out}))
	require.NoError(t, r.Apply(&Op{Op: Fault, Fault: FaultHole, Strand: "C2", From: c2.Out, Hole: wrong}))
	at, belongs := r.Stray("C2")
	assert.Equal(t, []Hole{wrong, c2.Out}, []Hole{at, belongs})
	assert.Equal(t, wrong, r.Span("C2").Out)
	assert.Equal(t, c2.In, r.Span("C2").In)
	assert.Equal(t, wrong, r.Grip(B).Hole)
	assert.True(t, r.Held(Spot{"C2", wrong}))
	assert.Equal(t, before, r.Next("C2"))
	assert.True(t, r.ToBeThreaded(home))
	assert.Contains(t, r.Through(r.At(wrong)), Strand("C2"))
	assert.NotContains(t, r.Through(home), Strand("C2"))
	assert.Equal(t, c2.In, r.Other("C2", wrong))
	assert.Empty(t, r.Other("C2", c2.Out))
	assert.Equal(t, wrong, r.Nearer("C2", c2.Out))
	require.NoError(t, r.Apply(&Op{Op: Move, Strand: "C2", From: wrong, To: c2.Out}))
	at, belongs = r.Stray("C2")
	assert.Empty(t, at+belongs)
	assert.Equal(t, c2.Out, r.Grip(B).Hole)
	assert.False(t, r.ToBeThreaded(home))
	assert.Empty(t, r.Open())
	// An older plan does not say which end it is: nothing moves.
	require.NoError(t, r.Apply(&Op{Op: Fault, Fault: FaultHole, Strand: "C2", Hole: wrong}))
	assert.Equal(t, c2.Out, r.Span("C2").Out)
}
