package main

import (
	"errors"
	"fmt"

	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
	"pullcard/tui/chart"
)

// newest is from how many of the newest readings a chart of the screens is made.
const newest = 100

// Charts are the readings for their screen: all of them, then by machine, stringer and string.
func (s *shop) Charts() ([]chart.Series, error) {
	all, err := s.chartOf("all readings", records.Job{})
	if err != nil {
		return nil, err
	}
	out := []chart.Series{all}
	for _, by := range []struct {
		kind records.Name
		jobs func(uid string) records.Job
	}{
		{records.KindMachine, func(uid string) records.Job { return records.Job{Machine: uid} }},
		{records.KindStringer, func(uid string) records.Job { return records.Job{Stringer: uid} }},
		{records.KindStock, func(uid string) records.Job { return records.Job{Mains: uid} }},
	} {
		list, err := s.book.Find(s.ctx, by.kind, "", 12)
		if err != nil {
			return nil, err
		}
		for _, r := range list {
			one, err := s.chartOf(string(by.kind)+" "+clean(r.Label()), by.jobs(r.UID))
			if err != nil {
				return nil, err
			}
			if one.Chart != nil {
				out = append(out, one)
			}
		}
	}
	return out, nil
}

func (s *shop) chartOf(title string, having records.Job) (chart.Series, error) {
	of, err := s.series(having, "", newest)
	if err != nil {
		return chart.Series{}, err
	}
	out := chart.Series{Title: title}
	if of.skipped > 0 {
		out.Note = fmt.Sprintf("%d readings are not in it: nothing was computed for them, or they are in a gauge's own unit", of.skipped)
	}
	c, err := s.chart(of)
	if few := (controlchart.TooFew{}); errors.As(err, &few) {
		return out, nil
	}
	if err != nil {
		return chart.Series{}, err
	}
	out.Chart, out.Words = c, chartWords(c)
	return out, nil
}
