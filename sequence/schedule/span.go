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
