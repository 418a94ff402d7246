package main

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"time"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/house"
	progress "pullcard/sequence/run"
	"pullcard/sequence/verdict"
)

// add adds a record. What follows from others is filled in: of a job how it is strung, of a reading what the bed of its
// job computes to.
func (s *shop) add(kind house.Name, written house.Fields, at time.Time) (book.Record, error) {
	fields := maps.Clone(written)
	k, _ := house.Find(kind)
	if _, err := k.Read(fields, at); err != nil {
		return book.Record{}, err
	}
	var err error
	switch {
	case kind == house.Racket:
		err = layoutField(fields)
	case kind == house.Job && fields["text"] == "":
		err = s.compose(fields)
	case kind == house.Job:
		_, err = s.racketOf(fields)
	case kind == house.Reading && fields["expected"] == "":
		fields["expected"], err = s.expected(fields["job"], fields["value"])
	}
	if err != nil {
		return book.Record{}, err
	}
	return s.book.Add(s.ctx, kind, fields, at)
}

// expected is what the bed of a strung job computes to, in Hz for a frequency and in N/mm for anything else; empty where
// it cannot be computed.
func (s *shop) expected(job, value string) (string, error) {
	c, err := s.book.Card(s.ctx, job)
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
	stiffness, hz, err := verdict.BedOf(w.numbers())(mains, crosses)
	_, unit, _ := house.Split(value)
	switch {
	case err != nil:
		return "", nil // the layout has no hoop
	case unit == "Hz" && hz > 0:
		return fmt.Sprintf("%.1f Hz", hz), nil
	case unit == "Hz":
		strung, err := w.numbers().Strung() // with a string that is assumed
		if err != nil || len(strung.Figures.Hz) == 0 {
			return "", nil
		}
		return fmt.Sprintf("%.1f Hz", float64(strung.Figures.Hz[0])), nil
	}
	return fmt.Sprintf("%.2f N/mm", stiffness), nil
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

// jobFile reads a job file, proves that it can be strung, and puts its text and what it says into a job's fields. The
// player and the racket that it names are taken from the book, where there are such.
func (s *shop) jobFile(path string, fields house.Fields) error {
	w, err := loadWork(path)
	if err != nil {
		return err
	}
	if fields["frame"]+fields["technique"] != "" {
		return errors.New("a job file says frame and technique itself; leave them away, or the file")
	}
	fields["text"], fields["file"] = string(w.source), key(path)
	if fields["tension"] != "" {
		if err := retension(path, fields); err != nil {
			return err
		}
	}
	says, err := readJobText(path, []byte(fields["text"]))
	if err != nil {
		return err
	}
	maps.Copy(fields, says.fields())
	if fields["player"] == "" && w.job.Player != "" {
		r, found, err := s.called(house.Player, w.job.Player)
		if err != nil || !found {
			return err
		}
		fields["player"] = r.UID
	}
	if fields["racket"] != "" || w.job.Racket == "" || fields["player"] == "" {
		return nil
	}
	rackets, err := s.book.Of(s.ctx, house.Racket, fields["player"])
	for _, r := range rackets {
		if house.Fold(r.Label()) == house.Fold(w.job.Racket) {
			fields["racket"] = r.UID
		}
	}
	return err
}
