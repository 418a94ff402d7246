package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"sync"

	"pullcard/cmd/internal/disk"
	"pullcard/sequence/seat"
	"pullcard/sequence/shop"
	"pullcard/tui"
	"pullcard/tui/bench"
	"pullcard/tui/chart"
	"pullcard/tui/lot"
	"pullcard/tui/rack"
)

// house is the shop as the screens see it. What was asked for on a screen is done even when the program is told to end meanwhile,
// so nothing here hangs on the context of the command.
type house struct {
	tui.Desk
	files  []string    // the job files that were named
	edits  string      // the layout file that is edited, empty for new ones
	makes  string      // the layout file that a new layout goes into, empty for one of its own name
	seat   *seat.Seat  // in a room, nil where the book is in none
	naming shop.Naming // of whose racket it is, on the room's wall

	mu    sync.Mutex
	shown map[string]shop.Opener // what is on the rack, by its key
}

// in is the house of a shop.
func in(s *shop.Shop, files ...string) *house {
	return &house{Desk: tui.Desk{Shop: s, Strain: houseStrain}, files: files}
}

// Items lists the rackets that can go on the bench.
func (h *house) Items() ([]rack.Item, error) {
	list, open, err := h.Rack(context.Background(), h.files)
	shown := map[string]shop.Opener{}
	for i, r := range list {
		shown[r.Key] = open[i]
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	h.shown = shown
	return list, err
}

// Open makes an item ready for the bench, and takes it in the room.
func (h *house) Open(key string, over bool) (bench.Job, error) {
	h.mu.Lock()
	open := h.shown[key]
	h.mu.Unlock()
	if open == nil {
		return bench.Job{}, errors.New("it is not on the rack any more")
	}
	return h.job(h.seat.Open(context.Background(), over, func(ctx context.Context) (shop.Bench, error) {
		if over {
			if err := h.TakeOver(ctx, key); err != nil {
				return shop.Bench{}, err
			}
		}
		return open(ctx)
	}))
}

// OpenJob makes a job of the book ready for the bench, unless another bench has it.
func (h *house) OpenJob(uid string) (bench.Job, error) {
	return h.job(h.seat.Open(context.Background(), false, func(ctx context.Context) (shop.Bench, error) { return h.Shop.Open(ctx, uid) }))
}

// job hands a job to the bench.
func (h *house) job(b shop.Bench, err error) (bench.Job, error) {
	if err != nil {
		return bench.Job{}, err
	}
	return h.Job(b, h.seat.Recorder(b.Recorder)), nil
}

// Print prints what goes with rackets, each on a paper of its own.
func (h *house) Print(ctx context.Context, uids ...string) error {
	set, err := houseSettings()
	for _, uid := range uids {
		if err != nil {
			return err
		}
		var text string
		if text, err = h.Paper(ctx, uid, set.Columns); err == nil {
			err = printOut(ctx, text)
		}
	}
	return err
}

// Charts are the readings.
func (h *house) Charts() ([]chart.Series, error) { return h.Shop.Charts(context.Background()) }

// Lot makes a lot ready for its screen.
func (h *house) Lot(uid string) (shop.LotSheet, lot.Book, error) {
	sheet, err := h.Shop.Lot(context.Background(), uid)
	return sheet, shop.LotDesk{Shop: h.Shop, Paper: h.Print, UID: uid}, err
}

// SaveFrame writes a layout into the folder where the program was started. Only the file that is edited is replaced.
func (h *house) SaveFrame(name string, text []byte) (string, error) {
	if h.edits != "" {
		return h.edits, keeping(disk.Replace(h.edits, text))
	}
	path := name + ".toml"
	if h.makes != "" {
		path = h.makes
	}
	err := disk.Create(path, text, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return "", fmt.Errorf("%s is there already; give the frame another name", path)
	}
	return path, keeping(err)
}

func keeping(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("keep the layout: %w", err)
}
