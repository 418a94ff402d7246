package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"

	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// Correct corrects a record. A job that waits is set up anew by what is corrected; one that was begun stays as it is.
// What is doubted is not kept unless the correction says that it is so, see Doubts.
func (s *Shop) Correct(ctx context.Context, uid string, c book.Change) (book.Record, error) {
	r, err := s.Book.Record(ctx, uid)
	if err != nil {
		return r, err
	}
	switch r.Kind {
	case records.KindPlayer:
		c.Fields, err = records.Amend(c.Fields, s.wanted)
	case records.KindRacket:
		c.Fields, err = records.Amend(c.Fields, s.fits)
	case records.KindFrame, records.KindSheet:
		c.Fields, err = s.shelve(ctx, r.Kind, uid, c.Fields)
	case records.KindMachine:
		c.Fields, err = s.offset(ctx, r, c.Fields, c.At)
	case records.KindBaseline:
		err = renamed(r, c.Fields)
	case records.KindStringer:
		err = absent(r.Fields.With(c.Fields), c.At)
	case records.KindJob:
		c.Fields, err = s.recompose(ctx, r, c.Fields)
	}
	if err == nil {
		err = s.sane(ctx, r, c.Fields)
	}
	if err == nil {
		c.Fields, err = s.reasoned(ctx, r, c.Fields)
	}
	if err != nil {
		return r, err
	}
	return s.Book.Correct(ctx, uid, c)
}

// recompose returns a correction of a job with what follows from it for the job's text.
func (s *Shop) recompose(ctx context.Context, r book.Record, change records.Fields) (records.Fields, error) {
	card, err := s.Book.Card(ctx, r.UID)
	if err != nil {
		return nil, err
	}
	was, said := records.As[records.Job](r.Fields), records.As[records.Job](change)
	now := records.As[records.Job](r.Fields.With(change))
	only := was // of how it is strung, with nothing but the tension changed
	only.Tension = now.Tension
	switch {
	case card.Entry != nil:
		return change, begun(was, now)
	case said.Text != "" || strung(was) == strung(now):
		return change, nil
	case was.Text == "":
		err = s.compose(ctx, &now)
	case strung(only) == strung(now) && now.Tension != "":
		err = s.retension(was.File, &now)
	default:
		err = s.setUpAnew(ctx, was, &now)
	}
	if err == nil {
		err = s.remind(ctx, was, &now)
	}
	return records.Changed(was, now), err
}

// strung is what of a job its text follows from.
func strung(j records.Job) [9]string {
	return [...]string{j.Player, j.Racket, j.Frame, j.Technique, string(j.Tension), j.Mains, j.Crosses, j.Machine, j.File}
}

// begun refuses what would change a job that has been begun.
func begun(was, now records.Job) error {
	var wrong []error
	refuse := func(changed bool, key string) {
		if changed {
			wrong = append(wrong, fmt.Errorf("%s: the job has been begun, and how it is strung stays as it was then; add a new job", key))
		}
	}
	refuse(now.Frame != was.Frame, records.Key(&now, &now.Frame))
	refuse(now.Technique != was.Technique, records.Key(&now, &now.Technique))
	refuse(now.Tension != was.Tension, records.Key(&now, &now.Tension))
	refuse(now.File != was.File, records.Key(&now, &now.File))
	return errors.Join(wrong...)
}

// retension changes the tensions in a job's text and nothing else; file is its name in messages.
func (f Files) retension(file string, j *records.Job) error {
	mains, crosses, err := j.Tension.Both()
	if err == nil {
		err = f.setTensions(file, j, mains, crosses)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", records.Key(j, &j.Tension), err)
	}
	return nil
}

// setTensions changes them in place and proves the text that comes of it.
func (f Files) setTensions(file string, j *records.Job, mains, crosses measure.Tension) error {
	text, err := sequence.EditTensions(file, []byte(j.Text), mains, crosses)
	if err == nil {
		_, err = f.Work(file, text)
	}
	if err != nil {
		return err
	}
	j.Text = string(text)
	return nil
}

// setUpAnew writes the text of a job that had one already.
func (s *Shop) setUpAnew(ctx context.Context, was records.Job, now *records.Job) error {
	t, _, err := sequence.ReadJob(was.File, []byte(was.Text))
	if err != nil {
		return fmt.Errorf("%s: %w", records.Key(now, &now.File), err)
	}
	racket, err := s.racketOf(ctx, now)
	if err != nil {
		return err
	}
	if now.Racket != was.Racket && now.Frame == was.Frame && racket.Frame != "" {
		now.Frame = racket.Frame
	}
	frame, technique, tension := s.setUpOf(t)
	now.Frame, now.Technique, now.Tension = cmp.Or(now.Frame, frame), cmp.Or(now.Technique, technique), cmp.Or(now.Tension, tension)
	if now.Crosses == "" && (now.Mains != was.Mains || now.Crosses != was.Crosses) {
		t.StringCrosses = t.StringMains
	}
	if now.Machine == "" && was.Machine != "" {
		t.Machine = sequence.Machine{}
	}
	return s.setUp(ctx, now, *t)
}
