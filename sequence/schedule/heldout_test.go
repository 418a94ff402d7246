package schedule_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
	"pullcard/sequence/schedule"
)

// toyShop is an invented shop of three stringers at two machines, played minute by minute: code of its own, and times that no model
// of the program's knows. Each stringer has a usual time and days that are slow or fast; now and then a racket goes wrong.
type toyShop struct {
	r       *rand.Rand
	usual   []float64 // minutes
	day     float64
	rest    float64
	mishaps float64
	past    []schedule.Work
	at      time.Time // the morning of the day
	factor  []float64 // of today
}

type toyRacket struct {
	schedule.Waiting
	minutes, done float64
	hand, machine int
	begun, ended  time.Time
}

func newToyShop(seed uint64) *toyShop {
	r := rand.New(rand.NewPCG(seed, 1))
	s := &toyShop{r: r, usual: []float64{22 + 6*r.Float64(), 26 + 8*r.Float64(), 32 + 8*r.Float64()}, day: .05 + .1*r.Float64(), rest: .08 + .1*r.Float64(), mishaps: .05 * r.Float64(),
		at: time.Date(2031, 5, 5, 9, 0, 0, 0, time.UTC)}
	return s
}

// morning begins a day with some rackets.
func (s *toyShop) morning(n int) (list []*toyRacket) {
	s.factor = nil
	for range s.usual {
		s.factor = append(s.factor, s.day*s.r.NormFloat64())
	}
	for i := range n {
		w := schedule.Waiting{Key: fmt.Sprint(s.at.YearDay(), "-", i), Left: 1, Promised: s.at.Add(time.Duration(15*(i+2)) * time.Minute)}
		if s.r.IntN(2) == 0 {
			w.Stringer = fmt.Sprint(s.r.IntN(3))
		}
		if s.r.IntN(3) == 0 {
			w.Machine = fmt.Sprint(s.r.IntN(2))
		}
		list = append(list, &toyRacket{Waiting: w, hand: -1, machine: -1})
	}
	return list
}

// until works from one minute to another.
func (s *toyShop) until(list []*toyRacket, from, to time.Time) {
	for at := from; at.Before(to); at = at.Add(time.Minute) {
		hands, machines := make([]bool, 3), make([]bool, 2)
		for _, r := range list {
			if r.hand >= 0 && r.ended.IsZero() {
				hands[r.hand], machines[r.machine] = true, true
			}
		}
		for _, r := range list {
			if r.hand >= 0 || at.Hour() == 12 && at.Minute() >= 30 {
				continue
			}
			h := s.free(3, func(i int) bool { return !hands[i] && (r.Stringer == "" || r.Stringer == fmt.Sprint(i)) })
			m := s.free(2, func(i int) bool { return !machines[i] && (r.Machine == "" || r.Machine == fmt.Sprint(i)) })
			if h < 0 || m < 0 {
				continue
			}
			r.hand, r.machine, r.begun, hands[h], machines[m] = h, m, at, true, true
			r.minutes = s.usual[h] * math.Exp(s.factor[h]+s.rest*s.r.NormFloat64())
			if s.r.Float64() < s.mishaps {
				r.minutes *= 1.3 + s.r.Float64()
			}
		}
		for _, r := range list {
			if r.hand >= 0 && r.ended.IsZero() {
				if r.done++; r.done >= r.minutes {
					r.ended = at.Add(time.Minute)
				}
			}
		}
	}
}

// free is one of those that are, -1 for none.
func (s *toyShop) free(n int, is func(int) bool) int {
	for _, i := range s.r.Perm(n) {
		if is(i) {
			return i
		}
	}
	return -1
}

// work is a racket as the book has it: the first tenth is over when the first event comes, and a twentieth was spent away.
func (s *toyShop) work(r *toyRacket) schedule.Work {
	took := r.ended.Sub(r.begun)
	gap := schedule.Gap{From: r.begun.Add(took / 2), To: r.begun.Add(took/2 + took/20)}
	return schedule.Work{Stringer: fmt.Sprint(r.hand), Machine: fmt.Sprint(r.machine), Finished: true, Began: r.begun.Add(took / 10), Ended: r.ended, Gaps: []schedule.Gap{gap},
		Phases: map[plan.Phase]time.Duration{plan.PhaseMains: took - took/10 - took/20}}
}

// evening writes the day into the book.
func (s *toyShop) evening(list []*toyRacket) {
	for _, r := range list {
		s.past = append(s.past, s.work(r))
	}
	s.at = s.at.AddDate(0, 0, 1)
}

