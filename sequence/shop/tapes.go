package shop

import (
	"context"
	"errors"
	"fmt"

	"pullcard/sequence/calc"
	"pullcard/sequence/records"
)

// HoopMeasurements are the hoops of the book that were measured before and after, of jobs on a frame by its name.
func (s *Shop) HoopMeasurements(ctx context.Context, frame string) (out []calc.HoopMeasurement, err error) {
	list, err := s.Book.Find(ctx, records.KindHoop, "", 0)
	if err != nil {
		return nil, fmt.Errorf("look for measured hoops: %w", err)
	}
	hoops, jobs := make([]records.Hoop, len(list)), make([]string, len(list))
	for i, r := range list {
		hoops[i] = records.As[records.Hoop](r.Fields)
		jobs[i] = hoops[i].Job
	}
	cards, err := s.Book.Cards(ctx, jobs...)
	for _, h := range hoops {
		e := cards[h.Job].Entry
		if tape, wrong := calc.ParseHoopMeasurement(h.Before + ", " + h.After); wrong == nil && e != nil && e.Frame == frame {
			out = append(out, tape)
		}
	}
	return out, err
}

// KeepHoop keeps how large a hoop was before and after, as it was typed, with a job by its UID.
func (s *Shop) KeepHoop(ctx context.Context, job, text string) error {
	t, err := calc.ParseHoopMeasurement(text)
	if err != nil {
		return err
	}
	if job == "" {
		return errors.New("the job is not in the book before its first step is done")
	}
	side := func(mm [2]float64) string { return fmt.Sprintf("%g x %g mm", mm[0], mm[1]) }
	_, err = s.Add(ctx, records.KindHoop, records.Texts(records.Hoop{Job: job, Before: side(t.Before), After: side(t.After)}), s.Now())
	return err
}
