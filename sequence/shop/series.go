package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/schedule"
)

// Series are readings of strung beds, each told as the share of the ordered tension that the bed computes to have.
type Series struct {
	Stringings []controlchart.Stringing
	taken      map[int64]*book.JobReading // by the job's number
	skipped    int                        // readings without a computed figure or in a gauge's own unit
}

// Series reads the newest readings of jobs with some values in their fields, all of them with 0. unit chooses the readings in
// a gauge's own unit; without one, those that stand for a tension count: frequencies and stiffnesses.
func (s *Shop) Series(ctx context.Context, having records.Job, unit string, last int) (Series, error) {
	list, err := s.Book.Series(ctx, having, last)
	out := Series{taken: make(map[int64]*book.JobReading, len(list))}
	if err != nil {
		return out, err
	}
	strung, err := s.strungBy(ctx, list)
	if err != nil {
		return out, err
	}
	readings := make([]controlchart.Reading, 0, len(list))
	for i, t := range list {
		v, instrument, ok := share(t.Reading, unit)
		if !ok {
			out.skipped++
			continue
		}
		h := strung[i]
		r := controlchart.Reading{Job: t.ID, Label: strconv.FormatInt(t.ID, 10), Instrument: instrument, At: t.At, Played: t.Played, Kept: v,
			Racket: t.Job.Racket, Machine: h.machine, Frame: t.Frame, String: h.yarn, Material: h.material, Stringer: h.stringer}
		r.Age, r.Aged = age(t)
		readings, out.taken[t.ID] = append(readings, r), t
	}
	out.Stringings = controlchart.Stringings(readings)
	return out, nil
}

// age is how long after the last pull a reading was taken: as it says, or since the job's last step.
func age(t *book.JobReading) (time.Duration, bool) {
	if t.Reading.After != "" { // which few say
		if d, err := records.Duration(t.Reading.After); err == nil {
			return d, true
		}
	}
	d := t.At.Sub(t.Strung)
	return d, !t.Strung.IsZero() && d > 0
}

// share is a reading over what was computed, as a ratio of tensions, and what read it; in a gauge's own unit it is only a ratio.
func share(r records.Reading, unit string) (v float64, instrument string, ok bool) {
	value, u, ok := r.Value.Split()
	expected, eu, computed := r.Expected.Split()
	if !ok || !computed || expected <= 0 {
		return 0, "", false
	}
	per, known := records.Stiffness(u)
	var err error
	switch {
	case unit != "":
		return value / expected, cmp.Or(r.With, "gauge"), u == unit
	case u == "Hz" && eu == "Hz":
		v, err = controlchart.TensionRatio(controlchart.Frequency, value/expected)
		return v, cmp.Or(r.With, "tap"), err == nil
	case known && eu == "N/mm":
		v, err = controlchart.TensionRatio(controlchart.Stiffness, value*per/expected)
		return v, cmp.Or(r.With, "gauge") + " in " + u, err == nil
	}
	return 0, "", false
}

// how is how a job was strung: the machine, the stringer and the mains' string by name, and its material.
type how struct{ machine, stringer, yarn, material string }

// strungBy is how each job that was read was strung: by its records, or as its file says.
func (s *Shop) strungBy(ctx context.Context, list []*book.JobReading) ([]how, error) {
	named := map[string]bool{}
	for _, t := range list {
		named[t.Job.Machine], named[t.Job.Stringer], named[t.Job.Mains] = true, true, true
	}
	of, err := s.Book.Records(ctx, slices.Collect(maps.Keys(named))...)
	if err != nil {
		return nil, err
	}
	called, made := map[string]string{}, map[string]string{}
	for uid, r := range of {
		called[uid], made[uid] = r.Label(), records.As[records.Stock](r.Fields).Material
	}
	out := make([]how, len(list))
	var wanting []string
	for i, t := range list {
		h := how{called[t.Job.Machine], called[t.Job.Stringer], called[t.Job.Mains], made[t.Job.Mains]}
		if out[i] = h; h.machine == "" || h.yarn == "" || h.material == "" {
			wanting = append(wanting, t.UID)
		}
	}
	texts, err := s.Book.Sources(ctx, wanting...)
	if err != nil {
		return nil, err
	}
	says := map[string]how{} // by the text: many jobs have the same
	for _, from := range texts {
		if _, known := says[string(from.Text)]; known {
			continue
		}
		if j, _, err := sequence.ReadJob("", from.Text); err == nil {
			says[string(from.Text)] = how{machine: j.Machine.Name, yarn: stringName(j.StringMains), material: string(j.StringMains.Material)}
		}
	}
	if len(says) == 0 {
		return out, nil
	}
	for i := range out {
		h, file := &out[i], says[string(texts[list[i].UID].Text)]
		h.machine, h.yarn, h.material = cmp.Or(h.machine, file.machine), cmp.Or(h.yarn, file.yarn), cmp.Or(h.material, file.material)
	}
	return out, nil
}

