package plan

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
)

// By the trade's rule k from the throat is N+1−k from the head, each side by its own N; the places run down the left side
// and up the right one.
func TestRing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Ring{rapid.IntRange(1, 40).Draw(t, "left"), rapid.IntRange(1, 40).Draw(t, "right")}
		assert.Equal(t, r.Left+r.Right, r.Total())
		for side, n := range map[string]int{"L": r.Left, "R": r.Right} {
			k := rapid.IntRange(1, n).Draw(t, "hole")
			place := r.At(Hole(fmt.Sprintf("%dH%s", k, side)))
			want := k
			if side == "R" {
				want = r.Total() + 1 - k
			}
			assert.Equal(t, want, place)
			assert.Equal(t, place, r.At(Hole(fmt.Sprintf("%dT%s", n+1-k, side))))
			assert.Equal(t, side, r.Side(place))
			assert.Zero(t, r.At(Hole(fmt.Sprintf("%dH%s", n+1, side))))
			assert.Zero(t, r.At(Hole(fmt.Sprintf("%dT%s", n+1, side))))
		}
		a, b := rapid.IntRange(1, r.Total()).Draw(t, "a"), rapid.IntRange(1, r.Total()).Draw(t, "b")
		steps := 0 // walked one by one, the way down and the way up
		for p, q := a, a; p != b && q != b; steps++ {
			p, q = p%r.Total()+1, (q+r.Total()-2)%r.Total()+1
		}
		assert.Equal(t, steps, r.Steps(a, b))
		between := r.Between(a, b)
		for p := 1; p <= r.Total(); p++ {
			in := (a <= r.Left) == (b <= r.Left) && (a < p && p < b || b < p && p < a)
			if in {
				assert.Contains(t, between, p)
			} else {
				assert.NotContains(t, between, p)
			}
			switch { // along a side, or the shorter way round
			case (a <= r.Left) == (b <= r.Left):
				assert.Equal(t, in, r.over(a, b, p))
			case 2*steps != r.Total():
				assert.Equal(t, p != a && p != b && r.Steps(a, p)+r.Steps(p, b) == steps, r.over(a, b, p))
			}
		}
		for i := range between[min(1, len(between)):] {
			assert.Equal(t, 1, max(between[i]-between[i+1], between[i+1]-between[i]), "in the order from the first to the second")
		}
	})
	for _, h := range []Hole{"", "L", "HL", "0HL", "0TL", "-1HL", "1XL", "1HX", "xHL", "1.5HL", "99999999999999999999HL"} {
		assert.Zero(t, Ring{8, 8}.At(h), h)
	}
}

func TestParts(t *testing.T) {
	for h, want := range map[Hole]HoleParts{
		"7HL": {7, "H", "L"}, "12TR": {12, "T", "R"}, "90H": {90, "H", ""}, "1T": {1, "T", ""},
		"": {}, "7": {}, "H": {}, "HL": {}, "7L": {}, "7HLL": {}, "7HL7": {}, "7HT": {}, "7XL": {}, "7H7": {}, "x7HL": {}, "7HLR": {}, "/HL": {}, ":HL": {},
	} {
		assert.Equal(t, want, h.Parts(), h)
	}
	type parts struct {
		kind byte
		n    int
		side string
	}
	for s, want := range map[Strand]parts{
		"M3L": {'M', 3, "L"}, "M90R": {'M', 90, "R"}, "C19": {'C', 19, ""}, "M3": {'M', 3, ""},
		"": {}, "M": {}, "C": {}, "C1L": {}, "M3LL": {}, "M3L3": {}, "X3L": {}, "M3X": {}, "Cx": {}, "C/": {}, "C:": {},
	} {
		kind, n, side := s.Parts()
		assert.Equal(t, want, parts{kind, n, side}, s)
	}
}

func TestLists(t *testing.T) {
	assert.Equal(t, "M1L, M2L", Names([]Strand{"M1L", "M2L"}))
	for want, holes := range map[string][]Hole{"": nil, "7HL": {"7HL"}, "7HL and 7HR": {"7HL", "7HR"}, "7HL, 8HL and 7HR": {"7HL", "8HL", "7HR"}} {
		assert.Equal(t, want, Holes(holes))
	}
	assert.Equal(t, 6, (&Terms{}).ReachSteps(), "common practice")
	assert.Equal(t, 3, (&Terms{Reach: 3}).ReachSteps())
	assert.Equal(t, Walk{4, 2}, (&Terms{}).WalkStrands(), "common practice")
	assert.Equal(t, Walk{1, 0}, (&Terms{Walk: &Walk{1, 0}}).WalkStrands())
	terms := Terms{PullMains: Tension{Ordered: "24 kg"}, PullCrosses: Tension{Ordered: "23 kg"}, Mains: []Chord{{"M1L", [2]Hole{"1HL", "1TL"}}}}
	assert.Equal(t, "mains 24 kg, crosses 23 kg", terms.Tensions())
	assert.Equal(t, "24 kg 23 kg 23 kg", terms.PullOf("M1L").Ordered+" "+terms.PullOf("C1").Ordered+" "+terms.PullOf("").Ordered)
	terms.Pulls = map[Strand]Tension{"C1": {Ordered: "20 kg"}}
	assert.Equal(t, "20 kg", terms.PullOf("C1").Ordered)
	assert.Equal(t, "mains 24 kg, crosses 23 kg, strand by strand", terms.Tensions())
}

// The peaks are those of the worst step, the first of those that are as bad; a hair more is rounding.
func TestSumLoads(t *testing.T) {
	assert.Equal(t, Loads{}, SumLoads(nil))
	assert.Equal(t, Loads{PeakSideNewtons: 50, PeakSide: "R", PeakSideStep: 3, MainsAloneNewtons: 650, MainsAloneSteps: 3},
		SumLoads([]Load{{}, {240, 200, 0}, {300, 350, 0}, {350, 300, 0}, {300, 350 + 1e-9, 200}}))
	assert.Equal(t, "L", SumLoads([]Load{{240, 200, 1}}).PeakSide)
	assert.Zero(t, SumLoads([]Load{{240, 240, 1}}).PeakSideStep)
}

func TestNewPieces(t *testing.T) {
	lay := func(piece Piece, strand Strand, from, to Hole) Op {
		return Op{Op: Thread, Strand: strand, From: from, To: to, Piece: piece}
	}
	p := Plan{Terms: Terms{HolesLeft: 8, HolesRight: 8, Mains: []Chord{{"M1L", [2]Hole{"1HL", "1TL"}}}, Crosses: []Chord{{"C1", [2]Hole{"3HL", "3HR"}}}}}
	p.Steps = []Step{{Ops: []Op{lay(PieceMains, "M1L", "1HL", "1TL")}}, {Ops: []Op{{Op: Note}}}, {Ops: []Op{lay(PieceCrosses, "C1", "3HL", "3HR")}},
		{Ops: []Op{{Op: Cut, Strand: "C1"}, lay(PieceCrosses, "C1", "3HL", "3HR")}}}
	for step, want := range map[int][]Piece{-1: nil, 0: nil, 1: {PieceMains}, 2: {}, 3: {PieceCrosses}, 4: {PieceCrosses}, 5: nil} {
		assert.Equal(t, want, p.NewPieces(step), step)
	}
}
