package postgres

import (
	"strings"

	"github.com/jackc/pgx/v5"
)

// rights is what Rights prints, for a database by name.
const rights = `-- Keeps the benches of the room apart. Whoever may make logins on the server runs it once, in the database of the room:
--   psql --dbname=DATABASE --file=THIS
-- It makes three groups; each bench then gets a login of its own that is in one of them. It may be run again.
DO $$
DECLARE name text;
BEGIN
	FOREACH name IN ARRAY ARRAY[DESK, BENCH, BOARD] LOOP
		IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = name) THEN
			EXECUTE format('CREATE ROLE %I NOLOGIN', name);
		END IF;
	END LOOP;
END $$;
REVOKE ALL ON DATABASE "DATABASE" FROM PUBLIC;
REVOKE ALL ON SCHEMA public FROM PUBLIC;
GRANT CONNECT ON DATABASE "DATABASE" TO "DESK", "BENCH", "BOARD";
GRANT USAGE ON SCHEMA pullcard TO "DESK", "BENCH", "BOARD";
GRANT SELECT ON pullcard.room, pullcard.members, pullcard.epochs, pullcard.envelopes, pullcard.bodies, pullcard.packs, pullcard.claims, pullcard.board TO "DESK", "BENCH";
GRANT EXECUTE ON FUNCTION pullcard.enter, pullcard.append, pullcard.claim, pullcard.acknowledge, pullcard.leave, pullcard.show TO "DESK", "BENCH";
GRANT EXECUTE ON FUNCTION pullcard.forget TO "DESK";
-- The wall sees what it shows and nothing else.
GRANT SELECT ON pullcard.room, pullcard.board TO "BOARD";

-- A login for each, with a password that \password asks for and that goes into the bench's ~/.pgpass:
--   CREATE ROLE bench_k LOGIN IN ROLE "BENCH"; \password bench_k
--   CREATE ROLE desk_d LOGIN IN ROLE "DESK"; \password desk_d
--   CREATE ROLE wall LOGIN IN ROLE "BOARD"; \password wall
`

// Rights is a script for psql that lets benches, desk and board into a room and keeps them apart. It is run by whoever may make
// logins on the server, never by this program.
func Rights(database string) string {
	script := rights
	for _, group := range []string{"desk", "bench", "board"} {
		name, word := database+"_"+group, strings.ToUpper(group)
		script = strings.ReplaceAll(script, `"`+word+`"`, pgx.Identifier{name}.Sanitize())
		for _, end := range []string{",", "]"} {
			script = strings.ReplaceAll(script, word+end, "'"+strings.ReplaceAll(name, "'", "''")+"'"+end)
		}
	}
	return strings.ReplaceAll(script, `"DATABASE"`, pgx.Identifier{database}.Sanitize())
}

// Database is the name of the room's database.
func (t *Target) Database() string { return t.config.Database }

// Login is who comes to the room.
func (t *Target) Login() string { return t.config.User }
