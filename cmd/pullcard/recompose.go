package main

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"

	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/house"
)

// correct corrects a record. A job that waits is set up anew by what is corrected; one that was begun stays as it is.
func (s *shop) correct(uid string, c book.Change) (book.Record, error) {
	r, err := s.book.Record(s.ctx, uid)
	if err != nil {
		return r, err
	}
	c.Fields = maps.Clone(c.Fields)
	switch r.Kind {
	case house.Racket:
		err = layoutField(c.Fields)
	case house.Job:
		err = s.recompose(r, c.Fields)
	}
	if err != nil {
		return r, err
	}
	return s.book.Correct(s.ctx, uid, c)
}

// recompose adds to a correction of a job what follows from it for the job's text.
func (s *shop) recompose(r book.Record, change house.Fields) error {
	card, err := s.book.Card(s.ctx, r.UID)
	if err != nil {
		return err
	}
	changed := func(keys ...string) bool {
		return slices.ContainsFunc(keys, func(key string) bool { text, ok := change[key]; return ok && text != r.Fields[key] })
	}
	switch {
	case card.Entry != nil:
		return begun(changed)
	case change["text"] != "" || !changed("player", "racket", "frame", "technique", "tension", "mains", "crosses", "machine", "file"):
		return nil
	}
	fields := maps.Clone(r.Fields)
	maps.Copy(fields, change)
	switch {
	case r.Fields["text"] == "":
		err = s.compose(fields)
	case !changed("player", "racket", "frame", "technique", "mains", "crosses", "machine", "file") && fields["tension"] != "":
		err = retension(r.Fields["file"], fields)
	default:
		err = s.setUpAnew(r, fields, changed)
	}
	for _, key := range []string{"text", "frame", "technique", "tension", "mains", "crosses", "machine", "player"} {
		if _, said := change[key]; said || fields[key] != r.Fields[key] {
			change[key] = fields[key]
		}
	}
	return err
}

// begun refuses what would change a job that has been begun.
func begun(changed func(...string) bool) error {
	var wrong []error
	for _, key := range []string{"frame", "technique", "tension", "file"} {
		if changed(key) {
			wrong = append(wrong, fmt.Errorf("%s: the job has been begun, and how it is strung stays as it was then; add a new job", key))
		}
	}
	return errors.Join(wrong...)
}

// retension changes the tensions in a job's text and nothing else.
func retension(file string, fields house.Fields) error {
	mains, crosses, err := house.Tensions(fields["tension"])
	if err != nil {
		return fmt.Errorf("tension: %w", err)
	}
	text, err := sequence.EditTensions(file, []byte(fields["text"]), mains, crosses)
	if err == nil {
		_, err = readWork(file, text)
	}
	if err != nil {
		return fmt.Errorf("tension: %w", err)
	}
	fields["text"] = string(text)
	return nil
}

// setUpAnew writes the text of a job that had one already.
func (s *shop) setUpAnew(r book.Record, fields house.Fields, changed func(...string) bool) error {
	t, err := readJobText(r.Fields["file"], []byte(r.Fields["text"]))
	if err != nil {
		return fmt.Errorf("file: %w", err)
	}
	racket, err := s.racketOf(fields)
	if err != nil {
		return err
	}
	if changed("racket") && !changed("frame") && racket["frame"] != "" {
		fields["frame"] = racket["frame"]
	}
	for key, text := range t.fields() {
		fields[key] = cmp.Or(fields[key], text)
	}
	if changed("mains", "crosses") && fields["crosses"] == "" {
		delete(t.String, "crosses")
	}
	if changed("machine") && fields["machine"] == "" {
		t.Machine = nil
	}
	return s.setUp(fields, t)
}
