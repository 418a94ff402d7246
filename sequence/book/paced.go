package book

import (
	"context"
	"database/sql"

	"pullcard/sequence/records"
)

// TimedJob is a finished job of which it matters who strung it and where.
type TimedJob struct {
	ID                     int64
	UID, Stringer, Machine string // of their records, empty where nobody said
}

// Version is a number that grows with every fact that comes into the book, whoever writes it: what was worked out at one number holds as
// long as the number stays.
func (b *Book) Version(ctx context.Context) (n int64, err error) {
	err = b.db.QueryRowContext(ctx, "SELECT seq + (SELECT coalesce(sum(seq), 0) FROM sources) FROM self").Scan(&n)
	if err != nil {
		return 0, b.problem("look whether it changed", err)
	}
	return n, nil
}

// TimedJobs lists the newest finished jobs, the newest first.
func (b *Book) TimedJobs(ctx context.Context, limit int) (list []TimedJob, err error) {
	var j records.Job
	err = eachRow(ctx, b.db, func(rows *sql.Rows) error {
		var p TimedJob
		err := rows.Scan(&p.ID, &p.UID, &p.Stringer, &p.Machine)
		list = append(list, p)
		return err
	}, `SELECT jobs.id, jobs.uid, coalesce(json_extract(body, '$.`+records.Key(&j, &j.Stringer)+`'), ''), coalesce(json_extract(body, '$.`+records.Key(&j, &j.Machine)+`'), '')
		FROM jobs CROSS JOIN records ON records.uid = jobs.uid WHERE jobs.state = 'done' ORDER BY jobs.id DESC LIMIT ?`, limit)
	if err != nil {
		return nil, b.problem("list finished jobs", err)
	}
	return list, nil
}
