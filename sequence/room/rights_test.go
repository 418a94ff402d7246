package room_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
)

// Whatever is in a room, also what a later script adds: every function looks for names where it was told to, nothing is PUBLIC's, and
// every table but the room's own settings has policies that hold for its owner too.
func TestRightsOfEverything(t *testing.T) {
	sweep.Only(t)
	o := newOnServer(t)
	for what, query := range map[string]string{
		"functions": "SELECT count(*) FROM pg_proc WHERE pronamespace = 'pullcard'::regnamespace",
		"tables":    "SELECT count(*) FROM pg_class WHERE relnamespace = 'pullcard'::regnamespace AND relkind = 'r'",
	} {
		var n int
		require.NoError(t, o.scan(query, &n))
		assert.Greater(t, n, 5, what)
	}
	for what, query := range map[string]string{
		"a function without a search path of its own": "SELECT proname::text FROM pg_proc WHERE pronamespace = 'pullcard'::regnamespace AND NOT coalesce(proconfig, '{}') @> '{\"search_path=pg_catalog, pg_temp\"}'",
		"a function of PUBLIC":                        "SELECT proname::text FROM pg_proc WHERE pronamespace = 'pullcard'::regnamespace AND (proacl IS NULL OR EXISTS (SELECT FROM aclexplode(proacl) WHERE grantee = 0))",
		"a table of PUBLIC":                           "SELECT relname::text FROM pg_class, aclexplode(relacl) WHERE relnamespace = 'pullcard'::regnamespace AND grantee = 0",
		"the schema of PUBLIC":                        "SELECT nspname::text FROM pg_namespace, aclexplode(nspacl) WHERE nspname = 'pullcard' AND grantee = 0",
		"a table without policies":                    "SELECT relname::text FROM pg_class WHERE relnamespace = 'pullcard'::regnamespace AND relkind = 'r' AND relname <> 'room' AND NOT (relrowsecurity AND relforcerowsecurity)",
		"a table that a login writes past functions":  "SELECT relname::text FROM pg_class, aclexplode(relacl) WHERE relnamespace = 'pullcard'::regnamespace AND relkind = 'r' AND grantee <> relowner AND privilege_type <> 'SELECT'",
	} {
		var name string
		require.ErrorIs(t, o.scan(query, &name), pgx.ErrNoRows, "%s: %s", what, &name)
	}
}

// The policies hold by themselves: should a function of the room's owner ever write what it is given, what it writes is of the login that
// called it all the same, whoever it runs as.
func TestPoliciesAlone(t *testing.T) {
	sweep.Only(t)
	o, ctx := newOnServer(t), context.Background()
	bench := o.login("K", "bench")
	rows := logOf(t, func() *book.Book { b := newBench(t, "L"); player(t, b, "Ada (invented)", clock(1)); return b }())
	require.NoError(t, o.As("L").Append(ctx, rows))
	k := newBench(t, "K")
	player(t, k, "Bo (invented)", clock(1))
	at := postgres.Join(target(t, o.server.URL(bench, o.database)), "K")
	defer at.Close()
	require.NoError(t, at.Append(ctx, logOf(t, k)))
	_, err := o.As("L").Claim(ctx, "j1", 0)
	require.NoError(t, err)
	o.server.Exec(t, "keeper", o.database, `CREATE FUNCTION pullcard.careless(what text) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
		DECLARE n integer; BEGIN EXECUTE what; GET DIAGNOSTICS n = ROW_COUNT; IF n = 0 THEN RAISE 'nothing' USING ERRCODE = '42501'; END IF; END $$; GRANT EXECUTE ON FUNCTION pullcard.careless TO PUBLIC`)
	own := logOf(t, k)[0].Epoch
	insert := func(epoch string) string {
		return "INSERT INTO pullcard.envelopes (epoch, seq, kind, digest, hash) VALUES (''" + epoch + "'', 2, ''void'', decode(repeat(''00'', 32), ''hex''), decode(repeat(''00'', 32), ''hex''))"
	}
	for what, want := range map[string]string{
		insert(rows[0].Epoch): "42501", insert(own): "",
		"UPDATE pullcard.epochs SET seq = 99 WHERE bench = ''L''":                         "42501",
		"UPDATE pullcard.members SET seen = now() WHERE bench = ''L''":                    "42501",
		"UPDATE pullcard.members SET seen = now() WHERE bench = ''K''":                    "",
		"UPDATE pullcard.claims SET number = 7, bench = ''L''":                            "42501",
		"UPDATE pullcard.claims SET number = 7, bench = ''K''":                            "",
		"DELETE FROM pullcard.bodies":                                                     "42501",
		"DELETE FROM pullcard.members":                                                    "42501",
		"INSERT INTO pullcard.board VALUES (true, ''L'', now(), ''[]'')":                  "42501",
		"INSERT INTO pullcard.epochs (epoch, bench) VALUES (''new'', ''L'')":              "42501",
		"UPDATE pullcard.bodies SET body = ''x'' WHERE epoch = ''" + rows[0].Epoch + "''": "42501",
	} {
		assert.Equal(t, want, o.codeOf(t, bench, "SELECT pullcard.careless('"+what+"')"), what)
	}
}

