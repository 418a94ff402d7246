package draw

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// What a picture shows grows with its room: first every crossing, then the hoop, then the numbers of the holes, then a thick
// frame. From how many rows and columns beyond the crossings is this program's own choice.
func TestWhatRoomGives(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	s := At(p, 0, 0)
	w, h := s.Size(View{})
	assert.Equal(t, [2]int{2*16 - 1 + 6, 19 + 2}, [2]int{w, h}, "a column beside each main, a row for each cross, and the rim")
	assert.True(t, s.Fits(w, h, View{}))
	assert.False(t, s.Fits(w-1, h, View{}) || s.Fits(w, h-1, View{}))
	for _, c := range []struct {
		columns, rows int
		want          string
	}{
		{0, 0, ""}, {99, 1, ""}, {1, 99, ""}, {2, 2, "hoop"}, {7, 99, "hoop"}, {99, 5, "hoop"}, {8, 6, "hoop numbers"}, {31, 99, "hoop numbers"},
		{99, 19, "hoop numbers"}, {32, 20, "hoop thick numbers"}, {-5, -5, ""},
	} {
		_, l := s.layout(w+c.columns, h+c.rows, View{})
		got := ""
		for _, has := range []struct {
			is   bool
			word string
		}{{l.hoop, "hoop"}, {l.thick, " thick"}, {l.numbers, " numbers"}} {
			if has.is {
				got += has.word
			}
		}
		assert.Equal(t, c.want, got, fmt.Sprint(c))
	}
}

// A form gets its picture where both go side by side, and no sooner; a picture lies level only where that helps.
func TestBesideAForm(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	s := At(p, 0, 0)
	for _, v := range []View{{}, {Turn: HeadLeft}} {
		w, h := s.Size(v)
		assert.Equal(t, w, s.Beside(v, w+40, h, 40))
		assert.Zero(t, s.Beside(v, w+39, h, 40))
		assert.Zero(t, s.Beside(v, w+40, h-1, 40))
	}
	level := View{Turn: HeadLeft}
	w, h := s.Size(View{})
	across, down := s.Size(level)
	assert.Equal(t, View{}, s.Laid(View{}, max(w, across), max(h, down)))
	assert.Equal(t, level, s.Laid(View{}, across, down))
	assert.Equal(t, View{}, s.Laid(View{}, across, down-1))
}

// Strands are spread over whole cells: never more than there are, evenly about the middle, no wider than wished for.
func TestFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, least := rapid.IntRange(1, 40).Draw(t, "strands"), rapid.IntRange(1, 2).Draw(t, "least")
		free := least*(n-1) + 1 + rapid.IntRange(0, 120).Draw(t, "more")
		room := rapid.SampledFrom([]float64{endRoom, sideRoom, lowRoom}).Draw(t, "room")
		wish := pitch(free, n, room)
		if n > 1 || room > 0 {
			assert.InDelta(t, float64(free+1), wish*(float64(n-1)+2*room), 1e-9, "so many pitches and the room at both ends")
		}
		s := fit(free, n, wish, least, room)
		bed := s.least*(n-1) + s.extra + 1
		assert.LessOrEqual(t, bed, free)
		assert.LessOrEqual(t, bed+2*s.room, free)
		assert.GreaterOrEqual(t, s.room, 0)
		assert.GreaterOrEqual(t, s.least, least)
		assert.Zero(t, s.extra%2, "as many wider gaps on either side")
		assert.GreaterOrEqual(t, s.extra, 0)
		if gaps := n - 1 - s.extra; s.extra > 0 {
			assert.GreaterOrEqual(t, gaps, 4, "fewer narrow gaps in the middle look like a mistake")
		}
		if wish >= float64(least) {
			assert.LessOrEqual(t, float64(bed-1), wish*float64(n-1)+1, "no wider than wished for")
		}
	})
}
