package main

import (
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync"
	"sync/atomic"
	"time"
)

// hands are those at the bench. What can wait is done while they rest, so that no key waits for it: what is worked out ahead stands still
// from a key until some time after its frame, and then garbage is collected if there is much of it.
type hands struct {
	until atomic.Int64 // when they rest, if nothing comes before, in nanoseconds since 1970
	after *time.Timer
}

const (
	// unanswered is after what time no frame comes any more for a key: many change nothing.
	unanswered = 250 * time.Millisecond
	// stillness is for how long nothing comes after a frame when hands rest: less than a key that is held down takes to come again.
	stillness = 25 * time.Millisecond
	// much is so many bytes of garbage as some keys leave, and less than those after which Go collects it, key or no key.
	much = 2 << 20
)

// newHands have started the program. What only starting took is given back after the first frame.
func newHands() *hands {
	h, started := &hands{}, sync.OnceFunc(func() {
		debug.SetGCPercent(usually)
		giveBack()
	})
	h.after = time.AfterFunc(unanswered, func() {
		started()
		if garbage() > much {
			runtime.GC()
		}
	})
	h.rests(unanswered)
	return h
}

// pressed says that a key came.
func (h *hands) pressed() {
	h.rests(unanswered)
	h.after.Reset(unanswered)
}

// painted says that a frame came; one that no key brought leaves little behind.
func (h *hands) painted() {
	h.rests(stillness)
	if h.after.Stop() {
		h.after.Reset(stillness)
	}
}

func (h *hands) rests(in time.Duration) { h.until.Store(clock().Add(in).UnixNano()) }

// rest returns when they do.
func (h *hands) rest() {
	for {
		left := time.Unix(0, h.until.Load()).Sub(clock())
		if left <= 0 {
			return
		}
		time.Sleep(min(left, stillness))
	}
}

// garbage is how many bytes were asked for since garbage was collected last.
func garbage() uint64 {
	of := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}, {Name: "/gc/heap/live:bytes"}}
	metrics.Read(of)
	return of[0].Value.Uint64() - min(of[0].Value.Uint64(), of[1].Value.Uint64())
}