// A bench that leaves a transaction open, or keeps what lock it may take, has nobody wait: others write, claim, forget and read meanwhile.
func TestHostileLocks(t *testing.T) {
	sweep.Only(t)
	o, ctx := newOnServer(t), context.Background()
	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.room SET portion = 1")
	bench := o.login("K", "bench")
	b, own := newBench(t, "L"), newBench(t, "K")
	player(t, own, "Bo (invented)", clock(1))
	at := postgres.Join(target(t, o.server.URL(bench, o.database)), "K")
	defer at.Close()
	_, err := (&room.Syncer{Book: own, Room: at, Now: time.Now}).Round(ctx)
	require.NoError(t, err)
	desk := o.login("L", "desk")
	for n, what := range []string{
		"SELECT pullcard.acknowledge('K', '{}')", "SELECT pullcard.show('K', '[]')", "SELECT pullcard.claim('K', 'j2', 0)", "SELECT pullcard.enter('K', 'new', '', 'x')",
		"SELECT pg_advisory_lock(n) FROM (VALUES (x'7061636b'::bigint), (x'70756c6c'::bigint)) v (n)",
		"LOCK TABLE pullcard.envelopes, pullcard.bodies, pullcard.packs, pullcard.board, pullcard.claims, pullcard.members, pullcard.epochs IN ACCESS SHARE MODE",
	} {
		c, err := pgx.Connect(ctx, o.server.URL(bench, o.database))
		require.NoError(t, err)
		_, err = c.PgConn().Exec(ctx, "SET lock_timeout = 0; SET idle_in_transaction_session_timeout = 0; BEGIN; "+what).ReadAll()
		require.NoError(t, err, what)

		l := postgres.Join(target(t, o.server.URL(desk, o.database)), "L")
		p := player(t, b, "Ada (invented)", clock(2))
		s := &room.Syncer{Book: b, Room: l, Now: time.Now}
		_, err = s.Round(ctx)
		require.NoError(t, err, what)
		_, err = b.Forget(ctx, p.UID)
		require.NoError(t, err)
		_, err = s.Round(ctx)
		require.NoError(t, err, what)
		left, err := b.Emptied(ctx)
		require.NoError(t, err)
		require.Empty(t, left, "the room was told: %s", what)
		_, err = l.Claim(ctx, fmt.Sprint("another ", n), 0)
		require.NoError(t, err, what)
		refused := (*room.RefusedError)(nil)
		if _, err = l.Claim(ctx, fmt.Sprint("j", n), 0); err != nil {
			require.ErrorAs(t, err, &refused, what)
			require.True(t, refused.Later, "it is asked for again: %s", what)
		}
		if err = l.Show(ctx, "[]"); err != nil {
			require.ErrorAs(t, err, &refused, what)
			require.True(t, refused.Later, "it is written again: %s", what)
		}
		l.Close()
		require.NoError(t, c.Close(ctx))
	}
}
