package main

import (
	"fmt"
	"strings"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	progress "pullcard/sequence/run"
	"pullcard/tui/ledger"
)

// found is how many records a list of the screens holds at most; a few letters find the others.
const found = 100

// Find lists records for the screens of the book.
func (s *shop) Find(kind records.Name, of, letters string) ([]ledger.Item, error) {
	list, err := s.find(kind, of, letters)
	if err != nil {
		return nil, err
	}
	items := make([]ledger.Item, len(list))
	for i, r := range list {
		if items[i], err = s.item(r); err != nil {
			return nil, err
		}
	}
	return items, nil
}

func (s *shop) find(kind records.Name, of, letters string) ([]book.Record, error) {
	switch {
	case of != "":
		list, err := s.book.Of(s.ctx, kind, of)
		return lettered(kind, list, letters), err
	case kind == records.KindJob && letters != "":
		return s.jobsOfPlayers(letters)
	}
	return s.book.Find(s.ctx, kind, letters, found)
}

// lettered keeps the records in whose names all the words of letters occur.
func lettered(kind records.Name, list []book.Record, letters string) []book.Record {
	k, _ := records.Find(kind)
	var kept []book.Record
	for _, r := range list {
		all := true
		for _, word := range strings.Fields(records.Fold(letters)) {
			all = all && strings.Contains(k.Words(r.Fields), word)
		}
		if all {
			kept = append(kept, r)
		}
	}
	return kept[:min(len(kept), found)]
}

// jobsOfPlayers lists the jobs of the players whose names have the letters: a job has no name of its own.
func (s *shop) jobsOfPlayers(letters string) ([]book.Record, error) {
	players, err := s.book.Find(s.ctx, records.KindPlayer, letters, 20)
	if err != nil {
		return nil, err
	}
	var list []book.Record
	for _, p := range players {
		jobs, err := s.book.Of(s.ctx, records.KindJob, p.UID)
		if err != nil {
			return nil, err
		}
		list = append(list, jobs...)
	}
	return list[:min(len(list), found)], nil
}

// item is a record as a list of the screens shows it.
func (s *shop) item(r book.Record, more ...records.Fields) (ledger.Item, error) {
	it := ledger.Item{Record: r, Names: map[string]string{}}
	for _, fields := range append(more, r.Fields) {
		of := r
		of.Fields = fields
		names, err := s.names(of)
		if err != nil {
			return it, err
		}
		for key, name := range names {
			it.Names[fields[key]] = name
		}
	}
	switch r.Kind {
	case records.KindStock:
		shelf, err := s.book.Shelf(s.ctx, r.UID)
		if err != nil {
			return it, err
		}
		it.Mark = shortMetres(shelf.Left()) + " left"
	case records.KindJob:
		c, err := s.book.Card(s.ctx, r.UID)
		if err != nil {
			return it, err
		}
		it.Mark, it.Bench = jobMark(c)
	}
	return it, nil
}

// jobMark says where a job stands and whether it can go on the bench.
func jobMark(c book.Card) (string, bool) {
	j := records.As[records.Job](c.Fields)
	switch e := c.Entry; {
	case e == nil && j.Text == "":
		return "has no tension yet", false
	case e == nil:
		return "waits", true
	case e.State == progress.Open && j.Parked != "":
		return fmt.Sprintf("parked at %d/%d", e.Step, e.Steps), true
	case e.State == progress.Open:
		return fmt.Sprintf("in work %d/%d", e.Step, e.Steps), true
	case e.State == progress.Finished:
		return "strung " + tensions(e.Mains, e.Crosses), false
	}
	return "given up", false
}

// Page reads one record for the screens of the book.
func (s *shop) Page(uid string) (ledger.Page, error) {
	p, err := s.page(uid)
	if err != nil {
		return ledger.Page{}, err
	}
	out := ledger.Page{Corrections: p.Corrections}
	var before []records.Fields
	for _, c := range p.Corrections {
		before = append(before, c.Before)
	}
	if out.Item, err = s.item(p.Record, before...); err != nil {
		return out, err
	}
	for _, sec := range p.Below {
		of := ledger.Section{Title: sec.Title}
		for _, l := range sec.Lines {
			of.Lines = append(of.Lines, ledger.Line(l))
		}
		out.Below = append(out.Below, of)
	}
	return out, nil
}

// Keep adds or corrects a record for the screens of the book. A job's file is read and proved.
func (s *shop) Keep(kind records.Name, uid string, fields records.Fields, why string) (book.Record, error) {
	if kind == records.KindJob {
		var err error
		if fields, err = records.Amend(fields, s.takeFile); err != nil {
			return book.Record{}, err
		}
	}
	if uid == "" {
		return s.add(kind, fields, time.Now())
	}
	return s.correct(uid, book.Change{Fields: fields, Why: why, At: time.Now()})
}

// takeFile takes in a job file that a form names.
func (s *shop) takeFile(j *records.Job) error {
	if j.File == "" {
		return nil
	}
	if err := s.jobFile(j.File, j); err != nil {
		return fmt.Errorf("%s: %w", records.Key(j, &j.File), err)
	}
	return nil
}

// Leave removes a record from every list.
func (s *shop) Leave(uid string) error { return s.book.Leave(s.ctx, uid) }
