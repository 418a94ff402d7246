package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"pullcard/sequence/book"
)

// fetched is how many bytes of bodies are fetched at once, but for a row that has more.
const fetched = 8 << 20

// oneByOne are the rows after a vector. What each epoch has more, and each body, is looked up by its number whatever the server thinks of
// it, so that it costs as much as comes of it and not as much as there is.
const oneByOne = `SELECT bench, epoch, seq, kind, digest, hash, body, nth <= (SELECT coalesce(max(last), 0) FROM pullcard.packs) FROM (
		SELECT v.*, sum(octet_length(body)) OVER (ORDER BY nth) - octet_length(body) AS before FROM (
			SELECT v.*, (SELECT body FROM pullcard.bodies b WHERE b.epoch = v.epoch AND b.seq = v.seq) AS body FROM (
			SELECT e.bench, v.* FROM pullcard.epochs e LEFT JOIN unnest($1::text[], $2::bigint[]) AS have (epoch, seq) USING (epoch)
				CROSS JOIN LATERAL (SELECT * FROM pullcard.envelopes v WHERE v.epoch = e.epoch AND v.seq > coalesce(have.seq, 0) ORDER BY v.seq LIMIT $3) v
				WHERE e.seq > coalesce(have.seq, 0) ORDER BY nth LIMIT $3) v) v) v
	WHERE before IS NULL OR before < $4 ORDER BY nth`

// inPortions is the first portion of the log in which there is a row after a vector, with its body at its first row.
const inPortions = `WITH next AS (SELECT min((SELECT nth FROM pullcard.envelopes v WHERE v.epoch = e.epoch AND v.seq = coalesce(have.seq, 0) + 1)) AS nth
			FROM pullcard.epochs e LEFT JOIN unnest($1::text[], $2::bigint[]) AS have (epoch, seq) USING (epoch)),
		p AS (SELECT * FROM pullcard.packs WHERE last >= (SELECT nth FROM next) ORDER BY last LIMIT 1)
	SELECT e.bench, v.epoch, v.seq, v.kind, v.digest, v.hash, t.length, CASE WHEN t.n = 1 THEN p.body END
		FROM p CROSS JOIN LATERAL unnest(p.epochs, p.seqs, p.lengths) WITH ORDINALITY AS t (epoch, seq, length, n)
		JOIN pullcard.envelopes v USING (epoch, seq) JOIN pullcard.epochs e USING (epoch) ORDER BY t.n`

// Fetch implements room.Room. As long as a portion of the log has something new it comes from there.
func (r *Room) Fetch(ctx context.Context, after book.Vector, limit int) (list []book.Row, err error) {
	epochs, seqs := make([]string, 0, len(after)), make([]int64, 0, len(after))
	for epoch, seq := range after {
		epochs, seqs = append(epochs, epoch), append(seqs, seq)
	}
	err = r.do(ctx, "fetch rows", func(ctx context.Context, c *pgx.Conn) error {
		for range 3 {
			if !r.through {
				if list, err = portion(ctx, c, after, epochs, seqs, limit); err != nil || len(list) > 0 {
					return err
				}
			}
			list, r.through, err = tail(ctx, c, epochs, seqs, limit)
			if err != nil || r.through {
				return err
			}
			// The book is behind what it said that it has, or something was packed at this moment.
		}
		return errors.New("the room packs its log; it is tried again")
	})
	return list, err
}

// tail are rows after a vector one by one. through says that there was none among them that is packed.
func tail(ctx context.Context, c *pgx.Conn, epochs []string, seqs []int64, limit int) (list []book.Row, through bool, err error) {
	rows, err := c.Query(ctx, oneByOne, epochs, seqs, limit, fetched)
	if err != nil {
		return nil, false, err
	}
	through = true
	list, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (r book.Row, err error) {
		var packed bool
		err = row.Scan(&r.Bench, &r.Epoch, &r.Seq, &r.Kind, &r.Digest, &r.Hash, &r.Body, &packed)
		through = through && !packed
		return r, err
	})
	return list, through, err
}

// portion is what is new of the first portion of the log that has something new.
func portion(ctx context.Context, c *pgx.Conn, after book.Vector, epochs []string, seqs []int64, limit int) (list []book.Row, err error) {
	rows, err := c.Query(ctx, inPortions, epochs, seqs)
	if err != nil {
		return nil, err
	}
	var row book.Row
	var length *int
	var all, body []byte
	_, err = pgx.ForEachRow(rows, []any{&row.Bench, &row.Epoch, &row.Seq, &row.Kind, &row.Digest, &row.Hash, &length, &body}, func() error {
		if body != nil {
			all = body
		}
		r := row
		if length != nil {
			r.Body, all = all[:*length:*length], all[*length:]
		}
		if r.Seq > after[r.Epoch] && len(list) < limit {
			list = append(list, r)
		}
		return nil
	})
	return list, err
}
