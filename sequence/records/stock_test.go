package records

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func reel(name string, cuts ...StockChange) Shelf {
	return Shelf{Stock: Stock{Name: name, Form: "reel", Length: "200 m"}, Cuts: cuts}
}

func cut(weeksAgo float64, metres float64) StockChange {
	return StockChange{At: now().Add(-time.Duration(weeksAgo * 7 * 24 * float64(time.Hour))), MM: metres * 1000, Use: true}
}

// A reel of 200 m gives 16 to 18 tennis rackets of about 12 m: common practice of the trade.
func TestAReelLastsForSixteenRackets(t *testing.T) {
	s := reel("Invented round")
	n := 0
	for !s.Before(6200, 5700).Short {
		s.Cuts = append(s.Cuts, StockChange{At: now(), MM: 6200}, StockChange{At: now(), MM: 5700})
		n++
	}
	assert.Equal(t, 16, n)
	assert.InDelta(t, 200000-16*11900, s.Left(), 1e-6)
}

func TestSets(t *testing.T) {
	s := Shelf{Stock: Stock{Name: "Invented round", Form: Sets, Length: "12 m", Sets: "3"}}
	assert.InDelta(t, 36000, s.Left(), 0)
	assert.False(t, s.Before(6200, 5700).Short)
	assert.True(t, s.Before(12500).Short, "one piece does not come from two sets")
	s.Cuts = []StockChange{{At: now(), MM: 24000}}
	assert.False(t, s.Before(6200, 5700).Short)
	assert.True(t, s.Before(6200, 5900).Short)
}

// A set that was opened is used up where a piece fits into it; a stocktaking sets what there is and is no use.
func TestOpenedSets(t *testing.T) {
	s := Shelf{Stock: Stock{Name: "Invented round", Form: Sets, Length: "12 m", Sets: "3"}}
	take := func(mm float64) { s.Cuts = append(s.Cuts, StockChange{At: now(), MM: mm, Use: true}) }
	assert.Equal(t, "3 sets left", s.String())
	take(6200)
	assert.Equal(t, "2 sets left, 1 opened with 5.8 m", s.String())
	take(5700)
	take(6200)
	assert.Equal(t, []float64{12000, 5800, 100}, s.Pieces())
	assert.True(t, s.Before(11000, 5800, 5000).Short, "they would fit by their lengths together only")
	assert.False(t, s.Before(5800, 11000).Short)
	assert.InDelta(t, 36000-18100, s.Left(), 1e-9)
	s.Cuts = append(s.Cuts, StockChange{At: now(), MM: 30000, Counted: true})
	assert.Equal(t, "2 sets left, 1 opened with 6.0 m", s.String())
	take(40000)
	assert.Equal(t, "-10.0 m left", s.String())
	assert.Empty(t, s.Pieces())

	// One busy day is no pace: 24 m on the first day are 6 m a week.
	day := Shelf{Stock: Stock{Name: "Invented soft", Form: "reel", Length: "200 m"}, Cuts: []StockChange{cut(0.01, 24), {At: now(), MM: 50000, Counted: true}}}
	got := Orders([]Shelf{day}, now())
	assert.InDelta(t, 6, got[0].WeeklyM, 1e-9)
	assert.InDelta(t, 50, got[0].LeftM, 1e-9)
	assert.Zero(t, got[0].Pieces)
}

func TestOrders(t *testing.T) {
	// 12 m a week for eight weeks, and 20 m left: less than two weeks. Eight weeks take 96 m; 76 m are missing: one reel.
	var cuts []StockChange
	for w := range 8 {
		cuts = append(cuts, cut(float64(w)+0.5, 12))
	}
	cuts = append(cuts, cut(20, 84)) // long ago, in no pace
	got := Orders([]Shelf{reel("Invented spare"), reel("Invented round", cuts...)}, now())
	assert.Equal(t, "Invented round", got[0].Name)
	assert.InDelta(t, 20, got[0].LeftM, 1e-6)
	assert.InDelta(t, 12, got[0].WeeklyM, 1e-6)
	assert.InDelta(t, 20.0/12, *got[0].Weeks, 1e-9)
	assert.Equal(t, 1, got[0].Pieces)
	assert.Equal(t, "Invented spare", got[1].Name)
	assert.Nil(t, got[1].Weeks, "what nobody cuts lasts for ever")
	assert.Zero(t, got[1].Pieces)
}

func TestOrdersCountReelsOfOneStringTogether(t *testing.T) {
	got := Orders([]Shelf{reel("Invented round", cut(1, 190)), reel("invented ROUND")}, now())
	assert.Len(t, got, 1)
	assert.InDelta(t, 210, got[0].LeftM, 1e-6)
}

func TestLeftIsWhatWasNotCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := reel("Invented round")
		sum := 0
		for range rapid.IntRange(0, 20).Draw(t, "cuts") {
			mm := rapid.IntRange(1, 12000).Draw(t, "mm")
			sum += mm
			s.Cuts = append(s.Cuts, StockChange{At: now(), MM: float64(mm)})
		}
		if got := s.Left(); math.Abs(got-float64(200000-sum)) > 1e-6 {
			t.Fatal(fmt.Sprint(got, " is left after cutting ", sum))
		}
	})
}

// From what was counted go the cuts off that nobody knew of who counted, also those that were made before by the clock at a bench that
// was alone; the same cut never twice.
func TestStocktakingOfABenchAlone(t *testing.T) {
	s := reel("Invented round", StockChange{UID: "a", MM: 6000}, StockChange{UID: "b", MM: 7000}, StockChange{UID: "c", MM: 8000}, StockChange{UID: "x", Counted: true, MM: 150_000, Known: "a b"})
	assert.InDelta(t, 142_000, s.Left(), 1e-9, "c was not known")
	assert.Equal(t, []float64{142_000}, s.Pieces())
	s.Cuts = append(s.Cuts, StockChange{UID: "y", Counted: true, MM: 100_000, Known: "c x"})
	assert.InDelta(t, 100_000, s.Left(), 1e-9, "a and b were counted before, c now")
	s.Cuts = append(s.Cuts, StockChange{UID: "d", MM: 500}, StockChange{UID: "e", Counted: true, MM: 90_000, Known: "y"})
	assert.InDelta(t, 89_500, s.Left(), 1e-9, "d was not known")
	assert.Equal(t, "d e", s.Known())
	s.Cuts = append([]StockChange{{UID: "f", Counted: true, MM: 80_000, Known: s.Known()}}, s.Cuts...)
	assert.InDelta(t, 80_000, s.Left(), 1e-9, "counted last, by a clock that was set back")
}
