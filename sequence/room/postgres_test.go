package room_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
	"pullcard/sequence/room/servertest"
)

func TestMain(m *testing.M) { servertest.Main(m) }

// onServer is a room on a server, where each bench has a login of its own.
type onServer struct {
	t        testing.TB
	server   *servertest.Server
	database string
	seats    map[string]*postgres.Room
	saved    int
	logins   map[string]bool
}

func target(t testing.TB, url string) *postgres.Target {
	t.Helper()
	l := room.UsualLimits()
	at, err := postgres.At(url, l)
	require.NoError(t, err)
	return at
}

// newOnServer makes an empty room.
func newOnServer(t testing.TB) *onServer {
	t.Helper()
	s := servertest.Start(t)
	o := &onServer{t: t, server: s, database: s.Room(t), seats: map[string]*postgres.Room{}, logins: map[string]bool{}}
	_, err := postgres.Make(context.Background(), target(t, s.URL("keeper", o.database)))
	require.NoError(t, err)
	s.Exec(t, "admin", o.database, postgres.Rights(o.database))
	t.Cleanup(o.closeAll)
	return o
}

func (o *onServer) closeAll() {
	for _, r := range o.seats {
		r.Close()
	}
	clear(o.seats)
}

// emptied is the same room with nothing in it: to make one takes longer.
func (o *onServer) emptied() *onServer {
	o.closeAll()
	o.server.Exec(o.t, "admin", o.database, truncate)
	return o
}

const truncate = "TRUNCATE pullcard.members, pullcard.epochs, pullcard.envelopes, pullcard.bodies, pullcard.packs, pullcard.claims, pullcard.board"

// login is who a bench comes as; it is made a member of a group.
func (o *onServer) login(name, group string) string {
	login := o.database + "_" + name
	if o.logins[login] {
		return login
	}
	o.logins[login] = true
	o.server.Exec(o.t, "admin", o.database, fmt.Sprintf(`DO $$ BEGIN
		IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = '%[1]s') THEN CREATE ROLE "%[1]s" LOGIN IN ROLE "%[2]s_%[3]s"; END IF; END $$`, login, o.database, group))
	return login
}

// As is a seat whose login is the desk's, as it forgets too; what a bench may not do is tried by itself.
func (o *onServer) As(bench string) room.Room {
	if o.seats[bench] == nil {
		o.seats[bench] = postgres.Join(target(o.t, o.server.URL(o.login(bench, "desk"), o.database)), bench)
	}
	return repaired{o.seats[bench], postgres.Join(target(o.t, o.server.URL("keeper", o.database)), bench)}
}

// repaired is a seat at which the owner of the room puts back what it lost.
type repaired struct {
	*postgres.Room
	owner *postgres.Room
}

func (r repaired) Repair(ctx context.Context, rows []book.Row) error {
	defer r.owner.Close()
	return r.owner.Repair(ctx, rows)
}

// Save copies the tables as they are at one moment, and gives what puts the copies back.
func (o *onServer) Save() func() {
	o.saved++
	name := fmt.Sprintf("saved%d", o.saved)
	each := func(begin, script string) {
		for _, table := range []string{"members", "epochs", "envelopes", "bodies", "packs", "claims", "board"} {
			begin += "; " + fmt.Sprintf(script, name, table)
		}
		o.server.Exec(o.t, "admin", o.database, begin+"; COMMIT")
	}
	each("BEGIN ISOLATION LEVEL REPEATABLE READ; CREATE SCHEMA "+name, "CREATE TABLE %[1]s.%[2]s AS TABLE pullcard.%[2]s")
	return func() {
		each("BEGIN; "+truncate, "INSERT INTO pullcard.%[2]s OVERRIDING SYSTEM VALUE TABLE %[1]s.%[2]s")
	}
}

func TestServerConforms(t *testing.T) {
	sweep.Only(t)
	o := newOnServer(t)
	conform(t, func(t *testing.T) func(string) room.Room { return o.emptied().As })
}

func TestConvergenceOnServer(t *testing.T) {
	sweep.Only(t)
	o := newOnServer(t)
	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.room SET portion = 5") // so that the log is packed every few rows
	histories(t, sweep.Share(200, 100), 1, func() venue { return o.emptied() })
}