// Charted is a chart with what belongs to it.
type Charted struct {
	*controlchart.Chart
	Instrument string
	Others     int // stringings that another instrument read, or that had been played with
	Skipped    int
}

// points are the stringings of a chart, read by one instrument, that which read most if none is named.
func (of Series) points(instrument string) (points []controlchart.Point, by string, others int) {
	if all := controlchart.Instruments(of.Stringings); instrument == "" && len(all) > 0 {
		instrument = all[0]
	}
	list := controlchart.OneInstrument(of.Stringings, instrument)
	// What is usual, and not what the house's readings come to, so that the limits stay where they are.
	return controlchart.Points(list, controlchart.Usual), instrument, len(of.Stringings) - len(list)
}

// parted are the stringings of each machine, stringer or stock, by what their jobs name. Of those that were skipped nobody knows of
// which they are.
func (of Series) parted(by func(records.Job) string) map[string]Series {
	parts := map[string]*[]controlchart.Stringing{}
	for _, t := range of.Stringings {
		uid := by(of.taken[t.Job].Job)
		if parts[uid] == nil {
			parts[uid] = new([]controlchart.Stringing)
		}
		*parts[uid] = append(*parts[uid], t)
	}
	out := make(map[string]Series, len(parts))
	for uid, list := range parts {
		out[uid] = Series{Stringings: *list, taken: of.taken}
	}
	return out
}

// Chart makes the chart of a series of jobs that have some values in their fields, of which it shows the newest. Its limits
// come from the newest baseline that was decided on for just these, or from the first stringings.
func (s *Shop) Chart(ctx context.Context, of Series, having records.Job, instrument string, show int) (Charted, error) {
	out, err := s.drawn(ctx, of, having, instrument, show)
	if err != nil {
		return out, err
	}
	return out, s.strungHow(ctx, out.Chart)
}

// drawn is Chart without how the rackets were strung.
func (s *Shop) drawn(ctx context.Context, of Series, having records.Job, instrument string, show int) (Charted, error) {
	points, instrument, others := of.points(instrument)
	out := Charted{Instrument: instrument, Others: others, Skipped: of.skipped}
	base, err := s.baseline(ctx, having, instrument)
	if err != nil {
		return out, err
	}
	if base == nil && len(points) >= controlchart.LeastBaseline {
		b, err := controlchart.Judge("", points[:controlchart.LeastBaseline])
		if err != nil {
			return out, err
		}
		base = &b
	}
	if out.Chart, err = controlchart.New(points, base); err != nil {
		return out, err
	}
	if show > 0 {
		out.Chart = out.Last(show)
	}
	return out, nil
}

// baseline is the newest that was decided on for a chart; nil for none.
func (s *Shop) baseline(ctx context.Context, having records.Job, instrument string) (*controlchart.Baseline, error) {
	list, err := s.Book.Find(ctx, records.KindBaseline, "", 0)
	if err != nil {
		return nil, err
	}
	for _, r := range list {
		b := records.As[records.Baseline](r.Fields)
		if b.With == instrument && chosen(b) == having {
			return readBaseline(b)
		}
	}
	return nil, nil
}

// chosen are the jobs whose chart has a baseline.
func chosen(b records.Baseline) records.Job {
	return records.Job{Machine: b.Machine, Stringer: b.Stringer, Mains: b.Mains}
}

