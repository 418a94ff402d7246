package main

import (
	"cmp"
	"errors"
	"fmt"
	"time"

	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	progress "pullcard/sequence/run"
)

// add adds a record. What follows from others is filled in: of a job how it is strung, of a reading what the bed of its
// job computes to.
func (s *shop) add(kind records.Name, written records.Fields, at time.Time) (book.Record, error) {
	fields := written
	k, _ := records.Find(kind)
	if _, err := k.Read(fields, at); err != nil {
		return book.Record{}, err
	}
	var err error
	switch kind {
	case records.KindRacket:
		fields, err = records.Amend(fields, layoutOf)
	case records.KindMachine:
		fields, err = s.offset(book.Record{Kind: kind}, fields, at)
	case records.KindBaseline:
		fields, err = records.Amend(fields, s.judged)
	case records.KindJob:
		fields, err = records.Amend(fields, func(j *records.Job) error {
			if j.Text == "" {
				return s.compose(j)
			}
			_, err := s.racketOf(j)
			return err
		})
	case records.KindReading:
		fields, err = records.Amend(fields, s.expect)
	}
	if err != nil {
		return book.Record{}, err
	}
	return s.book.Add(s.ctx, kind, fields, at)
}

// expect adds to a reading what the bed of its job computes to.
func (s *shop) expect(r *records.Reading) (err error) {
	if r.Expected == "" {
		r.Expected, err = s.expected(*r)
	}
	return err
}

// expected is what the bed of a strung job computes to, in Hz for a frequency and in N/mm for anything else; empty where
// it cannot be computed.
func (s *shop) expected(r records.Reading) (records.Amount, error) {
	c, err := s.book.Card(s.ctx, r.Job)
	if err != nil {
		return "", err
	}
	if c.Entry == nil || c.Entry.State != progress.Finished {
		return "", errors.New("job: that job has not been strung yet; a reading is of a strung bed")
	}
	w, mains, crosses, err := s.strung(c)
	if err != nil {
		return "", nil // its files are not at hand: the reading is kept without
	}
	strung, err := w.numbers().At(mains, crosses)
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
func (s *shop) strung(c book.Card) (w *work, mains, crosses measure.Tension, err error) {
	file, text, err := s.book.Text(s.ctx, c.UID)
	if err != nil {
		return nil, mains, crosses, err
	}
	if w, err = readWork(file, text); err != nil {
		return nil, mains, crosses, err
	}
	if mains, err = measure.ParseTension(cmp.Or(c.Entry.Mains, w.job.Mains.String())); err != nil {
		return nil, mains, crosses, err
	}
	crosses, err = measure.ParseTension(cmp.Or(c.Entry.Crosses, w.job.Crosses.String()))
	return w, mains, crosses, err
}

// jobFile reads a job file, proves that it can be strung, and puts its text and what it says into a job. The player and the
// racket that it names are taken from the book, where there are such.
func (s *shop) jobFile(path string, j *records.Job) error {
	w, err := loadWork(path)
	if err != nil {
		return err
	}
	if j.Frame+j.Technique != "" {
		return errors.New("a job file says frame and technique itself; leave them away, or the file")
	}
	j.Text, j.File = string(w.source), key(path)
	if j.Tension != "" {
		if err := retension(path, j); err != nil {
			return err
		}
	}
	says, _, err := sequence.ReadJob(path, []byte(j.Text))
	if err != nil {
		return err
	}
	j.Frame, j.Technique, j.Tension = setUpOf(says)
	if j.Player == "" && w.job.Player != "" {
		r, found, err := s.called(records.KindPlayer, w.job.Player)
		if err != nil || !found {
			return err
		}
		j.Player = r.UID
	}
	if j.Racket != "" || w.job.Racket == "" || j.Player == "" {
		return nil
	}
	rackets, err := s.book.Of(s.ctx, records.KindRacket, j.Player)
	for _, r := range rackets {
		if records.Fold(r.Label()) == records.Fold(w.job.Racket) {
			j.Racket = r.UID
		}
	}
	return err
}
