package book

import (
	"context"
	"slices"

	"pullcard/sequence/records"
)

// Shelf is a stock's record with what was cut from it.
type Shelf struct {
	Record
	records.Shelf
	From []Record // the cuts and stocktakings, the oldest first
}

// Shelves lists what is in stock with its cuts, found by a few letters like Find.
func (b *Book) Shelves(ctx context.Context, letters string) (list []Shelf, err error) {
	err = b.look(ctx, func(tx querier) error {
		stocks, err := find(ctx, tx, records.KindStock, letters, 0)
		if err == nil {
			list, err = shelves(ctx, tx, stocks)
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
	err = b.look(ctx, func(tx querier) error {
		r, err := record(ctx, tx, uid)
		if err != nil {
			return err
		}
		list, err := shelves(ctx, tx, []Record{r})
		if err == nil {
			s = list[0]
		}
		return err
	})
	if err != nil {
		return s, b.problem("read a stock", err)
	}
	return s, nil
}

// ShelvesOf adds to stocks what was cut from them, in their order.
func (b *Book) ShelvesOf(ctx context.Context, stocks ...Record) ([]Shelf, error) {
	list, err := shelves(ctx, b.db, stocks)
	if err != nil {
		return nil, b.problem("list the stock", err)
	}
	return list, nil
}

func shelves(ctx context.Context, q querier, stocks []Record) ([]Shelf, error) {
	list, at, uids := make([]Shelf, len(stocks)), map[string]*Shelf{}, make([]string, len(stocks))
	for i, r := range stocks {
		list[i] = Shelf{Record: r, Shelf: records.Shelf{Stock: records.As[records.Stock](r.Fields)}}
		at[r.UID], uids[i] = &list[i], r.UID
	}
	cuts, err := readRecords(ctx, q, selectRecords+" WHERE owner IN "+among+" AND owner <> '' AND kind IN ('cut', 'stocktaking') AND state = 'kept'", listed(uids))
	slices.SortFunc(cuts, oldestFirst)
	for _, r := range cuts {
		t := records.StockChange{UID: r.UID, At: r.At}
		if c := records.As[records.Cut](r.Fields); r.Kind == records.KindCut {
			t.MM, t.Use = c.Length.MM(), c.For != records.ForCount
		} else {
			c := records.As[records.Stocktaking](r.Fields)
			t.MM, t.Counted, t.Known = c.Left.MM(), true, c.Known
		}
		shelf := at[r.owner()]
		shelf.Cuts, shelf.From = append(shelf.Cuts, t), append(shelf.From, r)
	}
	return list, err
}
