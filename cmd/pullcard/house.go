package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"sync"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns/tap"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/room"
	"pullcard/sequence/shop"
	"pullcard/tui/bed"
	"pullcard/tui/bench"
	"pullcard/tui/chart"
	"pullcard/tui/draw"
	"pullcard/tui/ear"
	"pullcard/tui/lot"
	"pullcard/tui/rack"
)

// house is the shop as the screens see it. What was asked for on a screen is done even when the program is told to end meanwhile,
// so nothing here hangs on the context of the command.
type house struct {
	*shop.Shop
	files  []string    // the job files that were named
	edits  string      // the layout file that is edited, empty for new ones
	makes  string      // the layout file that a new layout goes into, empty for one of its own name
	seat   *shop.Seat  // in a room, nil where the book is in none
	naming shop.Naming // of whose racket it is, on the room's wall

	mu    sync.Mutex
	shown map[string]shop.Opener // what is on the rack, by its key
	// listen records taps by the command of the settings, as long as the program runs.
	listen func(tap.Options) (tap.Result, error)
}

// Items lists the rackets that can go on the bench.
func (h *house) Items() ([]rack.Item, error) {
	list, open, err := h.Rack(context.Background(), h.files)
	shown := map[string]shop.Opener{}
	items := make([]rack.Item, len(list))
	for i, r := range list {
		shown[r.Key] = open[i]
		items[i] = rack.Item(r)
		items[i].Title, items[i].Detail = clean(r.Title), clean(r.Detail)
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	h.shown = shown
	return items, err
}

// Open makes an item ready for the bench, and takes it in the room.
func (h *house) Open(key string, over bool) (bench.Job, error) {
	h.mu.Lock()
	open := h.shown[key]
	h.mu.Unlock()
	if open == nil {
		return bench.Job{}, errors.New("it is not on the rack any more")
	}
	return h.taken(over, open)
}

// OpenJob makes a job of the book ready for the bench, unless another bench has it.
func (h *house) OpenJob(uid string) (bench.Job, error) {
	return h.taken(false, func(ctx context.Context) (shop.Bench, error) { return h.Shop.Open(ctx, uid) })
}

// taken opens a job that this bench takes. Away from the room, or where that does not answer soon, it goes on all the same.
func (h *house) taken(over bool, open shop.Opener) (bench.Job, error) {
	ctx := context.Background()
	b, err := open(ctx)
	if err != nil || h.seat == nil || b.Recorder.Job() == "" {
		return h.bench(b, err)
	}
	if _, err := h.seat.Take(ctx, b.Recorder.Job(), over); err != nil {
		if held := (*room.HeldError)(nil); errors.As(err, &held) {
			return bench.Job{}, fmt.Errorf("%w; choose it on the rack to take it over", err)
		}
		return bench.Job{}, err
	}
	return h.bench(open(ctx)) // taking it wrote to it
}

// bench hands a job to the bench.
func (h *house) bench(b shop.Bench, err error) (bench.Job, error) {
	if err != nil {
		return bench.Job{}, err
	}
	job := bench.Job{
		Player: b.Player, Racket: b.Racket, Plan: b.Plan, Events: b.Events, Warnings: b.Warnings, Others: b.Others, Lesson: b.Demo, Cuts: b.Cuts,
		Offset: b.Offset, Recorder: keeper{b.Recorder, h.seat}, Elsewhere: b.Recorder.Elsewhere, Park: func() error { return b.Recorder.Park(context.Background(), h.Now()) },
	}
	if b.Work != nil {
		job.Numbers, job.Tap = func(p *plan.Plan) bed.Sheet { return h.sheet(b, p) }, h.ear(b.Work, b.Recorder)
		job.Foresee = func(p *plan.Plan) map[int][]string { return foresee(b.Work, p) }
	}
	if v, ok := draw.ReadView(b.Turn); ok {
		job.Turn = &v
	}
	if b.Machine != "" {
		job.Turned = func(v draw.View) error { return h.Turned(context.Background(), b.Machine, v.String()) }
	}
	return job, nil
}

// ear is the microphone for taps on a strung bed: it looks where the job's bed computes to ring, and keeps a reading of it.
func (h *house) ear(w *shop.Work, r *shop.Recorder) *ear.Ear {
	return &ear.Ear{
		Listen: func(tell func(tap.Live) bool) (tap.Result, error) {
			hz, err := w.Rings()
			if err != nil {
				return tap.Result{}, err
			}
			return h.listen(tap.Options{Computed: hz, Heard: tell})
		},
		Keep: func(value, plusMinus string) error {
			reading := records.Reading{Job: r.Job(), Value: records.Amount(value), Error: records.Amount(plusMinus), With: "tap"}
			_, err := h.Add(context.Background(), records.KindReading, records.Texts(reading), h.Now())
			return err
		},
	}
}

// keeper hands events of the bench to the book.
type keeper struct {
	*shop.Recorder
	seat *shop.Seat
}

// Record returns when the event is on the disk. That the bench has the racket is told the room in its own time.
func (r keeper) Record(ctx context.Context, e progress.Event) error {
	fresh := r.Job() == ""
	err := r.Recorder.Record(ctx, e)
	if err == nil && fresh && r.seat != nil {
		r.seat.Want(r.Job())
	}
	return err
}

// Charts are the readings.
func (h *house) Charts() ([]chart.Series, error) { return h.Shop.Charts(context.Background()) }

// Lot makes a lot ready for its screen.
func (h *house) Lot(uid string) (shop.LotSheet, lot.Book, error) {
	sheet, err := h.Shop.Lot(context.Background(), uid)
	return sheet, shop.LotDesk{Shop: h.Shop, UID: uid}, err
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
