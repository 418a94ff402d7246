package calc

import (
	"pullcard/patterns/measure"
	"pullcard/patterns/tap"
	"pullcard/sequence/report"
)

// Tapped is what was heard of a bed, and what it says of a work's and of the same bed earlier.
type Tapped struct {
	tap.Result
	Earlier []Change `json:"earlier,omitempty"`
	Ring    *Ring    `json:"job,omitempty"`
	work    Work
}

// Change is an earlier reading and what has happened to the tension since.
type Change struct {
	Hz             float64 `json:"hz"`
	TensionPercent float64 `json:"tension_percent"`
}

// NewTapped sets what was heard beside earlier readings in hertz. Of sets it beside a work.
func NewTapped(r tap.Result, earlier []float64) *Tapped {
	t := &Tapped{Result: r}
	for _, hz := range earlier {
		if r.Clear {
			t.Earlier = append(t.Earlier, Change{hz, tap.TensionChange(hz, r.Hz)})
		}
	}
	return t
}

// Of sets what was heard beside a work's bed, with the tensions left instead of the usual loss where they are given. The error is that of
// Ring.
func (t *Tapped) Of(w Work, left *Left) (err error) {
	if t.work = w; t.Clear {
		t.Ring, err = w.Ring(t.Hz, left)
	}
	return err
}

// Tell tells all of it.
func (t *Tapped) Tell() []report.Section {
	var heard report.Section
	heard.Add(t.Words()...)
	out := []report.Section{heard}
	if t.Ring != nil {
		out = append(out, t.work.tellRing(t.Ring, t.Hz)...)
	}
	last := &out[len(out)-1]
	if len(last.Lines) == 0 {
		last = &out[len(out)-2] // nothing was taken for granted
	}
	for i, e := range t.Earlier {
		last.Say("earlier reading %d: %.1f Hz; since then the tension has changed by %s %%", i+1, e.Hz, measure.Signed(e.TensionPercent, 1))
	}
	return out
}
