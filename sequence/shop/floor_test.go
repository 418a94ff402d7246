package shop

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/report"
	"pullcard/sequence/schedule"
)

// The queue is that of the whole shop: each racket goes to its stringer and machine or to who is free, each at a pace of their own, while
// the shop is open, and whoever is ill gets none.
func TestTheShopsQueue(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	now := time.Date(2031, 5, 5, 9, 0, 0, 0, time.Local) // a Monday
	c.Now = func() time.Time { return now }
	c.House = func() (House, error) {
		return House{Hours: schedule.Hours{Open: map[time.Weekday]schedule.Range{time.Monday: {From: 9 * time.Hour, To: 12 * time.Hour}, time.Tuesday: {From: 9 * time.Hour, To: 18 * time.Hour}}}}, nil
	}
	put := func(kind records.Name, fields records.Fields) string {
		r, err := c.Add(ctx, kind, fields, now)
		require.NoError(t, err)
		return r.UID
	}
	cy, di := put(records.KindStringer, records.Fields{"name": "Cy (invented)"}), put(records.KindStringer, records.Fields{"name": "Di (invented)"})
	put(records.KindMachine, records.Fields{"name": "door"})
	job := func(by string) string {
		r, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg", "stringer": by, "machine": "", "reason": "of an invented day"})
		require.NoError(t, err)
		return r.UID
	}
	for day := range 3 { // Cy takes a quarter of an hour, Di an hour and more
		for i, by := range []string{cy, di} {
			c.Stringer = []string{"Cy (invented)", "Di (invented)"}[i]
			finish(t, c.Shop, job(by), now.Add(time.Duration(-24*(day+1))*time.Hour), time.Duration(14+50*i)*time.Second)
		}
	}
	pace, err := c.Pace(ctx)
	require.NoError(t, err)
	assert.Equal(t, 3, pace.Jobs)
	assert.InDelta(t, 63*64, pace.Whole.Mid.Seconds(), 65)
	own, any := job(di), job("")
	queue, err := c.Queue(ctx)
	require.NoError(t, err)
	require.Len(t, queue, 2)
	by := map[string]Waiting{queue[0].UID: queue[0], queue[1].UID: queue[1]}
	assert.Equal(t, "Di (invented)", by[own].Stringer)
	assert.Equal(t, "Cy (invented)", by[any].Stringer, "who is free")
	assert.NotEqual(t, by[own].Machine, by[any].Machine)
	assert.InDelta(t, 15, by[any].Slot.Ready.Mid.Sub(now).Minutes(), 5)
	list, _, err := c.Rack(ctx, nil)
	require.NoError(t, err)
	assert.Contains(t, fmt.Sprint(list), "likely Cy (invented), ")

	ownNow := func() Waiting {
		queue, err = c.Queue(ctx)
		require.NoError(t, err)
		at := slices.IndexFunc(queue, func(w Waiting) bool { return w.UID == own })
		require.NotEqual(t, -1, at)
		return queue[at]
	}
	_, err = c.Correct(ctx, di, book.Change{Fields: records.Fields{"away": "2031-05-05 11:30"}, Why: "ill", At: now})
	require.NoError(t, err)
	w := ownNow()
	assert.Equal(t, time.Date(2031, 5, 6, 9, 0, 0, 0, time.Local), w.Slot.Start, "when they are back it would not be done by noon")
	list, _, err = c.Rack(ctx, nil)
	require.NoError(t, err)
	assert.Contains(t, fmt.Sprint(list), "Di (invented) is away until 11:30")

	for _, wrong := range []records.Fields{{"away": "", "since": "2031-05-05 10:00"}, {"away": "2031-05-05 10:00", "since": "2031-05-05 10:00"}} {
		_, err = c.Correct(ctx, di, book.Change{Fields: wrong, At: now})
		require.Error(t, err)
		_, err = c.Add(ctx, records.KindStringer, records.Fields{"name": "Ed (invented)", "away": wrong["away"], "since": wrong["since"]}, now)
		require.Error(t, err)
	}
	_, err = c.Correct(ctx, di, book.Change{Fields: records.Fields{"away": "2031-05-06 12:00", "since": "2031-05-05 11:45"}, Why: "a day off", At: now})
	require.NoError(t, err)
	w = ownNow()
	assert.Equal(t, now, w.Slot.Start, "it is done before they go")
	assert.Equal(t, "Di (invented) is away, 11:45 to 6 May 12:00", w.Gone)
	assert.Equal(t, w.Gone, w.JSON().(slot).Away)
	assert.Contains(t, fmt.Sprint(TellQueue(schedule.Pace{}, queue, nil)), "Di (invented) is away, 11:45 to 6 May 12:00")
	away, err := c.Away(ctx, queue)
	require.NoError(t, err)
	assert.Empty(t, away, "who has a racket is told of with that")
	ed, err := c.Add(ctx, records.KindStringer, records.Fields{"name": "Ed (invented)", "away": "2031-05-06 09:00"}, now)
	require.NoError(t, err)
	away, err = c.Away(ctx, queue)
	require.NoError(t, err)
	require.Equal(t, []string{"Ed (invented) is away until 6 May 09:00"}, away)
	told := TellQueue(schedule.Pace{}, queue, away).Lines
	assert.Equal(t, report.Line{Text: away[0], Warn: true}, told[len(told)-1])
	list, _, err = c.Rack(ctx, nil)
	require.NoError(t, err)
	assert.Equal(t, "queue, in the order to string them; Ed (invented) is away until 6 May 09:00", list[0].Group)
	require.NoError(t, c.Remove(ctx, ed.UID, true))
	_, err = c.Correct(ctx, di, book.Change{Fields: records.Fields{"since": "2031-05-05 09:30"}, At: now})
	require.NoError(t, err)
	w = ownNow()
	assert.Equal(t, time.Date(2031, 5, 6, 12, 0, 0, 0, time.Local), w.Slot.Start, "it would not be done before they go")
	require.NoError(t, c.Remove(ctx, di, true))
	_, err = c.Queue(ctx)
	require.NoError(t, err, "what was somebody's who is gone goes to the first that is free")
	c.Stringer = "Dii"
	_, err = c.Pace(ctx)
	require.EqualError(t, err, `no stringer is called "Dii", who would be added with pullcard book stringer add --name "Dii"; there is Cy (invented)`)
}
