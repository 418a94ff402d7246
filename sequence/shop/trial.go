package shop

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/calc"
	"pullcard/sequence/contrast"
	"pullcard/sequence/plan"
	"pullcard/sequence/records"
)

// Trial is a technique sheet that is edited, and tried on frames while it is.
type Trial struct {
	// Name is the one by which jobs name it; of one that the house does not keep yet, a name for the house's own.
	Name string
	// Kept says that the house keeps it, so that it is corrected; otherwise it is added.
	Kept bool
	Text []byte
	// On are what it can be tried on: a job, or frames with an order in the middle of what is printed on them.
	On []string
	// Beside are the sheets that it can be held against; the first is itself as it was.
	Beside []string
	// Try makes the plan of another text of it and proves that, on and against two of those.
	Try func(text []byte, on, against string) (Tried, error)
	// Keep keeps a text under the name, and why.
	Keep func(ctx context.Context, name string, text []byte, why string) error
}

// Tried is what comes of a sheet.
type Tried struct {
	Plan     *plan.Plan
	Totals   []string // what there is to do and to cut
	Warnings []string
	Contrast contrast.Contrast // own is this sheet's way
}

// asItWas stands for a sheet's own text before it was edited.
const asItWas = "as it was"

// Trial is the sheet of a record: the sheet itself, or the one that a job names.
func (s *Shop) Trial(ctx context.Context, uid string) (Trial, error) {
	r, err := s.Book.Record(ctx, uid)
	if err != nil {
		return Trial{}, err
	}
	t := Trial{Kept: r.Kind == records.KindSheet}
	var on map[string]func() (*Work, error)
	if t.Kept {
		t.Name, t.Text = r.Label(), []byte(textOf(r.Fields))
		t.On, on, err = s.trialFrames(ctx, t.Name)
	} else {
		t.On, on, err = s.trialJob(ctx, r, &t)
	}
	if err != nil {
		return t, err
	}
	kept, err := s.kept(techniques())
	if err != nil {
		return t, err
	}
	names := slices.Concat(library.Techniques(), slices.Sorted(maps.Keys(kept)))
	slices.Sort(names)
	t.Beside = append([]string{asItWas}, slices.Compact(names)...)
	was, _, err := sequence.ReadTechnique(t.Name, t.Text)
	if err != nil {
		return t, err
	}
	t.Try = func(text []byte, frame, against string) (Tried, error) {
		return s.try(on[frame], t.Name, text, was, against)
	}
	t.Keep = func(ctx context.Context, name string, text []byte, why string) error {
		old, found, err := s.called(ctx, records.KindSheet, name)
		switch {
		case err != nil:
			return err
		case found && !t.Kept:
			return fmt.Errorf("sheet %d is called %q already; give this one another name to be kept as, or correct that one", old.ID, name)
		}
		sheet := records.Sheet{Text: string(text)}
		if !t.Kept {
			sheet.Name, old.UID = name, ""
		}
		_, err = s.Keep(ctx, records.KindSheet, old.UID, records.Texts(sheet), why)
		return err
	}
	return t, nil
}

// try tries a text of a sheet.
func (s *Shop) try(base func() (*Work, error), name string, text []byte, was *sequence.Technique, against string) (out Tried, err error) {
	other := was
	if against != asItWas {
		if other, err = s.Technique(against); err != nil {
			return out, err
		}
	}
	t, _, err := sequence.ReadTechnique(name, text)
	if err != nil {
		return out, err
	}
	w, err := base()
	if err != nil {
		return out, err
	}
	own, err := w.by(t)
	if err != nil {
		return out, err
	}
	out = Tried{Plan: own.Plan, Warnings: own.Warnings(), Totals: []string{fmt.Sprintf("%d steps, %d pulls, %d knots, one side ahead by %d at most",
		len(own.Plan.Steps), own.Plan.Totals.Pulls, own.Plan.Totals.Knots, own.Plan.Totals.MaxLead)}}
	for _, p := range toCut(own) {
		out.Totals = append(out.Totals, fmt.Sprintf("cut %s: %.2f m", p.Name, p.CutMM/1000))
	}
	if w, err = w.by(other); err != nil {
		return out, fmt.Errorf("%s: %w", against, err)
	}
	if out.Contrast = contrast.Of(own.way(), w.way()); against == asItWas {
		out.Contrast.Other += ", " + asItWas
	}
	return out, nil
}

// trialJob is a job as what its sheet is tried on.
func (s *Shop) trialJob(ctx context.Context, r book.Record, t *Trial) ([]string, map[string]func() (*Work, error), error) {
	file, text, err := s.Book.Text(ctx, r.UID)
	if err != nil {
		return nil, nil, err
	}
	w, err := s.draft(file, text)
	if err != nil {
		return nil, nil, err
	}
	named := w.Job.Technique.Value
	if _, t.Text, err = s.Files.named(file, w.Job.Technique, techniques()); err != nil {
		return nil, nil, err
	}
	kept, err := s.kept(techniques())
	_, t.Kept = kept[named]
	if t.Name = named; !t.Kept {
		base := "house-" + strings.TrimSuffix(filepath.Base(named), ".toml")
		t.Name = base
		for n := 2; kept[t.Name] != nil; n++ { // the house has one of it already
			t.Name = fmt.Sprintf("%s-%d", base, n)
		}
	}
	title := cmp.Or(Title(w.Job.Player, w.Job.Racket, ""), w.Frame.Name)
	return []string{title}, map[string]func() (*Work, error){title: func() (*Work, error) { return w, nil }}, err
}

// trialFrames are the frames on which a sheet can be tried, the one of the newest job that names it first.
func (s *Shop) trialFrames(ctx context.Context, sheet string) (names []string, on map[string]func() (*Work, error), err error) {
	kept, err := s.kept(layouts())
	if err != nil {
		return nil, nil, err
	}
	jobs, err := s.Book.Find(ctx, records.KindJob, "", sheetsOf)
	if err != nil {
		return nil, nil, err
	}
	for _, r := range jobs {
		if j := records.As[records.Job](r.Fields); j.Technique == sheet && j.Frame != "" {
			names = append(names, j.Frame)
			break
		}
	}
	on = map[string]func() (*Work, error){}
	all := slices.Concat(names, library.Layouts(), slices.Sorted(maps.Keys(kept)))
	names = nil
	for _, name := range all {
		if on[name] == nil {
			names, on[name] = append(names, name), func() (*Work, error) { return s.onFrame(name) }
		}
	}
	return names, on, nil
}

// onFrame is a work on a frame, of nobody, with an order in the middle of what is printed on it.
func (s *Shop) onFrame(name string) (*Work, error) {
	frame, err := s.Layout(name)
	if err != nil {
		return nil, err
	}
	tension := "24 kg"
	if p := frame.Printed; p != nil {
		tension = p.Min.Plus(p.Max).Percent(-50).String()
	}
	job, _, err := sequence.ReadJob("", fmt.Appendf(nil, "frame = %q\ntechnique = \"two-piece-skip\"\n[tension]\nmains = %q\n", name, tension))
	if err != nil {
		return nil, err
	}
	return &Work{Work: calc.Work{Job: job, Frame: frame}}, nil
}
