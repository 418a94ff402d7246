package book

import (
	"context"
	"database/sql"

	"pullcard/sequence/records"
)

// Shelf is a stock's record with what was cut from it.
type Shelf struct {
	Record
	records.Shelf
}

// Shelves lists what is in stock with its cuts, found by a few letters like Find.
func (b *Book) Shelves(ctx context.Context, letters string) (list []Shelf, err error) {
	err = b.read(ctx, func(tx *sql.Tx) error {
		stocks, err := find(ctx, tx, records.KindStock, letters, 0)
		for _, r := range stocks {
			var s Shelf
			if s, err = shelf(ctx, tx, r); err != nil {
				return err
			}
			list = append(list, s)
		}
		return err
	})
	if err != nil {
		return nil, b.problem("list the stock", err)
	}
	return list, nil
}

// Shelf reads one stock by its UID.
func (b *Book) Shelf(ctx context.Context, uid string) (s Shelf, err error) {
	err = b.read(ctx, func(tx *sql.Tx) error {
		r, err := record(ctx, tx, uid)
		if err == nil {
			s, err = shelf(ctx, tx, r)
		}
		return err
	})
	if err != nil {
		return s, b.problem("read a stock", err)
	}
	return s, nil
}

func shelf(ctx context.Context, q querier, r Record) (Shelf, error) {
	cuts, err := readRecords(ctx, q, selectRecords+" WHERE owner = ? AND owner <> '' AND kind = 'cut' AND state = 'kept' ORDER BY at, id", r.UID)
	s := Shelf{Record: r, Shelf: records.Shelf{Stock: records.As[records.Stock](r.Fields)}}
	for _, c := range cuts {
		s.Cuts = append(s.Cuts, records.Taken{At: c.At, MM: records.As[records.Cut](c.Fields).Length.MM()})
	}
	return s, err
}
