package shop

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"time"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
)

// offset refuses an offset of a machine that no gauge check of it bears out, and a large one that was not said twice; the
// fields that it returns have the check that it is kept with. A machine that is new has none yet.
func (s *Shop) offset(ctx context.Context, machine book.Record, fields records.Fields, now time.Time) (records.Fields, error) {
	was := records.As[records.Machine](machine.Fields)
	is := records.As[records.Machine](machine.Fields.With(fields))
	again := is.Again
	is.Again = "" // it is asked for and not kept
	keep := func() records.Fields {
		out := maps.Clone(fields)
		maps.DeleteFunc(out, func(key, _ string) bool { return key == records.Key(&is, &is.Again) })
		if is.Checked != was.Checked {
			out[records.Key(&is, &is.Checked)] = is.Checked
		}
		return out
	}
	newtons := is.Offset.Newtons()
	switch {
	case is.Offset == was.Offset:
		return keep(), nil
	case newtons == 0: // none, or what the field's own check refuses
		is.Checked = ""
		return keep(), nil
	}
	machines, err := s.Book.Find(ctx, records.KindMachine, "", 0)
	if err != nil {
		return nil, err
	}
	g, err := s.gauge(ctx, machines, Series{}, 0)
	if err != nil {
		return nil, err
	}
	g.Last = now
	twice := math.Abs(again.Newtons()-newtons) < 1e-6
	check, err := controlchart.Keep(cmp.Or(was.Name, is.Name), newtons/measure.NewtonsPerKgf, twice, g)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", records.Key(&is, &is.Offset), err)
	}
	is.Checked = fmt.Sprintf("set to %.1f kg the gauge read %.2f kg, %s", check.SetN/measure.NewtonsPerKgf, check.ReadN/measure.NewtonsPerKgf,
		minute(check.At))
	return keep(), nil
}
