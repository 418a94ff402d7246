package book

import (
	"context"
	"database/sql"
	"strings"
)

// eachRow does something with each row of a query.
func eachRow(ctx context.Context, q querier, with func(*sql.Rows) error, query string, args ...any) error {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := with(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// allRows lists what scan makes of each row of a query, nil without any.
func allRows[T any](ctx context.Context, q querier, scan func(*sql.Rows) (T, error), query string, args ...any) (list []T, err error) {
	err = eachRow(ctx, q, func(rows *sql.Rows) error {
		v, err := scan(rows)
		list = append(list, v)
		return err
	}, query, args...)
	return list, err
}

// column reads a query's only column.
func column[T any](ctx context.Context, q querier, query string, args ...any) ([]T, error) {
	return allRows(ctx, q, func(rows *sql.Rows) (v T, err error) { return v, rows.Scan(&v) }, query, args...)
}

// trimmed is a column of text without blanks around it, as SQLite keeps of a schema what stood behind its words.
func trimmed(ctx context.Context, q querier, query string, args ...any) ([]string, error) {
	return allRows(ctx, q, func(rows *sql.Rows) (text string, err error) {
		err = rows.Scan(&text)
		return strings.TrimSpace(text), err
	}, query, args...)
}