// readBaseline is a baseline as it was kept.
func readBaseline(r records.Baseline) (*controlchart.Baseline, error) {
	b := controlchart.Baseline{Name: r.Name}
	var errs [5]error
	b.N, errs[0] = strconv.Atoi(r.Stringings)
	b.Centre, errs[1] = strconv.ParseFloat(r.Centre, 64)
	b.Sigma, errs[2] = strconv.ParseFloat(r.Sigma, 64)
	b.TrendP, errs[3] = strconv.ParseFloat(r.Trend, 64)
	b.Until, errs[4] = time.Parse(time.RFC3339Nano, r.Until)
	if err := errors.Join(errs[:]...); err != nil {
		return nil, fmt.Errorf("baseline %s: %w; decide on another", r.Name, err)
	}
	return &b, nil
}

// judged fills in what a baseline that is decided on comes to.
func (s *Shop) judged(ctx context.Context, r *records.Baseline) error {
	of, err := s.Series(ctx, chosen(*r), "", 0)
	if err != nil {
		return err
	}
	points, instrument, _ := of.points(r.With)
	n := len(points)
	if r.Stringings != "" {
		if n, err = strconv.Atoi(r.Stringings); err != nil || n > len(points) {
			return fmt.Errorf("%s: there are %d of them, read with %s", records.Key(r, &r.Stringings), len(points), instrument)
		}
	}
	b, err := controlchart.Judge(r.Name, points[:n])
	if err != nil {
		return fmt.Errorf("%s: %w, read with %s", records.Key(r, &r.Stringings), err, instrument)
	}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	r.With, r.Stringings, r.Until = instrument, strconv.Itoa(b.N), b.Until.Format(time.RFC3339Nano)
	r.Centre, r.Sigma, r.Trend = number(b.Centre), number(b.Sigma), number(b.TrendP)
	return nil
}

// renamed lets a baseline be called otherwise, and nothing else: other limits are another decision.
func renamed(r book.Record, change records.Fields) error {
	was := records.As[records.Baseline](r.Fields)
	now := records.As[records.Baseline](r.Fields.With(change))
	now.Name, now.Notes = was.Name, was.Notes
	for key := range records.Changed(was, now) {
		return fmt.Errorf("%s: a baseline that was decided on stays; decide on another with pullcard book baseline add", key)
	}
	return nil
}

// strungHow looks up how the rackets were strung that the alarms of charts tell of.
func (s *Shop) strungHow(ctx context.Context, charts ...*controlchart.Chart) error {
	look := map[int64][]*controlchart.Point{} // by the job's number
	for _, c := range charts {
		seen := 0
		for _, i := range c.Flagged() {
			for j := max(seen, i-controlchart.LookBack); j <= i; j++ {
				look[c.Points[j].Job] = append(look[c.Points[j].Job], &c.Points[j])
			}
			seen = i + 1
		}
	}
	jobs, err := s.Book.Several(ctx, slices.Sorted(maps.Keys(look))...)
	if err != nil {
		return err
	}
	for _, j := range jobs {
		past, err := progress.Play(j.Plan, j.Events)
		if err != nil {
			return err
		}
		w, _ := schedule.Measure(past, schedule.UsualPause)
		slips := len(slices.DeleteFunc(past.Stand, func(n int) bool { e := &j.Events[n-1]; return e.Kind != progress.Redo || e.What == "" }))
		for _, p := range look[j.ID] {
			p.Bare, p.Slips = w.WithoutCrosses, slips
		}
	}
	return nil
}

// orderedKg is the tension at which the rackets of a series were ordered on some machines, on the average of mains and crosses.
func (of Series) orderedKg(machines []string) float64 {
	sum, n := 0.0, 0
	for _, s := range of.Stringings {
		if !slices.Contains(machines, s.Machine) {
			continue
		}
		for _, text := range []string{of.taken[s.Job].Mains, of.taken[s.Job].Crosses} {
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

// decay is how materials lose tension by a series that was read repeatedly, or as is usual.
func (of Series) decay() func(material string) controlchart.Decay {
	fits := map[string]controlchart.Decay{}
	return func(material string) controlchart.Decay {
		d, known := fits[material]
		if !known {
			var ok bool
			if d, ok = controlchart.FitDecay(material, of.Stringings); !ok {
				d = controlchart.Usual(material)
			}
			fits[material] = d
		}
		return d
	}
}
