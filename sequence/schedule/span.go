package schedule

import (
	"fmt"
	"time"
)

// Span is a length of time that is not known exactly: half of all cases lie between Low and High, as many below Mid as
// above it. None is negative, and Low ≤ Mid ≤ High.
type Span struct{ Low, Mid, High time.Duration }

// String is a span in whole minutes, as "about 32 min (28 to 36)".
func (s Span) String() string {
	return fmt.Sprintf("about %d min (%d to %d)", minutes(s.Mid), minutes(s.Low), minutes(s.High))
}

func minutes(d time.Duration) int { return int(d.Round(time.Minute) / time.Minute) }

func (s Span) times(f float64) Span {
	of := func(d time.Duration) time.Duration { return time.Duration(float64(d) * f) }
	return Span{of(s.Low), of(s.Mid), of(s.High)}
}

// plus adds the quartiles of two spans. That range is wider than half of all cases if the two have nothing to do with each
// other, and just right if one bench is slow or fast at both; a promise is better doubted once too often.
func (s Span) plus(t Span) Span {
	return Span{s.Low + t.Low, s.Mid + t.Mid, s.High + t.High}
}
