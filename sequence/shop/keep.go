package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"time"

	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// Add adds a record; at is when it happened. What follows from others is filled in: of a job how it is strung, of a reading what the bed of its
// job computes to. What is doubted is not kept unless it says that it is so, see Doubts.
func (s *Shop) Add(ctx context.Context, kind records.Name, written records.Fields, at time.Time) (book.Record, error) {
	fields, err := s.filled(ctx, kind, written, at)
	if err != nil {
		return book.Record{}, err
	}
	return s.Book.Add(ctx, kind, fields, at)
}

// filled checks a new record, and fills in what follows from others.
func (s *Shop) filled(ctx context.Context, kind records.Name, written records.Fields, at time.Time) (fields records.Fields, err error) {
	fields = written
	k, _ := records.Find(kind)
	if _, err := k.Read(fields, at); err != nil {
		return nil, err
	}
	switch kind {
	case records.KindPlayer:
		fields, err = records.Amend(fields, s.wanted)
	case records.KindRacket:
		fields, err = records.Amend(fields, s.fits)
	case records.KindFrame, records.KindSheet:
		fields, err = s.shelve(ctx, kind, "", fields)
	case records.KindMachine:
		fields, err = s.offset(ctx, book.Record{Kind: kind}, fields, at)
	case records.KindBaseline:
		fields, err = records.Amend(fields, func(b *records.Baseline) error { return s.judged(ctx, b) })
	case records.KindJob:
		fields, err = records.Amend(fields, func(j *records.Job) error {
			if j.Text == "" {
				return s.compose(ctx, j)
			}
			_, err := s.racketOf(ctx, j)
			return err
		})
	case records.KindStringer:
		err = absent(fields, at)
	case records.KindStocktaking:
		fields, err = records.Amend(fields, func(c *records.Stocktaking) error { return s.known(ctx, c) })
	case records.KindReading:
		fields, err = records.Amend(fields, func(r *records.Reading) error { return s.expect(ctx, r) })
	}
	if err == nil {
		err = s.sane(ctx, book.Record{Kind: kind}, fields)
	}
	return fields, err
}

// known adds to a count what the book has and nobody counted yet.
func (s *Shop) known(ctx context.Context, c *records.Stocktaking) error {
	shelf, err := s.Book.Shelf(ctx, c.Stock)
	c.Known = shelf.Known()
	return err
}

// expect adds to a reading what the bed of its job computes to. Its error is in its own unit.
func (s *Shop) expect(ctx context.Context, r *records.Reading) (err error) {
	_, unit, _ := r.Value.Split()
	if _, of, ok := r.Error.Split(); ok && of != unit {
		return fmt.Errorf("%s: it is in %s, and the reading in %s; write both in the same unit", records.Key(r, &r.Error), of, unit)
	}
	if r.Expected == "" {
		r.Expected, err = s.expected(ctx, *r)
	}
	return err
}

// expected is what the bed of a strung job computes to, in Hz for a frequency and in N/mm for anything else; empty where
// it cannot be computed.
func (s *Shop) expected(ctx context.Context, r records.Reading) (records.Amount, error) {
	c, err := s.Book.Card(ctx, r.Job)
	if err != nil {
		return "", err
	}
	if c.Entry == nil || c.Entry.State != progress.Finished {
		return "", errors.New("job: that job has not been strung yet; a reading is of a strung bed")
	}
	w, mains, crosses, err := s.strung(ctx, c)
	if err != nil {
		return "", nil // its files are not at hand: the reading is kept without
	}
	strung, err := w.At(mains, crosses)
	_, unit, _ := r.Value.Split()
	switch {
	case err != nil:
		return "", nil // the layout has no hoop
	case unit == "Hz": // with a string that is assumed where the job does not tell it
		return records.Amount(fmt.Sprintf("%.1f Hz", strung.Figures.Hz[0])), nil
	}
	return records.Amount(fmt.Sprintf("%.2f N/mm", float64(strung.Figures.Stiffness))), nil
}

// strung is the work of a strung job with the tensions that it was strung at.
func (s *Shop) strung(ctx context.Context, c book.Card) (w drafted, mains, crosses measure.Tension, err error) {
	file, text, err := s.Book.Text(ctx, c.UID)
	if err != nil {
		return w, mains, crosses, err
	}
	return s.strungFrom(book.Source{File: file, Text: text}, c)
}

func (s *Shop) strungFrom(from book.Source, c book.Card) (w drafted, mains, crosses measure.Tension, err error) {
	if w, err = s.drafted(from.File, string(from.Text)); err != nil { // nothing of its plan is shown
		return w, mains, crosses, err
	}
	if mains, err = measure.ParseTension(cmp.Or(c.Entry.Mains, w.Job.Mains.String())); err != nil {
		return w, mains, crosses, err
	}
	crosses, err = measure.ParseTension(cmp.Or(c.Entry.Crosses, w.Job.Crosses.String()))
	return w, mains, crosses, err
}

// JobFile reads a job file, proves that it can be strung, and puts its text and what it says into a job. The player and the
// racket that it names are taken from the book, where there are such.
func (s *Shop) JobFile(ctx context.Context, path string, j *records.Job) error {
	w, err := s.Load(path)
	if err != nil {
		return err
	}
	if j.Frame+j.Technique != "" {
		return errors.New("a job file says frame and technique itself; leave them away, or the file")
	}
	j.Text, j.File = string(w.Source), s.key(path)
	if j.Tension != "" {
		if err := s.retension(path, j); err != nil {
			return err
		}
	}
	says, _, err := sequence.ReadJob(path, []byte(j.Text))
	if err != nil {
		return err
	}
	j.Frame, j.Technique, j.Tension = s.setUpOf(says)
	if j.Player == "" && w.Job.Player != "" {
		r, found, err := s.called(ctx, records.KindPlayer, w.Job.Player)
		if err != nil || !found {
			return err
		}
		j.Player = r.UID
	}
	if j.Racket != "" || w.Job.Racket == "" || j.Player == "" {
		return nil
	}
	rackets, err := s.Book.Of(ctx, records.KindRacket, j.Player)
	for _, r := range rackets {
		if records.Fold(r.Label()) == records.Fold(w.Job.Racket) {
			j.Racket = r.UID
		}
	}
	return err
}

// Keep adds a record, or corrects the one with the UID where that is not empty: then fields holds what changes, and an empty
// text takes a field away. A job's file is read and proved. The error joins what is wrong, each as "key: what is wrong" or "key
// is missing".
func (s *Shop) Keep(ctx context.Context, kind records.Name, uid string, fields records.Fields, why string) (book.Record, error) {
	if kind == records.KindJob {
		var err error
		if fields, err = records.Amend(fields, func(j *records.Job) error { return s.takeFile(ctx, j) }); err != nil {
			return book.Record{}, err
		}
	}
	if uid == "" {
		return s.Add(ctx, kind, fields, s.Now())
	}
	return s.Correct(ctx, uid, book.Change{Fields: fields, Why: why, At: s.Now()})
}

// takeFile takes in a job file that a form names.
func (s *Shop) takeFile(ctx context.Context, j *records.Job) error {
	if j.File == "" {
		return nil
	}
	if err := s.JobFile(ctx, j.File, j); err != nil {
		return fmt.Errorf("%s: %w", records.Key(j, &j.File), err)
	}
	return nil
}
