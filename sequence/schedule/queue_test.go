package schedule_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/combin"
	"pgregory.net/rapid"

	"pullcard/sequence/schedule"
)

func TestQueueOrder(t *testing.T) {
	w := func(key string, promised float64) schedule.Waiting {
		job := schedule.Waiting{Key: key, Left: span(20, 30, 40)}
		if promised > 0 {
			job.Promised = minute(promised)
		}
		return job
	}
	open, parked := w("open", 0), w("parked", 300)
	open.Begun = true
	parked.Begun, parked.Parked = true, true
	given := []schedule.Waiting{w("whenever", 0), w("late", 400), w("first of two", 200), w("another", 0), w("second of two", 200), parked, open}
	slots := schedule.Queue(noon(), given)
	var keys []string
	for i, s := range slots {
		keys = append(keys, s.Key)
		assert.Equal(t, minute(float64(30*i)), s.Start)
		assert.Equal(t, schedule.Times{Low: minute(float64(20 * (i + 1))), Mid: minute(float64(30 * (i + 1))), High: minute(float64(40 * (i + 1)))}, s.Ready)
	}
	assert.Equal(t, []string{"open", "first of two", "second of two", "parked", "late", "whenever", "another"}, keys)
	assert.Equal(t, "whenever", given[0].Key, "the list that was given stays as it is")
	assert.Empty(t, schedule.Queue(noon(), nil))
}

func TestSlot(t *testing.T) {
	at := func(m float64) time.Time { return minute(m).UTC() } // in another zone than the bench's
	for _, c := range []struct {
		name     string
		promised time.Time
		verdict  schedule.Verdict
		by       time.Duration
		want     string
	}{
		{"none", time.Time{}, schedule.NoPromise, 0, "ready about 15:40 (15:30 to 16:00)"},
		{"just in time", at(240), schedule.OnTime, 0, "ready about 15:40 (15:30 to 16:00), promised 16:00: on time"},
		{"in doubt", at(239), schedule.MayBeLate, time.Minute, "ready about 15:40 (15:30 to 16:00), promised 15:59: may be late by 1 min"},
		{"still in doubt", at(220), schedule.MayBeLate, 20 * time.Minute, "ready about 15:40 (15:30 to 16:00), promised 15:40: may be late by 20 min"},
		{"late", at(210), schedule.WillBeLate, 10 * time.Minute, "ready about 15:40 (15:30 to 16:00), promised 15:30: will be late by 10 min"},
		{"late by seconds", at(219.9), schedule.WillBeLate, 6 * time.Second, "ready about 15:40 (15:30 to 16:00), promised 15:39: will be late by 1 min"},
		{"long since", at(-24 * 60), schedule.WillBeLate, 1660 * time.Minute,
			"ready about 15:40 (15:30 to 16:00), promised 3 May 12:00: will be late by 1660 min"},
		{"another day", at(24 * 60), schedule.OnTime, 0, "ready about 15:40 (15:30 to 16:00), promised 5 May 12:00: on time"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := schedule.Queue(minute(0.3), []schedule.Waiting{{Promised: c.promised, Left: span(210, 220, 240)}})[0]
			assert.Equal(t, c.verdict, s.Verdict)
			assert.Equal(t, c.by, s.By)
			assert.Equal(t, c.want, s.String())
		})
	}
	night := schedule.Queue(noon(), []schedule.Waiting{{Left: span(700, 710, 730)}})[0]
	assert.Equal(t, "ready about 23:50 (23:40 to 5 May 00:10)", night.String())
}

func anyWaiting(t *rapid.T, most int) (list []schedule.Waiting) {
	for i := range rapid.IntRange(1, most).Draw(t, "jobs") {
		low := rapid.IntRange(0, 40).Draw(t, "low")
		mid := low + rapid.IntRange(0, 20).Draw(t, "mid")
		w := schedule.Waiting{Key: fmt.Sprint(i), Left: span(float64(low), float64(mid), float64(mid+rapid.IntRange(0, 20).Draw(t, "high")))}
		if rapid.IntRange(0, 4).Draw(t, "promised") > 0 {
			w.Promised = minute(float64(rapid.IntRange(-60, 240).Draw(t, "at")))
		}
		list = append(list, w)
	}
	return list
}

// worst is the greatest lateness, negative when all are early, of jobs that are done in some order.
func worst(order []schedule.Waiting) time.Duration {
	late, end := time.Duration(-1<<63), noon()
	for _, w := range order {
		end = end.Add(w.Left.Mid)
		if !w.Promised.IsZero() {
			late = max(late, end.Sub(w.Promised))
		}
	}
	return late
}

// No other order of the same jobs makes the greatest lateness smaller: all orders are tried.
func TestQueueMakesTheGreatestLatenessLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		given := anyWaiting(t, 6)
		var queued []schedule.Waiting
		for _, s := range schedule.Queue(noon(), given) {
			queued = append(queued, s.Waiting)
		}
		require.ElementsMatch(t, given, queued)
		ours := worst(queued)
		for _, order := range combin.Permutations(len(given), len(given)) {
			other := make([]schedule.Waiting, len(given))
			for i, j := range order {
				other[i] = given[j]
			}
			require.LessOrEqual(t, ours, worst(other), "%v", order)
		}
	})
}

// Later jobs are ready later, the range only grows, and a job that takes longer makes none ready earlier.
func TestQueueIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		given := anyWaiting(t, 8)
		slots := schedule.Queue(noon(), given)
		width := time.Duration(0)
		for i, s := range slots {
			require.False(t, s.Ready.Mid.Before(s.Ready.Low) || s.Ready.High.Before(s.Ready.Mid) || s.Ready.Mid.Before(s.Start))
			require.GreaterOrEqual(t, s.Ready.High.Sub(s.Ready.Low), width)
			width = s.Ready.High.Sub(s.Ready.Low)
			if i > 0 {
				require.Equal(t, slots[i-1].Ready.Mid, s.Start)
			}
		}
		slow := &given[rapid.IntRange(0, len(given)-1).Draw(t, "which")].Left
		more := time.Duration(rapid.IntRange(0, 60).Draw(t, "more")) * time.Minute
		slow.Low, slow.Mid, slow.High = slow.Low+more, slow.Mid+more, slow.High+more
		for i, s := range schedule.Queue(noon(), given) {
			require.Equal(t, slots[i].Key, s.Key)
			require.False(t, s.Ready.Low.Before(slots[i].Ready.Low) || s.Ready.Mid.Before(slots[i].Ready.Mid) || s.Ready.High.Before(slots[i].Ready.High))
		}
	})
}
