package calc

import (
	"context"

	"pullcard/patterns/assume"
	"pullcard/sequence"
	"pullcard/sequence/report"
	"pullcard/sequence/strain"
)

// StrainOptions is what may be worked out beside a work's course.
type StrainOptions struct {
	Sheets   []*sequence.Technique // set beside the work's own
	Variants bool                  // and variants of its own
	Gentlest bool                  // what the sheet leaves open searched
	Levels   bool                  // the boosts that bring boosted strands level with their neighbours
	Tapes    []HoopMeasurement     // hoops that were measured
}

// StrainReport is a work's course with what was wanted beside it, in the form in which scripts get it.
type StrainReport struct {
	*strain.Course
	Sides    []Outcome     `json:"against,omitempty"`
	Gentlest *Gentlest     `json:"gentlest,omitempty"`
	Levels   []Level       `json:"levels,omitempty"`
	Tape     *HoopReport   `json:"measured,omitempty"`
	Takes    []assume.Line `json:"assumed"`
	work     Work
}

// StrainReport plays the plan and works out what is wanted beside it. The errors are those of Strain, Sides, Gentlest, Levels and Measured.
func (w Work) StrainReport(ctx context.Context, house assume.Table, want StrainOptions) (s *StrainReport, err error) {
	s = &StrainReport{Takes: w.TakenForGranted(house), work: w}
	quietly := func(int, int) {}
	for _, part := range []struct {
		wanted bool
		work   func() error
	}{
		{true, func() error { s.Course, err = w.Strain(house); return err }},
		{len(want.Sheets) > 0 || want.Variants, func() error {
			s.Sides, err = w.CompareTechniques(ctx, house, want.Sheets, want.Variants, quietly)
			return err
		}},
		{want.Gentlest, func() error { s.Gentlest, err = w.Gentlest(ctx, house, quietly); return err }},
		{want.Levels, func() error { s.Levels, err = w.Levels(house); return err }},
		{len(want.Tapes) > 0, func() error { s.Tape, err = w.Measured(house, want.Tapes); return err }},
	} {
		if !part.wanted {
			continue
		}
		if err := part.work(); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// Tell tells all of it.
func (s *StrainReport) Tell() []report.Section {
	var head, gentlest, levels report.Section
	head.Say("%s, %s: %s", s.Plan.Frame, s.Plan.Technique, s.Plan.Terms.Tensions())
	out := append(append([]report.Section{head}, s.Report(s.work.Job.Mains.Unit())...), TellTechniques(s.Sides))
	if s.Gentlest != nil {
		gentlest.Head = "GENTLEST"
		gentlest.Add(s.Gentlest.Words()...)
	}
	levels.Head = "BOOSTS that bring boosted strands level with their neighbours off the machine"
	for _, l := range s.Levels {
		levels.Add(l.Words())
	}
	return append(out, gentlest, levels, s.Tape.Tell(), TellTaken(s.Takes))
}

// SupportWarnings is what to say before steps, by their numbers from 1: a load of a support above the limit, and what to expect when the hoop is
// measured after the last. It is empty where the hoop is not known.
func (w Work) SupportWarnings(house assume.Table) map[int][]string {
	c, err := w.Strain(house)
	if err != nil {
		return nil
	}
	out := map[int][]string{}
	for _, o := range c.Over() {
		out[o.Step] = append(out[o.Step], o.Words())
	}
	if e, err := w.Expect(house); err == nil {
		last := len(w.Plan.Steps)
		out[last] = append(out[last], "the hoop against before: "+e.Words()+"; b, h, m keeps it")
	}
	return out
}
