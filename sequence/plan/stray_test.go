package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// apply takes the racket some ops further.
func apply(t *testing.T, r *Racket, ops ...Op) *Racket {
	t.Helper()
	require.NoError(t, r.ApplyAll(ops))
	return r
}

func wrong(s Strand, from, hole Hole) Op {
	return Op{Op: Fault, Fault: FaultHole, Strand: s, From: from, Hole: hole}
}

func kept(s Strand, from, to Hole) Op { return Op{Op: Waive, Strand: s, From: from, To: to} }

// Where an end is by mistake and where it belongs is known of the very first hole as well, and of no hole that is not.
func TestWhereAnEndBelongs(t *testing.T) {
	r := apply(t, do(t, small(), woven), wrong("C2", "4HL", "1HL"))
	at, home := r.Stray("C2")
	assert.Equal(t, []Hole{"1HL", "4HL"}, []Hole{at, home})
	for h, want := range map[Hole]Hole{"1HL": "4HL", "8TL": "4HL", "4HL": "", "2HL": "", "4HR": "", "": "", "99HL": ""} {
		assert.Equal(t, want, r.OwnHole("C2", h), h)
	}
	assert.Empty(t, r.OwnHole("M9R", "1HL"))
	assert.Empty(t, r.OwnHole("C1", "1HL"), "another's")
	assert.Equal(t, Hole("3HL"), apply(t, do(t, small(), woven), wrong("C2", "4HL", "6TL")).Span("C2").Out, "as the strand there names it")
	// From 4HR and 3HL it is five steps to 1TL: at a draw it is the exit.
	assert.Equal(t, Hole("3HL"), apply(t, do(t, small(), woven), wrong("C2", "4HL", "3HL")).Nearer("C2", "1TL"))
}

// A wrong hole that is kept by name is the strand's own from then on, in a layout with a name and a fingerprint of its own; a waiver
// of anything else changes no layout.
func TestKeptHoles(t *testing.T) {
	bare := smallTerms()
	p := &Plan{Frame: "Small", Terms: bare}
	was := small().LayoutFingerprint(&bare)
	assert.Len(t, was, 8, "eight hexadecimal digits")
	base := do(t, small(), woven)
	for _, c := range []struct {
		what string
		ops  []Op
		name string
		ends map[Strand][2]int // that are not those of the terms
		open int
	}{
		{"kept", []Op{wrong("C2", "4HL", "4TL"), kept("C2", "4HL", "4TL")}, "Small, C2 in 4TL", map[Strand][2]int{"C2": {5, 13}}, 0},
		{"kept in the first hole", []Op{wrong("C2", "4HL", "1HL"), kept("C2", "4HL", "1HL")}, "Small, C2 in 1HL", map[Strand][2]int{"C2": {1, 13}}, 0},
		{"two", []Op{wrong("C2", "4HL", "4TL"), kept("C2", "4HL", "4TL"), wrong("C1", "3HR", "4TR"), kept("C1", "3HR", "4TR")}, "Small, C2 in 4TL, C1 in 4TR",
			map[Strand][2]int{"C2": {5, 13}, "C1": {3, 12}}, 0},
		{"one that is kept once more", []Op{wrong("C1", "3HR", "4TR"), kept("C1", "3HR", "4TR"), wrong("C2", "4HL", "4TL"), kept("C2", "4HL", "4TL"),
			wrong("C2", "4TL", "3TL"), kept("C2", "4TL", "3TL")}, "Small, C1 in 4TR, C2 in 3TL", map[Strand][2]int{"C2": {6, 13}, "C1": {3, 12}}, 0},
		{"another hole than that", []Op{wrong("C2", "4HL", "4TL"), kept("C2", "4HL", "3TL")}, "Small", nil, 1},
		{"an end that is in its own", []Op{wrong("C2", "4HL", "4TL"), kept("C2", "4HR", "4TL")}, "Small", nil, 0},
		{"a hole that it never had", []Op{wrong("C2", "4HL", "4TL"), kept("C2", "1HL", "4TL")}, "Small", nil, 0},
		{"no end", []Op{wrong("C2", "4HL", "4TL"), kept("C2", "", "4TL")}, "Small", nil, 0},
		{"the weave stays wrong", []Op{{Op: Fault, Fault: FaultWeave, Strand: "C2"}, wrong("C2", "4HL", "4TL"), kept("C2", "4HL", "4TL")}, "Small, C2 in 4TL",
			map[Strand][2]int{"C2": {5, 13}}, 1},
		{"a weave that is left", []Op{{Op: Fault, Fault: FaultWeave, Strand: "C2"}, kept("C2", "4HL", "")}, "Small", nil, 0},
		{"nothing named", []Op{{Op: Waive, To: "4TL", From: "4HL"}}, "Small", nil, 0},
	} {
		r := apply(t, base.Clone(), c.ops...)
		assert.Equal(t, c.name, p.LayoutName(r), c.what)
		assert.Equal(t, c.ends == nil, was == r.LayoutFingerprint(&bare), c.what)
		assert.Len(t, r.Open(), c.open, c.what)
		for _, s := range []Strand{"M1L", "C1", "C2", "C3"} {
			want, other := c.ends[s]
			if !other {
				want = base.Ends(s)
			}
			assert.Equal(t, want, r.Ends(s), "%s: %s", c.what, s)
			for place := 1; place <= r.Total(); place++ {
				if there := want[0] == place || want[1] == place; there {
					assert.Contains(t, r.at[place], r.index[s], "%s: %s", c.what, s)
				}
			}
		}
	}
	assert.Equal(t, [2]int{4, 13}, base.Ends("C2"), "clones are their own")

	// Layouts that differ in one end only are two.
	moved := smallTerms()
	moved.Crosses[1].Ends[1] = "5HR"
	assert.NotEqual(t, was, NewRacket(&moved).LayoutFingerprint(&moved))

	// A hole that nothing ended in is named by what is kept there; another keeps its name.
	wide := smallTerms()
	wide.HolesLeft, wide.HolesRight = 9, 9
	for to, want := range map[Hole]Hole{"5HL": "5HL", "6TL": "4HL"} {
		from, s := Hole("4HL"), Strand("C2")
		if to == "6TL" {
			from, s = "3HL", "C1" // into C2's hole, by its other name
		}
		r := do(t, NewRacket(&wide), `lay C1 3HL 3HR; lay C2 4HR 4HL after C1`)
		apply(t, r, wrong(s, from, to), kept(s, from, to))
		assert.Equal(t, want, r.HoleAt(r.At(to)), to)
	}
}

