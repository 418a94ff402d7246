package seat

import (
	"context"
	"errors"
	"fmt"

	"pullcard/sequence/book"
	"pullcard/sequence/room"
	"pullcard/sequence/shop"
)

// News is what the screens are told of a bench and its room.
type News struct {
	Sign    string // how the bench stands in a few words, empty where all is well
	Changed bool   // something of others came in
	Stopped error  // a person has to decide before the bench and its room go on; told once, when it comes to that
}

// Keep keeps book and room up to each other in the background, and the wall, until end is called; end returns when all is closed. tell
// is called from a goroutine of its own.
func (s *Seat) Keep(ctx context.Context, as shop.Naming, tell func(News)) (end func()) {
	ctx, cancel := context.WithCancel(ctx)
	over := make(chan struct{})
	s.Tell = telling(tell)
	s.After = func(ctx context.Context) error { return s.post(ctx, as) }
	go func() {
		defer close(over)
		s.Run(ctx)
	}()
	return func() {
		cancel()
		<-over
		s.Room.Close()
	}
}

// telling makes news of each change of how the bench stands.
func telling(tell func(News)) func(room.Status) {
	stopped := false
	return func(st room.Status) {
		news := News{Sign: sign(st), Changed: st.News}
		if stops(st.Err) && !stopped {
			news.Stopped = st.Err
		}
		stopped = stops(st.Err)
		tell(news)
	}
}

// stops says whether a person has to decide before the bench and its room go on.
func stops(err error) bool {
	var fork *book.ForkError
	var copied *room.CopyError
	var refused *room.RefusedError
	return errors.As(err, &fork) || errors.As(err, &copied) || errors.As(err, &refused) && !refused.Later
}

// old says whether the room takes nothing of a program as old as this one.
func old(err error) bool {
	var refused *room.RefusedError
	return errors.As(err, &refused) && refused.Old
}

// later says whether the room takes the rest in a while.
func later(err error) bool {
	var refused *room.RefusedError
	return errors.As(err, &refused) && refused.Later
}

// sign says in a few words how the bench stands to its room, nothing where all is well.
func sign(st room.Status) string {
	newer := ""
	if st.Newer > 0 {
		newer = fmt.Sprintf("%d changes need a newer pullcard", st.Newer)
	}
	switch {
	case st.Alone.IsZero():
		return newer
	case later(st.Err):
		return fmt.Sprintf("the room is busy, %d waiting", st.Waiting)
	case old(st.Err):
		return fmt.Sprintf("needs a newer pullcard since %s, %d waiting", st.Alone.Format("15:04"), st.Waiting)
	case stops(st.Err):
		return fmt.Sprintf("room stopped since %s, %d waiting", st.Alone.Format("15:04"), st.Waiting)
	}
	return fmt.Sprintf("alone since %s, %d waiting", st.Alone.Format("15:04"), st.Waiting)
}
