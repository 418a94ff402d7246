package room_test

import (
	"context"
	"pullcard/patterns/sweep"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
)

// codeOf is what the server calls an error of a login that does something, empty where it was let.
func (o *onServer) codeOf(t *testing.T, login, what string) string {
	t.Helper()
	ctx := context.Background()
	c, err := pgx.Connect(ctx, o.server.URL(login, o.database))
	require.NoError(t, err)
	defer c.Close(ctx)
	_, err = c.PgConn().Exec(ctx, what).ReadAll()
	var said *pgconn.PgError
	if err != nil {
		require.ErrorAs(t, err, &said, what)
		return said.Code
	}
	return ""
}

// A bench that writes what it likes comes no further than its own log, a board sees nothing but what the wall shows, and only the desk forgets.
func TestHostileBench(t *testing.T) {
	sweep.Only(t)
	ctx, o := context.Background(), newOnServer(t)
	bench, board := o.login("K", "bench"), o.login("wall", "board")
	k := postgres.Join(target(t, o.server.URL(bench, o.database)), "K")
	defer k.Close()
	l := o.As("L")
	b := newBench(t, "L")
	player(t, b, "Ada (invented)", clock(1))
	rows := logOf(t, b)
	require.NoError(t, l.Append(ctx, rows))
	_, err := l.Claim(ctx, "j1", 0)
	require.NoError(t, err)
	own := newBench(t, "K")
	player(t, own, "Bo (invented)", clock(1))
	require.NoError(t, k.Append(ctx, logOf(t, own)))

	const refused, denied = "PC001", "42501"
	for what, want := range map[string]string{
		"UPDATE pullcard.envelopes SET kind = 'x'": denied, "DELETE FROM pullcard.bodies": denied, "TRUNCATE pullcard.claims": denied,
		"INSERT INTO pullcard.epochs (epoch, bench) VALUES ('x', 'K')": denied, "UPDATE pullcard.room SET least = 99": denied,
		"UPDATE pullcard.members SET login = session_user": denied, "UPDATE pullcard.claims SET bench = 'K'": denied,
		"DROP SCHEMA pullcard CASCADE": denied, "CREATE TABLE pullcard.mine (x int)": denied, "CREATE TABLE public.mine (x int)": denied,
		"CREATE OR REPLACE FUNCTION pullcard.owner() RETURNS boolean LANGUAGE sql AS 'SELECT true'": denied,
		"BEGIN; LOCK TABLE pullcard.envelopes IN EXCLUSIVE MODE":                                    denied, "SELECT * FROM pullcard.epochs FOR UPDATE": denied,
		"SELECT pullcard.forget(ARRAY['x'], ARRAY[1::bigint])": denied, "SELECT pullcard.here('K')": denied, "SET ROLE keeper": denied, "SET SESSION AUTHORIZATION keeper": denied,
		"SELECT pullcard.acknowledge('L', '{}')": refused, "SELECT pullcard.claim('L', 'j1', 1)": refused, "SELECT pullcard.leave('L')": refused,
		"SELECT pullcard.show('L', '[]')": refused, "SELECT pullcard.enter('L', 'x', '', 'y')": refused,
		"SELECT pullcard.enter('K', '" + rows[0].Epoch + "', '', 'y')":                                                                                                "PC003",
		"SELECT pullcard.append('L', 1, false, '{}', '{}', '{}', '{}', '{}', '{}', '{}')":                                                                             refused,
		"SELECT pullcard.append('K', 1, true, '{}', '{}', '{}', '{}', '{}', '{}', '{}')":                                                                              refused,
		"SELECT pullcard.append('K', 1, false, ARRAY['K'], ARRAY[NULL], ARRAY[1], ARRAY['void'], ARRAY[sha256('')], ARRAY[sha256('')], ARRAY[NULL::bytea])":           refused,
		"SELECT pullcard.append('K', 1, false, ARRAY['K'], ARRAY['e'], ARRAY[NULL::bigint], ARRAY['void'], ARRAY[sha256('')], ARRAY[sha256('')], ARRAY[NULL::bytea])": refused,
		"SELECT pullcard.append('K', 1, false, ARRAY[NULL], ARRAY['e'], ARRAY[1], ARRAY['void'], ARRAY[sha256('')], ARRAY[sha256('')], ARRAY[NULL::bytea])":           refused,
		"SELECT pullcard.claim('K', 'j1', 1000000)":                                                                                                                   "PC004",
		"SELECT pullcard.claim('K', 'j2', 2147483647)":                                                                                                                refused,
		"SELECT pullcard.claim('K', 'j2', -7)":                                                                                                                        refused,
		"SELECT pullcard.show('K', repeat('x', 300000))":                                                                                                              "23514",
		"CREATE TEMP TABLE members (bench text); SELECT 1":                                                                                                            denied,
		"SELECT pullcard.enter('a bench; DROP TABLE x', 'x', '', 'y')":                                                                                                "23514",
		"NOTIFY pullcard": "", "SELECT * FROM pullcard.claims": "",
	} {
		assert.Equal(t, want, o.codeOf(t, bench, what), what)
	}
	for what, want := range map[string]string{
		"SELECT * FROM pullcard.bodies": denied, "SELECT * FROM pullcard.envelopes": denied, "SELECT * FROM pullcard.members": denied, "SELECT * FROM pullcard.claims": denied,
		"SELECT pullcard.show('W', '[]')": denied, "SELECT pullcard.enter('W', 'x', '', 'y')": denied, "SELECT * FROM pullcard.board": "",
	} {
		assert.Equal(t, want, o.codeOf(t, board, what), what)
	}
	var no *room.RefusedError
	require.ErrorAs(t, k.Forget(ctx, []book.Place{{Epoch: rows[0].Epoch, Seq: 1}}), &no, "only desk and owner forget")
	require.ErrorAs(t, k.Repair(ctx, rows), &no, "only the owner puts back")
	got, err := l.Fetch(ctx, nil, 100)
	require.NoError(t, err)
	require.NotEmpty(t, got)
	assert.Equal(t, rows[0], got[0], "all of that changed nothing of another bench")
	members, err := l.Members(ctx)
	require.NoError(t, err)
	require.Len(t, members, 2)

	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.room SET rate = 3")
	for range 4 {
		player(t, own, "Cy (invented)", clock(2))
	}
	require.ErrorAs(t, k.Append(ctx, logOf(t, own)), &no, "too many rows in a minute")
	assert.Contains(t, no.Error(), "in a minute")
	assert.True(t, no.Later)
	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.room SET rate = 1000, largest = 20")
	require.ErrorAs(t, k.Append(ctx, logOf(t, own)), &no, "too large a row")
	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.room SET largest = 1000000, least = 2")
	require.ErrorAs(t, k.Append(ctx, logOf(t, own)), &no, "an older program")
	assert.Contains(t, no.Error(), "a newer program is needed")
	_, err = k.Fetch(ctx, nil, 1)
	require.NoError(t, err, "it may read")
	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.room SET least = 1")
	require.NoError(t, k.Append(ctx, logOf(t, own)))
}

// Who makes the room waits for somebody who holds its lock, but not for ever.
func TestMakeWaitsNotForEver(t *testing.T) {
	sweep.Only(t)
	o := newOnServer(t)
	ctx := context.Background()
	c, err := pgx.Connect(ctx, o.server.URL(o.login("K", "bench"), o.database))
	require.NoError(t, err)
	defer c.Close(ctx)
	_, err = c.Exec(ctx, "SELECT pg_advisory_lock(x'70756c6c'::bigint)")
	require.NoError(t, err)
	l := room.UsualLimits()
	l.Statement = 200 * time.Millisecond
	at, err := postgres.At(o.server.URL("keeper", o.database), l)
	require.NoError(t, err)
	_, err = postgres.Make(ctx, at)
	require.ErrorContains(t, err, "somebody else has been at it")
}

// scan asks the room's database for something as its owner.
func (o *onServer) scan(what string, into ...any) error {
	ctx := context.Background()
	c, err := pgx.Connect(ctx, o.server.URL("keeper", o.database))
	if err != nil {
		return err
	}
	defer c.Close(ctx)
	return c.QueryRow(ctx, what).Scan(into...)
}
