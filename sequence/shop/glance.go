package shop

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// racketBelow is a racket's history as a table, the newest first, and how its tension and its readings went.
func (s *Shop) racketBelow(ctx context.Context, r book.Record) ([]Section, error) {
	history, err := s.Book.History(ctx, records.Job{Player: records.As[records.Racket](r.Fields).Player, Racket: r.UID})
	if err != nil || len(history) == 0 {
		return nil, err
	}
	names, err := s.namesIn(ctx, history, func(j records.Job) []string { return []string{j.Mains, j.Stringer, j.Machine} })
	if err != nil {
		return nil, err
	}
	table := Section{Title: "jobs", Head: strings.Fields("day tension reading word state string by on")}
	var kg, share []float64
	for _, c := range history {
		j := records.As[records.Job](c.Fields)
		cells := []string{day(c.At), string(j.Tension), "", "", "waits", names[j.Mains], names[j.Stringer], names[j.Machine]}
		if e := c.Entry; e != nil {
			cells[1], cells[4] = string(records.Bed(e.Mains, e.Crosses)), e.State.Says()
			if t, err := measure.ParseTension(e.Mains); err == nil && e.State == progress.Finished {
				kg = append(kg, t.In(measure.Kg))
			}
		}
		if n := len(c.Readings); n > 0 {
			reading := records.As[records.Reading](c.Readings[n-1].Fields)
			cells[2] = string(reading.Value)
			if v, ok := shareOf(reading); ok {
				cells[2] += fmt.Sprintf(", %.0f %%", 100*v)
				share = append(share, 100*v)
			}
		}
		if n := len(c.Verdicts); n > 0 {
			cells[3] = c.Verdicts[n-1].Label()
		}
		table.Lines = append(table.Lines, Line{Text: cardLine(c, r.Label()), Cells: cells, UID: c.UID, Kind: records.KindJob})
	}
	slices.Reverse(kg)
	slices.Reverse(share)
	course := Section{Title: "how it went"}
	course.Lines = append(course.Lines, curve("mains", "kg", kg)...)
	course.Lines = append(course.Lines, curve("reading", "% of what is computed", share)...)
	if len(course.Lines) == 0 {
		return []Section{table}, nil
	}
	return []Section{table, course}, nil
}

// mostSteps is how many of the newest values a curve shows.
const mostSteps = 24

// curve draws values in the order of time as bars in a line; none of fewer than two. The bars span a tenth of the largest value at
// least, so that what hardly changes looks level.
func curve(what, unit string, values []float64) []Line {
	if len(values) < 2 {
		return nil
	}
	values = values[max(len(values)-mostSteps, 0):]
	bars := []rune("▁▂▃▄▅▆▇█")
	high := slices.Max(values)
	low := min(slices.Min(values), high-math.Abs(high)/10)
	var drawn strings.Builder
	for _, v := range values {
		drawn.WriteRune(bars[int(math.Round((v-low)/(high-low)*float64(len(bars)-1)))])
	}
	return []Line{{Text: fmt.Sprintf("%s %s  %s to %s %s", what, drawn.String(), short(values[0]), short(values[len(values)-1]), unit)}}
}

func short(v float64) string { return fmt.Sprintf("%.4g", math.Round(v*10)/10) }

// lastOn is how many of the jobs that were added last stand on a machine's page beside what waits for it.
const lastOn = 12

// jobsOn are the jobs that wait for a machine or are on it, and the last ones.
func (s *Shop) jobsOn(ctx context.Context, machine string) ([]Section, error) {
	list, err := s.Book.OnMachine(ctx, machine, lastOn)
	if err != nil || len(list) == 0 {
		return nil, err
	}
	names, err := s.namesIn(ctx, list, func(j records.Job) []string { return []string{j.Player, j.Racket} })
	sec := Section{Title: "jobs, the newest"}
	for _, c := range list {
		sec.Lines = append(sec.Lines, Line{Text: cardLine(c, cardTitle(c, names)), UID: c.UID, Kind: records.KindJob})
	}
	return []Section{sec}, err
}

// machineBelow is a machine's offset and what bears it out, its gauge checks, its jobs, and what the chart of its readings says.
func (s *Shop) machineBelow(ctx context.Context, r book.Record) ([]Section, error) {
	checks, err := s.Book.Of(ctx, records.KindGauge, r.UID)
	if err != nil {
		return nil, err
	}
	m := records.As[records.Machine](r.Fields)
	offset := Section{Title: "offset", Lines: []Line{{Text: "none: what is ordered is what is set"}}}
	if m.Offset.Newtons() != 0 {
		offset.Lines[0].Text = strings.Join(compact([]string{string(m.Offset) + " is added to what is ordered", "accepted by " + m.Accepted}), ", ")
	}
	var off []float64
	for _, c := range slices.Backward(checks) {
		g := records.As[records.Gauge](c.Fields)
		set, wrong := measure.ParseTension(g.Set)
		read, also := measure.ParseTension(g.Read)
		if wrong == nil && also == nil {
			off = append(off, read.In(measure.Kg)-set.In(measure.Kg))
		}
	}
	if n := len(off); n > 0 {
		offset.Lines = append(offset.Lines, Line{Text: fmt.Sprintf("the gauge read %s kg from what was set at the last check, %s kg on average of the last %d", measure.Signed(off[n-1], 2), measure.Signed(stat.Mean(off[max(n-5, 0):], nil), 2), min(n, 5))})
	}
	list, err := s.sections(ctx, sort{"gauge checks", checks})
	if err != nil {
		return nil, err
	}
	jobs, err := s.jobsOn(ctx, r.UID)
	if err != nil {
		return nil, err
	}
	of, err := s.Series(ctx, records.Job{Machine: r.UID}, "", newest)
	if err != nil {
		return nil, err
	}
	points, with, _ := of.points("")
	chart := Section{Title: "readings, of what is computed"}
	var values []float64
	for _, p := range points {
		values = append(values, 100*p.Value)
	}
	chart.Lines = curve("with "+with, "%", values)
	if len(chart.Lines) > 0 {
		chart.Lines = append(chart.Lines, Line{Text: fmt.Sprintf("%d beds, %s %% on average; c on the rack opens the chart with its limits", len(values), short(stat.Mean(values, nil)))})
		return slices.Concat([]Section{offset}, jobs, list, []Section{chart}), nil
	}
	return slices.Concat([]Section{offset}, jobs, list), nil
}
