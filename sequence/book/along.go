package book

import (
	"cmp"
	"context"
	"database/sql"
)

// along reads rows that belong to others, beside these and in the order of their keys, so that none is asked for by itself.
type along[K cmp.Ordered, T any] struct {
	rows *sql.Rows
	scan func(*sql.Rows) (K, T, error)
	key  K
	next T
	more bool
}

// readAlong begins; the query orders its rows by their keys, and scan reads a row. The rows are the caller's to close.
func readAlong[K cmp.Ordered, T any](ctx context.Context, q querier, scan func(*sql.Rows) (K, T, error), query string, args ...any) (*along[K, T], error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	a := &along[K, T]{rows: rows, scan: scan}
	return a, a.step()
}

func (a *along[K, T]) step() (err error) {
	if a.more = a.rows.Next(); a.more {
		a.key, a.next, err = a.scan(a.rows)
		return err
	}
	return a.rows.Err()
}

// of are the rows of a key, which is larger than those that were asked for before.
func (a *along[K, T]) of(key K) ([]T, error) {
	list := []T{}
	for a.more && a.key <= key {
		if a.key == key {
			list = append(list, a.next)
		}
		if err := a.step(); err != nil {
			return nil, err
		}
	}
	return list, nil
}
