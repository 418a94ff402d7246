package main

import (
	"fmt"
	"strings"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/house"
	progress "pullcard/sequence/run"
	"pullcard/tui/ledger"
)

// found is how many records a list of the screens holds at most; a few letters find the others.
const found = 100

// Find lists records for the screens of the book.
func (s *shop) Find(kind house.Name, of, letters string) ([]ledger.Item, error) {
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

func (s *shop) find(kind house.Name, of, letters string) ([]book.Record, error) {
	switch {
	case of != "":
		list, err := s.book.Of(s.ctx, kind, of)
		return lettered(kind, list, letters), err
	case kind == house.Job && letters != "":
		return s.jobsOfPlayers(letters)
	}
	return s.book.Find(s.ctx, kind, letters, found)
}

// lettered keeps the records in whose names all the words of letters occur.
func lettered(kind house.Name, list []book.Record, letters string) []book.Record {
	k, _ := house.Find(kind)
	var kept []book.Record
	for _, r := range list {
		all := true
		for _, word := range strings.Fields(house.Fold(letters)) {
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
	players, err := s.book.Find(s.ctx, house.Player, letters, 20)
	if err != nil {
		return nil, err
	}
	var list []book.Record
	for _, p := range players {
		jobs, err := s.book.Of(s.ctx, house.Job, p.UID)
		if err != nil {
			return nil, err
		}
		list = append(list, jobs...)
	}
	return list[:min(len(list), found)], nil
}

// item is a record as a list of the screens shows it.
func (s *shop) item(r book.Record, more ...house.Fields) (ledger.Item, error) {
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
	case house.Stock:
		shelf, err := s.book.Shelf(s.ctx, r.UID)
		if err != nil {
			return it, err
		}
		it.Mark = shortMetres(shelf.Left()) + " left"
	case house.Job:
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
	switch e := c.Entry; {
	case e == nil && c.Fields["text"] == "":
		return "has no tension yet", false
	case e == nil:
		return "waits", true
	case e.State == progress.Open && c.Fields["parked"] != "":
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
	var before []house.Fields
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
func (s *shop) Keep(kind house.Name, uid string, fields house.Fields, why string) (book.Record, error) {
	if kind == house.Job && fields["file"] != "" {
		path := fields["file"]
		if err := s.jobFile(path, fields); err != nil {
			return book.Record{}, fmt.Errorf("file: %w", err)
		}
	}
	if uid == "" {
		return s.add(kind, fields, time.Now())
	}
	return s.correct(uid, book.Change{Fields: fields, Why: why, At: time.Now()})
}

// Leave removes a record from every list.
func (s *shop) Leave(uid string) error { return s.book.Leave(s.ctx, uid) }
