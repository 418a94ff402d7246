package shop

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
)

// Chart is some readings as a control chart, as all of them or those on one machine.
type Chart struct {
	// Title says which.
	Title string
	// Chart is nil when there are too few of them for one.
	Chart *controlchart.Chart
	// Words tell of each marked point, in order, what it broke and what changed there.
	Words []string
	// Note is what else to know, as which readings are left out; it may be empty.
	Note string
	// Baseline is what a baseline of this chart is kept as, but for its name and who decides; empty where no readings make one.
	Baseline records.Baseline
	// Of is what the machine, the stringer or the stock is called whose readings they are; empty for all readings.
	Of string
}

// newest is how many of the newest stringings a chart of the screens shows.
const newest = 100

// Charts are the readings: all of them, then by machine, stringer and string.
func (s *Shop) Charts(ctx context.Context) ([]Chart, error) {
	of, err := s.Series(ctx, records.Job{}, "", 0)
	if err != nil {
		return nil, err
	}
	all, err := s.chartOf(ctx, of, "all readings", records.Job{})
	if err != nil {
		return nil, err
	}
	out := []Chart{all}
	for _, by := range []struct {
		kind records.Name
		jobs func(uid string) records.Job
		of   func(records.Job) string
	}{
		{records.KindMachine, func(uid string) records.Job { return records.Job{Machine: uid} }, func(j records.Job) string { return j.Machine }},
		{records.KindStringer, func(uid string) records.Job { return records.Job{Stringer: uid} }, func(j records.Job) string { return j.Stringer }},
		{records.KindStock, func(uid string) records.Job { return records.Job{Mains: uid} }, func(j records.Job) string { return j.Mains }},
	} {
		list, err := s.Book.Find(ctx, by.kind, "", 12)
		if err != nil {
			return nil, err
		}
		parts := of.parted(by.of)
		for _, r := range list {
			one, err := s.chartOf(ctx, parts[r.UID], string(by.kind)+" "+r.Label(), by.jobs(r.UID))
			one.Of = r.Label()
			if err != nil {
				return nil, err
			}
			if one.Chart != nil {
				out = append(out, one)
			}
		}
	}
	var drawn []*controlchart.Chart
	for _, c := range out {
		if c.Chart != nil {
			drawn = append(drawn, c.Chart)
		}
	}
	if err := s.strungHow(ctx, drawn...); err != nil { // with one question for all
		return nil, err
	}
	for i, c := range out {
		if c.Chart != nil {
			out[i].Words = AlarmWords(c.Chart)
		}
	}
	return out, nil
}

// chartOf is a chart without its words.
func (s *Shop) chartOf(ctx context.Context, of Series, title string, having records.Job) (Chart, error) {
	out := Chart{Title: title}
	c, err := s.drawn(ctx, of, having, "", newest)
	if few := (controlchart.TooFew{}); errors.As(err, &few) {
		out.Note = strings.Join(c.Left(), "; ")
		return out, nil
	}
	if err != nil {
		return Chart{}, err
	}
	out.Title += " · read with " + c.Instrument
	if c.Base != nil {
		out.Baseline = records.Baseline{Machine: having.Machine, Stringer: having.Stringer, Mains: having.Mains, With: c.Instrument}
	}
	out.Chart, out.Note = c.Chart, strings.Join(c.Left(), "; ")
	return out, nil
}

// Left says what is not in the chart.
func (c Charted) Left() (out []string) {
	if c.Others > 0 {
		out = append(out, fmt.Sprintf("%d are not in it: read again later, after play, or with another instrument (--with), as instruments never mix in a chart", c.Others))
	}
	if c.Skipped > 0 {
		out = append(out, fmt.Sprintf("%d readings are not in it: nothing was computed for them, or they are in a gauge's own unit (--unit)", c.Skipped))
	}
	return out
}

// AlarmWords tells each point at which an alarm begins, until where it lasts, and what changed there.
func AlarmWords(c *controlchart.Chart) []string {
	var out []string
	for i := 0; i < len(c.Points); i++ {
		if !c.Alarms[i].Any() {
			continue
		}
		from := i
		for i+1 < len(c.Points) && c.Alarms[i+1].Any() {
			i++
		}
		p := c.Points[from]
		text := fmt.Sprintf("job %d, %s, %.3f: %s", p.Job, day(p.At), p.Value, c.Alarms[from])
		if i > from {
			text += fmt.Sprintf(", as does each until job %d", c.Points[i].Job)
		}
		var changes []string
		for _, ch := range c.Changed(from) {
			changes = append(changes, ch.String())
		}
		if len(changes) == 0 {
			changes = []string{"nothing that the book knows of changed"}
		}
		out = append(out, text+" · "+strings.Join(changes, "; "))
	}
	return out
}

// Having chooses readings by the machine, the stringer and the stock of their jobs, each as somebody names it or empty for all, and
// says which they are.
func (s *Shop) Having(ctx context.Context, machine, stringer, stock string) (having records.Job, title string, err error) {
	words := []string{"readings"}
	for _, by := range []struct {
		asked string
		uid   *string
		kind  records.Name
	}{{machine, &having.Machine, records.KindMachine}, {stringer, &having.Stringer, records.KindStringer}, {stock, &having.Mains, records.KindStock}} {
		if by.asked == "" {
			continue
		}
		r, err := s.Meant(ctx, by.kind, "", by.asked)
		if err != nil {
			return having, "", err
		}
		*by.uid = r.UID
		words = append(words, r.Label())
	}
	return having, strings.Join(words, " · "), nil
}
