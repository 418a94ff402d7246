package main

import (
	"errors"
	"strings"

	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
	"pullcard/tui/chart"
)

// newest is how many of the newest stringings a chart of the screens shows.
const newest = 100

// Charts are the readings for their screen: all of them, then by machine, stringer and string.
func (s *shop) Charts() ([]chart.Series, error) {
	of, err := s.series(records.Job{}, "", 0)
	if err != nil {
		return nil, err
	}
	all, err := s.chartOf(of, "all readings", records.Job{})
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
			one, err := s.chartOf(of, string(by.kind)+" "+clean(r.Label()), by.jobs(r.UID))
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

func (s *shop) chartOf(of series, title string, having records.Job) (chart.Series, error) {
	out := chart.Series{Title: title}
	c, err := s.chart(of.only(having), having, "", newest)
	if few := (controlchart.TooFew{}); errors.As(err, &few) {
		out.Note = strings.Join(c.left(), "; ")
		return out, nil
	}
	if err != nil {
		return chart.Series{}, err
	}
	out.Title += " · read with " + clean(c.instrument)
	out.Chart, out.Note = c.Chart, strings.Join(c.left(), "; ")
	out.Words = alarmWords(out.Chart)
	return out, nil
}
