package schedule

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
)

// However the queue goes, nobody has two rackets at a time and no machine either, each goes to its own, none is begun while the shop is
// closed or breaks, and none waits for longer than it must.
func TestPlays(t *testing.T) {
	zone := time.FixedZone("bench", 2*3600)
	open := map[time.Weekday]Range{time.Sunday: {9 * time.Hour, 18 * time.Hour}, time.Monday: {10 * time.Hour, 16 * time.Hour}, time.Wednesday: {9 * time.Hour, 18 * time.Hour}}
	lunch := Range{12*time.Hour + 30*time.Minute, 13 * time.Hour}
	rapid.Check(t, sweep.Some(5, func(t *rapid.T) {
		now := time.Date(2031, 5, 4, rapid.IntRange(0, 23).Draw(t, "hour"), 7, 0, 0, zone) // a Sunday
		f := Floor{Hours: Hours{Open: open, Breaks: []Range{lunch}}}
		for i := range rapid.IntRange(1, 3).Draw(t, "hands") {
			h := Hand{Key: fmt.Sprint("hand ", i), Away: now.Add(time.Duration(rapid.IntRange(-60, 60).Draw(t, "away")) * time.Minute)}
			if rapid.Bool().Draw(t, "told since when") {
				h.Since = now.Add(time.Duration(rapid.IntRange(-60, 600).Draw(t, "since")) * time.Minute)
				h.Away = h.Since.Add(time.Duration(rapid.IntRange(1, 3000).Draw(t, "for")) * time.Minute)
			}
			f.Hands = append(f.Hands, h)
		}
		for i := range rapid.IntRange(1, 3).Draw(t, "machines") {
			f.Machines = append(f.Machines, Machine{Key: fmt.Sprint("machine ", i)})
		}
		var queue []Waiting
		for i := range rapid.IntRange(1, 20).Draw(t, "rackets") {
			w := Waiting{Key: fmt.Sprint(i), Left: 1}
			if rapid.Bool().Draw(t, "by") {
				w.Stringer = rapid.SampledFrom(f.Hands).Draw(t, "stringer").Key
			}
			if rapid.Bool().Draw(t, "on") {
				w.Machine = rapid.SampledFrom(f.Machines).Draw(t, "machine").Key
			}
			queue = append(queue, w)
		}
		g, err := f.newGame(now, queue)
		require.NoError(t, err)
		for _, turns := range g.runs()[:5] {
			ends := map[int64]bool{}
			for _, a := range turns {
				ends[int64(a.end)] = true
			}
			for i, a := range turns {
				require.Contains(t, g.may[i].hands, a.hand)
				require.Contains(t, g.may[i].tools, a.machine)
				require.Positive(t, a.end-a.start)
				h := f.Hands[a.hand]
				require.False(t, now.Add(a.start).Before(h.Away) && !now.Add(a.start+g.usual[i][a.hand]).Before(h.Since.Add(1)), "begun while away")
				for j, b := range turns {
					apart := a.end <= b.start || b.end <= a.start
					require.True(t, i == j || apart || a.hand != b.hand && a.machine != b.machine, "two at a time")
				}
				begun := now.Add(a.start)
				clock := time.Duration(begun.Hour())*time.Hour + time.Duration(begun.Minute())*time.Minute + time.Duration(begun.Second())*time.Second + time.Duration(begun.Nanosecond())
				of, works := open[begun.Weekday()]
				require.True(t, works && clock >= of.From && clock < of.To, "begun at %s, when it is closed", begun)
				require.False(t, clock >= lunch.From && clock < lunch.To, "begun in the break")
				opens := clock == of.From || clock == lunch.To || a.start == 0 || ends[int64(a.start)] || slices.ContainsFunc(f.Hands, func(h Hand) bool { return h.Away.Equal(begun) })
				require.True(t, opens, "begun at %s, when nothing had become free", begun)
			}
		}
	}))
}
