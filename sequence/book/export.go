package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"

	"pullcard/patterns/harmless"
	"pullcard/sequence/progress"
)

// Export writes every job with its events as a JSON array, the oldest job first, one job a line. It shows the book as
// it is at one moment and holds one job in memory at a time. A redo has the why that was told for it afterwards.
func (b *Book) Export(ctx context.Context, w io.Writer) error {
	err := b.read(ctx, func(tx *sql.Tx) error { return export(ctx, tx, w) })
	if err != nil {
		return b.problem("export", err)
	}
	return nil
}

func export(ctx context.Context, tx *sql.Tx, w io.Writer) error {
	told, err := readAlong(ctx, tx, func(rows *sql.Rows) (int64, progress.Event, error) {
		job, e, err := scanWholeEvent(rows)
		return job, e.Event, err
	}, selectWholeEvents+" ORDER BY job, seq")
	if err != nil {
		return err
	}
	defer told.rows.Close()
	before := "[\n"
	err = eachRow(ctx, tx, func(rows *sql.Rows) error {
		line, err := exportLine(rows, told)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(w, "%s%s", before, harmless.EscapeJSON(line))
		before = ",\n"
		return err
	}, selectEntries+" ORDER BY jobs.id")
	if err != nil {
		return err
	}
	if before == "[\n" {
		_, err = io.WriteString(w, "[]\n")
	} else {
		_, err = io.WriteString(w, "\n]\n")
	}
	return err
}

func exportLine(rows *sql.Rows, told *along[int64, progress.Event]) ([]byte, error) {
	var line struct {
		Entry
		Events []progress.Event `json:"events"`
	}
	var err error
	if line.Entry, err = scanEntry(rows); err != nil {
		return nil, err
	}
	list, err := told.of(line.ID)
	if err != nil {
		return nil, err
	}
	line.Events = progress.Explained(list)
	return json.Marshal(line)
}
