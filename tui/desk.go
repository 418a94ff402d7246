package tui

import (
	"context"
	"slices"

	"pullcard/patterns/assume"
	"pullcard/patterns/tap"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/bed"
	"pullcard/tui/bench"
	"pullcard/tui/draw"
	"pullcard/tui/ear"
	"pullcard/tui/hoop"
)

// Desk is a shop that makes its jobs ready for the screen of the bench. What was asked for on a screen is done even when the program is
// told to end meanwhile, so nothing here hangs on a context.
type Desk struct {
	*shop.Shop
	// Strain is what the house takes for granted of hoops and strings.
	Strain func() assume.Table
	// Listen records taps, as long as the program runs.
	Listen func(tap.Options) (tap.Result, error)
	// Rest returns when no key is on its way to the screen; nil for at once.
	Rest func()
}

// Job is a job as the bench takes it, whose events go to a recorder.
func (d *Desk) Job(b shop.Bench, r bench.Recorder) bench.Job {
	job := bench.Job{
		Player: b.Player, Racket: b.Racket, Plan: b.Plan, Events: b.Events, Warnings: b.Warnings, Others: b.Others, Lesson: b.Demo, Cuts: b.Cuts,
		UID: b.Recorder.Job, Lot: b.Lot, Offset: b.Offset, Recorder: r, Alarm: func(others bool) string { return b.Recorder.Alarm(context.Background(), others) }, Park: func() error { return b.Recorder.Park(context.Background(), d.Now()) },
	}
	if b.Work != nil {
		job.Numbers, job.Tap = func(p *plan.Plan) bed.Sheet { return d.sheet(b, p) }, d.ear(b.Work, b.Recorder)
		job.Foresee = func(p *plan.Plan) map[int][]string {
			w := b.Work.Work
			w.Plan, w.Between = p, d.Rest
			return w.SupportWarnings(d.Strain())
		}
	}
	if v, ok := draw.ReadView(b.Turn); ok {
		job.Turn = &v
	}
	if b.Machine != "" {
		job.Turned = func(v draw.View) error { return d.Turned(context.Background(), b.Machine, v.String()) }
	}
	return job
}

// sheet is what the screen of numbers shows of a job at the bench, with the page of its hoop.
func (d *Desk) sheet(b shop.Bench, p *plan.Plan) bed.Sheet {
	w, title := b.Work.Work, shop.Title(b.Work.Job.Player, b.Work.Job.Racket, b.Work.Plan.Frame)
	s := bed.SheetOf(title, w, d.Patterns(w.Frame))
	s.Before = slices.DeleteFunc(slices.Clone(b.Warnings), func(text string) bool { return slices.Contains(s.Cautions, text) })
	s.Hoop = func() hoop.Sheet {
		s := hoop.SheetOf(title, w, p, d.Strain(), func(ctx context.Context) ([]*sequence.Technique, error) { return d.Sheets(ctx, w.Technique) })
		if b.Recorder != nil {
			s.Keep = func(text string) error { return d.KeepHoop(context.Background(), b.Recorder.Job(), text) }
		}
		return s
	}
	return s
}

// ear is the microphone for taps on a strung bed: it looks where the job's bed computes to ring, and keeps a reading of it.
func (d *Desk) ear(w *shop.Work, r *shop.Recorder) *ear.Ear {
	return &ear.Ear{
		Listen: func(tell func(tap.Live) bool) (tap.Result, error) {
			hz, err := w.FrequencyHz()
			if err != nil {
				return tap.Result{}, err
			}
			return d.Listen(tap.Options{Computed: hz, Heard: tell})
		},
		Keep: func(value, plusMinus string) error {
			reading := records.Reading{Job: r.Job(), Value: records.Amount(value), Error: records.Amount(plusMinus), With: "tap"}
			_, err := d.Add(context.Background(), records.KindReading, records.Texts(reading), d.Now())
			return err
		},
	}
}