// What an op may leave out counts where it is said.
func TestFingerprintOfWhatIsSeldom(t *testing.T) {
	of := func(o Op) string { return (&Plan{Steps: []Step{{Ops: []Op{o}}}}).Fingerprint() }
	seen := map[string]bool{}
	for _, o := range []Op{{}, {Also: "M1L"}, {Also: "M1R"}, {With: "M2L"}, {With: "M2R"}, {Where: AtJaw}, {Where: InBed}, {Extent: Crept}, {Choose: New}, {Choose: Past}} {
		seen[of(o)] = true
	}
	assert.Len(t, seen, 10)
}

// A starting knot whose strand lay in a wrong hole has its string enter by the right one next; other knots stay as they are.
func TestStartingKnotOfAStray(t *testing.T) {
	out := func(r *Racket) (holes []Hole) {
		for _, k := range r.Knots() {
			holes = append(holes, k.Out)
		}
		return holes
	}
	for _, stray := range []Hole{"1HR", "2HR", "1HL"} {
		r := do(t, small(), `lay M2R 2TR 2HR; tie M2R 2HR 3HR; tie C3 4TR 3TR anchor M2R; lay C3 4TR 4TL; tie C3 4TL 3TL`)
		apply(t, r, wrong("C3", "4TR", stray))
		assert.Equal(t, []Hole{"2HR", stray, "4TL"}, out(r))
		assert.Equal(t, []Hole{"2HR", "4TR", "4TL"}, out(apply(t, r, Op{Op: Unthread, Strand: "C3"})))
	}
}

// Names of holes are read as they are written, and nothing else is.
func TestHoleNames(t *testing.T) {
	ring := Ring{35, 36}
	for h, want := range map[Hole]int{
		"1HL": 1, "35HL": 35, "1TL": 35, "36HL": 0, "36HR": 36, "1HR": 71, "1TR": 36, "0HL": 0, "01HL": 1, "HL": 0, "1XL": 0, "1HX": 0, "": 0,
		"1:HL": 0, ":HL": 0, "2/HL": 0, "-1HL": 0, "1 HL": 0, "1001HL": 0, "18446744073709551617HL": 0, "92233720368547758081HL": 0,
	} {
		assert.Equal(t, want, ring.At(h), h)
	}
	assert.Zero(t, Ring{400, 400}.At("/HL"))
	r := small()
	require.NoError(t, r.Apply(&Op{Op: Note, Text: LeaveScrap + "1HL 99HL: a run comes"}))
	assert.True(t, r.Scrap("1HL"))
	assert.False(t, r.Scrap("99HL"), "there is no such hole")
}
