package postgres

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// schemas are the scripts that bring a room from one version to the next, named by the version that they make.
//
//go:embed *.sql
var schemas embed.FS

// schema is the version of a room's tables that this program knows.
const schema = 5

// turn is the number of the lock under which a room is made or updated, one at a time.
const turn = 0x70756c6c

// Make makes the room, or brings it up to date. It may be repeated. before is the version that was there, 0 for none.
func Make(ctx context.Context, t *Target) (before int, err error) {
	c, err := t.connect(ctx)
	if err != nil {
		return 0, fmt.Errorf("reach %s: %w", t, err)
	}
	defer c.Close(ctx)
	// Nobody is to wait for ever for somebody who holds the lock: lock_timeout ends it.
	if _, err := c.Exec(ctx, "SELECT pg_advisory_lock($1)", turn); err != nil {
		if code(err) == "55P03" {
			return 0, fmt.Errorf("make the room in %s: somebody else has been at it for %s; look who with SELECT * FROM pg_locks WHERE locktype = 'advisory', and try again", t, t.limits.Statement/2)
		}
		return 0, fmt.Errorf("make the room in %s: %w", t, err)
	}
	if before, err = version(ctx, c); err != nil {
		return before, err
	}
	for v := before + 1; v <= schema; v++ {
		if err := step(ctx, c, v); err != nil {
			return before, fmt.Errorf("make the room in %s, version %d: %w", t, v, err)
		}
	}
	return before, nil
}

func step(ctx context.Context, c *pgx.Conn, v int) error {
	script, err := fs.ReadFile(schemas, fmt.Sprintf("%d.sql", v))
	if err != nil {
		return err
	}
	return pgx.BeginFunc(ctx, c, func(tx pgx.Tx) error {
		if _, err := tx.Conn().PgConn().Exec(ctx, string(script)).ReadAll(); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, "UPDATE pullcard.room SET version = $1", v)
		return err
	})
}

// version is the version of the room, 0 where there is none. A greater one than this program's only adds to what there was: an older
// program goes on until the room asks for a newer one of whoever writes.
func version(ctx context.Context, c *pgx.Conn) (v int, err error) {
	err = c.QueryRow(ctx, "SELECT version FROM pullcard.room").Scan(&v)
	switch code(err) {
	case "3F000", "42P01": // no such schema or table
		return 0, nil
	case "42501":
		return 0, errors.New("this login may not see the room; the owner lets it in with what pullcard room rights prints")
	}
	return v, err
}

// code is what the server calls an error, empty where it said none.
func code(err error) string {
	var said *pgconn.PgError
	if errors.As(err, &said) {
		return said.Code
	}
	return ""
}
