package shop

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// found is how many records a list of the screens holds at most; a few letters find the others.
const found = 100

// Find lists records of a kind that have all the letters in their names, the newest first and a hundred at most; of jobs those of
// the players who are so called. of is the UID of an owner whose records alone are wanted, empty for everybody's.
func (s *Shop) Find(ctx context.Context, kind records.Name, of, letters string) ([]Item, error) {
	list, err := s.find(ctx, kind, of, letters)
	if err != nil {
		return nil, err
	}
	return s.Items(ctx, list)
}

func (s *Shop) find(ctx context.Context, kind records.Name, of, letters string) ([]book.Record, error) {
	switch {
	case of != "":
		list, err := s.Book.Of(ctx, kind, of)
		return lettered(kind, list, letters), err
	case kind == records.KindJob && letters != "":
		return s.jobsOfPlayers(ctx, letters)
	}
	return s.Book.Find(ctx, kind, letters, found)
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
func (s *Shop) jobsOfPlayers(ctx context.Context, letters string) ([]book.Record, error) {
	players, err := s.Book.Find(ctx, records.KindPlayer, letters, 20)
	if err != nil {
		return nil, err
	}
	uids := make([]string, len(players))
	for i, p := range players {
		uids[i] = p.UID
	}
	list, err := s.Book.Of(ctx, records.KindJob, uids...)
	who := func(r book.Record) int { return slices.Index(uids, records.As[records.Job](r.Fields).Player) }
	slices.SortStableFunc(list, func(a, b book.Record) int { return cmp.Compare(who(a), who(b)) })
	return list[:min(len(list), found)], err
}

// Orders is what to order of each string of the stock.
func (s *Shop) Orders(ctx context.Context) ([]records.Order, error) {
	shelves, err := s.Book.Shelves(ctx, "")
	list := make([]records.Shelf, len(shelves))
	for i, shelf := range shelves {
		list[i] = shelf.Shelf
	}
	return records.Orders(list, s.Now()), err
}
