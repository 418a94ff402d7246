package main

import (
	"context"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/seat"
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
		h.seat, err = seat.Of(ctx, h.Shop, set.Room)
	}
	return err
}

// keep keeps book and room up to each other in the background until end is called, and tells the screens.
func (h *house) keep(ctx context.Context, send func(tea.Msg)) (end func()) {
	if h.seat == nil {
		return func() {}
	}
	return h.seat.Keep(ctx, h.naming, func(n seat.News) {
		send(tui.RoomMsg{Sign: n.Sign})
		if n.Changed {
			send(screen.StirMsg{})
		}
		if n.Stopped != nil {
			send(screen.Wrong(n.Stopped.Error()))
		}
	})
}
