package schedule

import (
	"slices"
	"time"
)

// Hours are when a shop works. The zero Hours are always, through the night.
type Hours struct {
	// Open is from when to when on each day of the week; it is closed on a day that is not there. With none it is always open.
	Open map[time.Weekday]Range
	// Breaks are those of every day on which it is open.
	Breaks []Range
}

// Range is a part of a day, as times since midnight; From < To.
type Range struct{ From, To time.Duration }

// calendar is the hours as times from now on.
type calendar struct {
	hours   Hours
	now     time.Time
	windows []window
	days    int // for how many there are windows
}

// window is a time in which rackets are begun; closing is that of its day, opening likewise.
type window struct {
	from, to, opening, closing time.Duration
	day                        int
}

// farthest is how many days ahead a calendar looks.
const farthest = 3660

// begin is the first time from a time on at which work is begun that takes so long, and on which day that is: not in a break, and
// not so late that the shop would close before it is done, unless no day is long enough. What is begun is finished, break or not.
func (c *calendar) begin(at, takes time.Duration) (time.Duration, int) {
	if len(c.hours.Open) == 0 {
		midnight := time.Date(c.now.Year(), c.now.Month(), c.now.Day(), 0, 0, 0, 0, c.now.Location())
		return at, int((c.now.Sub(midnight) + at) / (24 * time.Hour))
	}
	for c.days < farthest {
		i, _ := slices.BinarySearchFunc(c.windows, at, func(w window, at time.Duration) int {
			if w.to > at {
				return 1
			}
			return -1
		})
		for ; i < len(c.windows); i++ {
			w := c.windows[i]
			start := max(at, w.from)
			if start+takes <= w.closing || takes > w.closing-w.opening && start == w.opening {
				return start, w.day
			}
		}
		c.more()
	}
	return at, c.days
}

// more adds the windows of another day.
func (c *calendar) more() {
	year, month, date := c.now.Date()
	at := func(d time.Duration) time.Duration { // what the clock on the wall shows, also on the day on which it is put forward
		return time.Date(year, month, date+c.days, 0, 0, int(d/time.Second), 0, c.now.Location()).Sub(c.now)
	}
	open, there := c.hours.Open[time.Date(year, month, date+c.days, 12, 0, 0, 0, c.now.Location()).Weekday()]
	if there {
		from := open.From
		breaks := slices.SortedFunc(slices.Values(c.hours.Breaks), func(a, b Range) int { return int(a.From - b.From) })
		for _, b := range append(breaks, Range{open.To, open.To}) {
			if to := min(b.From, open.To); to > from {
				c.windows = append(c.windows, window{at(from), at(to), at(open.From), at(open.To), c.days})
			}
			from = max(from, b.To)
		}
	}
	c.days++
}
