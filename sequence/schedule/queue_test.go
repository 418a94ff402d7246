package schedule_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/combin"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
	"pullcard/sequence/schedule"
)

func TestQueueOrder(t *testing.T) {
	w := func(key string, promised float64) schedule.Waiting {
		job := schedule.Waiting{Key: key, Left: 1}
		if promised > 0 {
			job.Promised = minute(promised)
		}
		return job
	}
	open, parked := w("open", 0), w("parked", 300)
	open.Begun = true
	parked.Begun, parked.Parked = true, true
	given := []schedule.Waiting{w("whenever", 0), w("late", 400), w("first of two", 200), w("another", 0), w("second of two", 200), parked, open}
	slots := queue(t, given, schedule.Floor{})
	var keys []string
	for _, s := range slots {
		keys = append(keys, s.Key)
	}
	assert.Equal(t, []string{"open", "first of two", "second of two", "parked", "late", "whenever", "another"}, keys)
	assert.Equal(t, minute(0), slots[0].Start)
	assert.Equal(t, "whenever", given[0].Key, "the list that was given stays as it is")
	assert.Equal(t, slots, queue(t, given, schedule.Floor{}), "asked again it says the same")
	assert.Empty(t, queue(t, nil, schedule.Floor{}))
}

func queue(t require.TestingT, waiting []schedule.Waiting, f schedule.Floor) []schedule.Slot {
	slots, err := schedule.Queue(noon(), waiting, f)
	require.NoError(t, err)
	return slots
}

// Each job goes to its stringer and its machine or to the first that is free, and who is not there is an error.
func TestQueueOverPeopleAndMachines(t *testing.T) {
	f := schedule.Floor{Hands: []schedule.Hand{{Key: "Ada"}, {Key: "Cy", Away: minute(24 * 60)}}, Machines: []schedule.Machine{{Key: "window"}, {Key: "door", Out: minute(600)}}}
	job := func(key, by, on string) schedule.Waiting {
		return schedule.Waiting{Key: key, Left: 1, Stringer: by, Machine: on}
	}
	slots := queue(t, []schedule.Waiting{job("1", "Cy", ""), job("2", "", ""), job("3", "Ada", "door"), job("4", "", "window")}, f)
	var got [][2]string
	for _, s := range slots {
		got = append(got, [2]string{s.ByStringer, s.OnMachine})
	}
	assert.Equal(t, [][2]string{{"Cy", "window"}, {"Ada", "window"}, {"Ada", "door"}, {"Ada", "window"}}, got)
	assert.False(t, slots[0].Start.Before(minute(24*60)), "nobody strings while they are away")
	assert.False(t, slots[2].Start.Before(minute(600)), "nor on what is out of use")
	assert.True(t, slots[3].Start.Before(minute(60)), "and what can be strung meanwhile is")
	for _, w := range []schedule.Waiting{job("5", "Bo", ""), job("5", "", "cellar")} {
		_, err := schedule.Queue(noon(), []schedule.Waiting{w}, f)
		require.ErrorContains(t, err, "here")
	}
}

func anyWaiting(t *rapid.T, most int) (list []schedule.Waiting) {
	for i := range rapid.IntRange(1, most).Draw(t, "jobs") {
		w := schedule.Waiting{Key: fmt.Sprint(i), Left: rapid.Float64Range(0, 1.2).Draw(t, "left")}
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
		end = end.Add(time.Duration(w.Left * float64(schedule.Guess().Mid)))
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
		for _, s := range queue(t, given, schedule.Floor{}) {
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

// With one pair of hands later jobs are ready later, and one that takes longer makes none ready earlier.
func TestQueueIsMonotone(t *testing.T) {
	rapid.Check(t, sweep.Some(5, func(t *rapid.T) {
		given := anyWaiting(t, 6)
		slots := queue(t, given, schedule.Floor{})
		for i, s := range slots {
			require.False(t, s.Ready.Mid.Before(s.Ready.Low) || s.Ready.High.Before(s.Ready.Mid) || s.Ready.Mid.Before(s.Start))
			if i > 0 {
				require.Equal(t, slots[i-1].Ready.Mid, s.Start)
				require.False(t, s.Ready.Low.Before(slots[i-1].Ready.Low))
			}
		}
		given[rapid.IntRange(0, len(given)-1).Draw(t, "which")].Left += rapid.Float64Range(0, 1).Draw(t, "more")
		for i, s := range queue(t, given, schedule.Floor{}) {
			require.Equal(t, slots[i].Key, s.Key)
			require.False(t, s.Ready.Low.Before(slots[i].Ready.Low) || s.Ready.Mid.Before(slots[i].Ready.Mid) || s.Ready.High.Before(slots[i].Ready.High))
		}
	}))
}
