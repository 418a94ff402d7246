package records

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func reel(name string, cuts ...Taken) Shelf {
	return Shelf{Stock: Stock{Name: name, Form: "reel", Length: "200 m"}, Cuts: cuts}
}

func cut(weeksAgo float64, metres float64) Taken {
	return Taken{At: now().Add(-time.Duration(weeksAgo * 7 * 24 * float64(time.Hour))), MM: metres * 1000}
}

// A reel of 200 m gives 16 to 18 tennis rackets of about 12 m: common practice of the trade.
func TestAReelLastsForSixteenRackets(t *testing.T) {
	s := reel("Invented round")
	n := 0
	for !s.Before(6200, 5700).Short {
		s.Cuts = append(s.Cuts, Taken{now(), 6200}, Taken{now(), 5700})
		n++
	}
	assert.Equal(t, 16, n)
	assert.InDelta(t, 200000-16*11900, s.Left(), 1e-6)
}

func TestSets(t *testing.T) {
	s := Shelf{Stock: Stock{Name: "Invented round", Form: Sets, Length: "12 m", Sets: "3"}}
	assert.InDelta(t, 36000, s.Left(), 0)
	assert.False(t, s.Before(6200, 5700).Short)
	assert.InDelta(t, 100, s.Before(6200, 5700).OffcutMM, 1e-9)
	assert.True(t, s.Before(12500).Short, "one piece does not come from two sets")
	s.Cuts = []Taken{{now(), 24000}}
	assert.False(t, s.Before(6200, 5700).Short)
	assert.True(t, s.Before(6200, 5900).Short)
}

func TestOrders(t *testing.T) {
	// 12 m a week for eight weeks, and 20 m left: less than two weeks. Eight weeks take 96 m; 76 m are missing: one reel.
	var cuts []Taken
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
			s.Cuts = append(s.Cuts, Taken{now(), float64(mm)})
		}
		if got := s.Left(); math.Abs(got-float64(200000-sum)) > 1e-6 {
			t.Fatal(fmt.Sprint(got, " is left after cutting ", sum))
		}
	})
}
