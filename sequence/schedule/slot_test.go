package schedule

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestSlot(t *testing.T) {
	noon := time.Date(2031, 5, 4, 12, 0, 0, 0, time.FixedZone("bench", 2*3600))
	minute := func(m float64) time.Time { return noon.Add(time.Duration(m * float64(time.Minute))) }
	at := func(m float64) time.Time { return minute(m).UTC() } // in another zone than the bench's
	for _, c := range []struct {
		name     string
		promised time.Time
		verdict  Verdict
		by       time.Duration
		want     string
	}{
		{"none", time.Time{}, NoPromise, 0, "ready about 15:40 (15:30 to 16:00)"},
		{"just in time", at(240), OnTime, 0, "ready about 15:40 (15:30 to 16:00), promised 16:00: on time"},
		{"in doubt", at(239), MayBeLate, time.Minute, "ready about 15:40 (15:30 to 16:00), promised 15:59: may be late by 1 min"},
		{"one time in ten in time", at(210), MayBeLate, 30 * time.Minute, "ready about 15:40 (15:30 to 16:00), promised 15:30: may be late by 30 min"},
		{"late", at(205), WillBeLate, 15 * time.Minute, "ready about 15:40 (15:30 to 16:00), promised 15:25: will be late by 15 min"},
		{"long since", at(-24 * 60), WillBeLate, 1660 * time.Minute,
			"ready about 15:40 (15:30 to 16:00), promised 3 May 12:00: will be late by 1660 min"},
		{"another day", at(24 * 60), OnTime, 0, "ready about 15:40 (15:30 to 16:00), promised 5 May 12:00: on time"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := Slot{Waiting: Waiting{Promised: c.promised}, At: noon, Ready: Times{minute(210), minute(220), minute(240)}}
			s.judge()
			assert.Equal(t, c.verdict, s.Verdict)
			assert.Equal(t, c.by, s.LateBy)
			assert.Equal(t, c.want, s.String())
		})
	}
	night := Slot{At: noon, Ready: Times{minute(700), minute(710), minute(730)}}
	assert.Equal(t, "ready about 23:50 (23:40 to 5 May 00:10)", night.String())
	far := Slot{Waiting: Waiting{Promised: noon.AddDate(1, 0, 0)}, At: noon, Ready: Times{minute(210), minute(220), minute(240)}}
	far.judge()
	assert.Contains(t, far.String(), noon.AddDate(1, 0, 0).Format("promised 2 Jan 2006 15:04"), "the same day of another year")
}
