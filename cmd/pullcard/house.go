package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns/tap"
	"pullcard/sequence/plan"
	"pullcard/sequence/records"
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
	files []string // the job files that were named
	edits string   // the layout file that is edited, empty for new ones
	makes string   // the layout file that a new layout goes into, empty for one of its own name
	shown []shop.Opener
	// listen records taps by the command of the settings, as long as the program runs.
	listen func(tap.Options) (tap.Result, error)
}

// Items lists the rackets that can go on the bench.
func (h *house) Items() ([]rack.Item, error) {
	list, open, err := h.Rack(context.Background(), h.files)
	h.shown = open
	items := make([]rack.Item, len(list))
	for i, r := range list {
		items[i] = rack.Item(r)
		items[i].Title, items[i].Detail = clean(r.Title), clean(r.Detail)
	}
	return items, err
}

// Open makes an item ready for the bench.
func (h *house) Open(i int) (bench.Job, error) { return h.bench(h.shown[i](context.Background())) }

// OpenJob makes a job of the book ready for the bench.
func (h *house) OpenJob(uid string) (bench.Job, error) {
	return h.bench(h.Shop.Open(context.Background(), uid))
}

// bench hands a job to the bench.
func (h *house) bench(b shop.Bench, err error) (bench.Job, error) {
	if err != nil {
		return bench.Job{}, err
	}
	job := bench.Job{
		Player: b.Player, Racket: b.Racket, Plan: b.Plan, Events: b.Events, Warnings: b.Warnings, Others: b.Others, Lesson: b.Demo, Cuts: b.Cuts,
		Offset: b.Offset, Recorder: b.Recorder, Elsewhere: b.Recorder.Elsewhere, Park: func() error { return b.Recorder.Park(context.Background(), h.Now()) },
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
