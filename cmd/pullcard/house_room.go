package main

import (
	"context"
	"errors"
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/book"
	"pullcard/sequence/room"
	"pullcard/tui"
	"pullcard/tui/screen"
)

// sit finds the seat that the book has in a room. A URL that cannot be read is told; nothing is reached yet.
func (h *house) sit(ctx context.Context) error {
	if h.Book == nil {
		return nil
	}
	set, err := houseSettings()
	if err == nil {
		h.naming = set.Naming
		h.seat, err = h.Seat(ctx, set.Room, nil)
	}
	return err
}

// keep keeps book and room up to each other in the background until end is called, and tells the screens.
func (h *house) keep(ctx context.Context, send func(tea.Msg)) (end func()) {
	if h.seat == nil {
		return func() {}
	}
	ctx, cancel := context.WithCancel(ctx)
	over, stopped := make(chan struct{}), false
	h.seat.Tell = func(st room.Status) {
		send(tui.RoomMsg{Sign: sign(st)})
		if st.News {
			send(screen.StirMsg{})
		}
		if said := stops(st.Err); said && !stopped {
			send(screen.Wrong(st.Err.Error()))
		} else {
			stopped = said
		}
	}
	h.seat.After = func(ctx context.Context) error { return h.Post(ctx, h.seat, h.naming) }
	go func() {
		defer close(over)
		h.seat.Run(ctx)
	}()
	return func() {
		cancel()
		<-over
		h.seat.Room.Close()
	}
}

// stops says whether a person has to decide before the bench and its room go on.
func stops(err error) bool {
	var fork *book.ForkError
	var copied *room.CopyError
	var refused *room.RefusedError
	return errors.As(err, &fork) || errors.As(err, &copied) || errors.As(err, &refused)
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
	case stops(st.Err):
		return fmt.Sprintf("room stopped since %s, %d waiting", st.Alone.Format("15:04"), st.Waiting)
	}
	return fmt.Sprintf("alone since %s, %d waiting", st.Alone.Format("15:04"), st.Waiting)
}