// floor is what the program knows of the shop.
func (s *toyShop) floor(now time.Time, list []*toyRacket) schedule.Floor {
	f := schedule.Floor{Machines: []schedule.Machine{{Key: "0"}, {Key: "1"}}, Hours: schedule.Hours{Breaks: []schedule.Range{{From: 12*time.Hour + 30*time.Minute, To: 13 * time.Hour}}}}
	f.Hours.Open = map[time.Weekday]schedule.Range{}
	for d := range time.Saturday + 1 {
		f.Hours.Open[d] = schedule.Range{From: 9 * time.Hour, To: 24 * time.Hour}
	}
	works := s.past[max(0, len(s.past)-180):]
	for _, r := range list {
		if !r.ended.IsZero() {
			works = append(works[:len(works):len(works)], s.work(r))
		}
	}
	paces := schedule.Paces(now, works)
	for i := range s.usual {
		f.Hands = append(f.Hands, schedule.Hand{Key: fmt.Sprint(i), Pace: paces[fmt.Sprint(i)]})
	}
	return f
}

// told is how what was said came true.
type told struct{ in, all, late, wasLate, onTime, wasOnTime int }

// foretell asks what will become of what is not done yet.
func (s *toyShop) foretell(t require.TestingT, now time.Time, list []*toyRacket) map[string]schedule.Slot {
	var waiting []schedule.Waiting
	for _, r := range list {
		if w := r.Waiting; r.ended.IsZero() {
			if r.hand >= 0 {
				w.Begun, w.Left, w.Stringer, w.Machine = true, 1-r.done/r.minutes, fmt.Sprint(r.hand), fmt.Sprint(r.machine)
			}
			waiting = append(waiting, w)
		}
	}
	slots, err := schedule.Queue(now, waiting, s.floor(now, list))
	require.NoError(t, err)
	out := map[string]schedule.Slot{}
	for _, slot := range slots {
		out[slot.Key] = slot
	}
	return out
}

func (n *told) compare(slots map[string]schedule.Slot, list []*toyRacket) {
	for _, r := range list {
		slot, asked := slots[r.Key]
		if !asked {
			continue
		}
		n.all++
		if !r.ended.Before(slot.Ready.Low) && !r.ended.After(slot.Ready.High) {
			n.in++
		}
		switch late := r.ended.After(r.Promised); slot.Verdict {
		case schedule.WillBeLate:
			n.late++
			if late {
				n.wasLate++
			}
		case schedule.OnTime:
			n.onTime++
			if !late {
				n.wasOnTime++
			}
		}
	}
}

// heldOut plays shops of some days, each with a past of ten, and asks each morning and each noon what the day will bring.
func heldOut(t require.TestingT, shops, days int) (n told) {
	for seed := range shops {
		s := newToyShop(uint64(seed))
		for range 10 {
			list := s.morning(20)
			s.until(list, s.at, s.at.AddDate(0, 0, 1))
			s.evening(list)
		}
		for range days {
			list := s.morning(20)
			at, noon := s.at, s.at.Add(3*time.Hour)
			early := s.foretell(t, at, list)
			s.until(list, at, noon)
			late := s.foretell(t, noon, list)
			s.until(list, noon, at.AddDate(0, 0, 1))
			n.compare(early, list)
			n.compare(late, list)
			s.evening(list)
		}
	}
	return n
}

// Eight rackets in ten end inside their range on days of a shop that the model has not seen, and what is said to be late is.
func TestHeldOutDays(t *testing.T) {
	n := heldOut(t, sweep.Share(20, 10), 20)
	share := func(of, all int) float64 { return 100 * float64(of) / float64(all) }
	t.Logf("%d rackets, %.1f %% in their range; of %d said to be late %.1f %% were, of %d on time %.1f %%", n.all, share(n.in, n.all), n.late, share(n.wasLate, n.late), n.onTime, share(n.wasOnTime, n.onTime))
	assert.InDelta(t, 80, share(n.in, n.all), 5)
	assert.Greater(t, share(n.wasLate, n.late), 85.)
	assert.Greater(t, share(n.wasOnTime, n.onTime), 85.)
	assert.Greater(t, min(n.late, n.onTime), n.all/20, "both were said often enough to be tried")
}

// BenchmarkQueue is a queue of 40 rackets over three stringers at two machines.
func BenchmarkQueue(b *testing.B) {
	s := newToyShop(1)
	for range 10 {
		list := s.morning(20)
		s.until(list, s.at, s.at.AddDate(0, 0, 1))
		s.evening(list)
	}
	list := s.morning(40)
	for b.Loop() {
		s.foretell(b, s.at, list)
	}
}
