package main

import (
	"runtime"
	"runtime/debug"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
)

// What can wait goes on some time after a key's frame, or where none comes; garbage is collected then if there is much, but not for frames
// that no key brought.
func TestHandsRest(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(usually))
	synctest.Test(t, func(t *testing.T) {
		h := newHands()
		for _, c := range []struct {
			comes   func()
			rest    time.Duration
			garbage bool
			collect bool
		}{
			{func() {}, unanswered, true, true},
			{func() {}, 0, true, false},
			{h.pressed, unanswered, true, true},
			{h.pressed, unanswered, false, false},
			{h.painted, stillness, true, false},
			{func() { h.pressed(); time.Sleep(20 * time.Millisecond); h.painted() }, stillness, true, true},
			{func() { h.pressed(); h.painted(); h.pressed() }, unanswered, true, true},
			{func() { h.pressed(); h.painted(); time.Sleep(stillness / 2); h.painted() }, stillness, true, true},
		} {
			debug.SetGCPercent(-1) // none but that of the hands
			runtime.GC()
			if c.garbage {
				left = make([]byte, 2*much)
			}
			before := collections()
			c.comes()
			from := time.Now()
			h.rest()
			assert.Equal(t, c.rest, time.Since(from))
			synctest.Wait()
			assert.Equal(t, c.collect, collections() > before)
		}
	})
}

var left []byte // garbage as soon as there is more

func collections() uint32 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.NumGC
}
