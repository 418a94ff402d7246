package draw

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// TestBedIsTheFinishedRacket: the bed of a frame by itself has the strands, the weave and the loops of the mains that it
// has when a plan has strung it.
func TestBedIsTheFinishedRacket(t *testing.T) {
	for _, layout := range layouts() {
		f, p := build(t, layout, "two-piece-knot")
		bed, strung := Bed(f, Planned{Mains: true, Crosses: true, Loops: true}), At(p, len(p.Steps), 0)
		require.Len(t, bed.crosses, len(f.Crosses))
		for i := range strung.crosses {
			assert.Equal(t, strung.crosses[i].over, bed.crosses[i].over, "%s: %s", layout, bed.crosses[i].name)
		}
		for i := range strung.mains {
			assert.Equal(t, strung.mains[i].ends, bed.mains[i].ends, layout)
			assert.Equal(t, taut, bed.mains[i].state)
		}
		assert.ElementsMatch(t, loops(&strung), loops(&bed), layout)
	}
}

// loops are the holes that the runs between mains join, whichever is named first.
func loops(s *Scene) (out [][2]int) {
	for _, r := range s.runs {
		if !r.tail && strings.HasPrefix(string(r.after), "M") && strings.HasPrefix(string(r.strand), "M") {
			out = append(out, [2]int{min(r.from, r.to), max(r.from, r.to)})
		}
	}
	return out
}

func TestBedGrows(t *testing.T) {
	f := frame(t, "club-sixteen")
	assert.NotEmpty(t, At(bedPlan(f, Planned{}), 0, 1).Current, "the first step is in hand, too")
	s := Bed(f, Planned{})
	assert.Empty(t, s.runs)
	assert.Empty(t, s.knots)
	assert.Equal(t, []state{coming, coming}, states(&s, "M1L", "C1"))
	s = Bed(f, Planned{Mains: true, Ties: true})
	assert.Equal(t, []state{taut, coming}, states(&s, "M8R", "C19"))
	assert.Len(t, s.knots, 8, "6H, 8T, 6H, 6T on both sides")
}

func TestBedHoldsWhatIsInQuestion(t *testing.T) {
	f := frame(t, "club-sixteen")
	inHand := func(s Scene) (out []plan.Strand) {
		for _, list := range [][]span{s.mains, s.crosses} {
			for _, c := range list {
				if c.inHand {
					out = append(out, c.name)
				}
			}
		}
		return out
	}
	holes := []patterns.Hole{{Side: patterns.Left, N: 7}, {Side: patterns.Right, N: 9}, {Side: patterns.Left, N: 10}}
	assert.Equal(t, []plan.Strand{"C1", "C2"}, inHand(Bed(f, Planned{Hand: holes, InHand: patterns.Cross})), "and no main at 10HL")
	assert.Equal(t, []plan.Strand{"M8L"}, inHand(Bed(f, Planned{Hand: holes, InHand: patterns.Main})))
	s := Bed(f, Planned{Ties: true, Hand: []patterns.Hole{{Side: patterns.Left, N: 28}}, InHand: patterns.Main})
	var made []plan.Hole
	for _, k := range s.knots {
		if k.inHand {
			made = append(made, s.ring.name(k.hole))
		}
	}
	assert.Equal(t, []plan.Hole{"8TL"}, made)
}
