package main

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/pace"
	"pullcard/sequence/records"
	progress "pullcard/sequence/run"
)

// series are readings of strung beds, each told as the share of the ordered tension that the bed computes to have.
type series struct {
	points  []controlchart.Point
	taken   []book.Taken
	skipped int // readings without a computed figure or in a gauge's own unit
}

// own is the unit that a gauge made up for itself, whose readings compare only among each other.
type own string

// series reads the newest readings of jobs with some values in their fields. unit chooses the readings in a gauge's own unit;
// without one, those that stand for a tension count: frequencies and stiffnesses.
func (s *shop) series(having records.Job, unit own, last int) (series, error) {
	var out series
	list, err := s.book.Series(s.ctx, having, last)
	if err != nil {
		return out, err
	}
	names := map[string]string{}
	for _, t := range list {
		v, ok := share(records.As[records.Reading](t.Reading.Fields), unit)
		if !ok {
			out.skipped++
			continue
		}
		p := controlchart.Point{Job: t.Job.ID, At: t.Reading.At, Value: v, Label: fmt.Sprint(t.Job.ID)}
		if p.Machine, p.Stringer, p.String, err = s.by(t, names); err != nil {
			return out, err
		}
		out.points, out.taken = append(out.points, p), append(out.taken, t)
	}
	return out, nil
}

// share is a reading over what was computed, as a ratio of tensions; in a gauge's own unit it is only a ratio.
func share(r records.Reading, unit own) (float64, bool) {
	value, u, ok := r.Value.Split()
	expected, eu, computed := r.Expected.Split()
	if !ok || !computed || expected <= 0 {
		return 0, false
	}
	per, known := stiffnessUnits()[u]
	switch {
	case unit != "":
		return value / expected, u == string(unit)
	case u == "Hz" && eu == "Hz":
		r, err := controlchart.TensionRatio(controlchart.Frequency, value/expected)
		return r, err == nil
	case known && eu == "N/mm":
		r, err := controlchart.TensionRatio(controlchart.Stiffness, value*per/expected)
		return r, err == nil
	}
	return 0, false
}

// stiffnessUnits are the units of stiffness in N/mm.
func stiffnessUnits() map[string]float64 {
	return map[string]float64{"N/mm": 1, "kN/m": 1, "N/cm": 0.1, "N/m": 0.001, "kg/mm": measure.NewtonsPerKgf, "kg/cm": measure.NewtonsPerKgf / 10,
		"lb/in": measure.NewtonsPerLbf / measure.MillimetresPerIn}
}

// by are machine, stringer and string of a job that was read. names are the labels that are known already, by UID.
func (s *shop) by(t book.Taken, names map[string]string) (machine, stringer, yarn string, err error) {
	j := records.As[records.Job](t.Job.Fields)
	for _, f := range []struct {
		uid  string
		name *string
	}{{j.Machine, &machine}, {j.Stringer, &stringer}, {j.Mains, &yarn}} {
		uid := f.uid
		if uid != "" && names[uid] == "" {
			r, err := s.book.Record(s.ctx, uid)
			if err != nil {
				return "", "", "", err
			}
			names[uid] = r.Label()
		}
		*f.name = names[uid]
	}
	if machine == "" || yarn == "" {
		file, text, err := s.book.Text(s.ctx, t.Job.UID)
		if err != nil {
			return "", "", "", err
		}
		if j, _, err := sequence.ReadJob(file, text); err == nil {
			machine, yarn = cmp.Or(machine, j.Machine.Name), cmp.Or(yarn, stringName(j.StringMains))
		}
	}
	return machine, stringer, yarn, nil
}

// chart makes the chart and looks up how the rackets of its marked points were strung.
func (s *shop) chart(of series) (*controlchart.Chart, error) {
	c, err := controlchart.New(of.points, 0)
	if err != nil {
		return nil, err
	}
	var look []int
	for _, i := range c.Flagged() {
		for j := max(0, i-13); j <= i; j++ { // the longest rule looks at fourteen points
			look = append(look, j)
		}
	}
	slices.Sort(look)
	look = slices.Compact(look)
	ids := make([]int64, len(look))
	for i, at := range look {
		ids[i] = c.Points[at].Job
	}
	jobs, err := s.book.Several(s.ctx, ids...)
	if err != nil {
		return nil, err
	}
	for i, at := range look {
		if err := strungHow(&c.Points[at], jobs[i]); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// strungHow fills in what a job's events tell of how it went.
func strungHow(p *controlchart.Point, j *book.Job) error {
	w, err := pace.Measure(j.Plan, j.Events, pace.UsualPause)
	if err != nil {
		return err
	}
	p.Bare = w.WithoutCrosses
	p.Slips = len(slices.DeleteFunc(slices.Clone(j.Events), func(e progress.Event) bool { return e.Kind != progress.Redo || e.What == "" }))
	return nil
}

// sample is what the readings on one machine come to, as shares of the tension.
func (of series) sample() (controlchart.Sample, time.Time, error) {
	var values []float64
	var last time.Time
	for _, p := range of.points {
		values = append(values, p.Value)
		if p.At.After(last) {
			last = p.At
		}
	}
	sample, err := controlchart.Summarise(values)
	return sample, last, err
}

// orderedKg is the tension at which the rackets of a series were ordered, on the average of mains and crosses.
func (of series) orderedKg() float64 {
	sum, n := 0.0, 0
	for _, t := range of.taken {
		for _, text := range []string{t.Mains, t.Crosses} {
			if v, err := measure.ParseTension(text); err == nil {
				sum, n = sum+v.In(measure.Kg), n+1
			}
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}
