-- What a room is on a server. Nothing here changes later: what is new comes in a script of its own, adding; a later version removes.
--
-- Benches read tables and write through functions only. The functions run as the owner of the room, with a search path of their
-- own, and check everything that they are given: whose bench it is, that a row is the next one of its epoch, its chain, its size and
-- how many come in a minute. Row policies say a second time, and of the owner too, that a row's bench is of the login that came.
CREATE SCHEMA pullcard;

CREATE TABLE pullcard.room (
	one     boolean PRIMARY KEY DEFAULT true CHECK (one),
	version integer NOT NULL,
	least   integer NOT NULL, -- the least version of a program that may write
	largest integer NOT NULL, -- bytes of a body
	rate    integer NOT NULL  -- rows that a bench may add in a minute; each 4 KiB of its body is as much as a row more
);
INSERT INTO pullcard.room VALUES (true, 1, 1, 16777216, 300000);

CREATE TABLE pullcard.members (
	bench   text PRIMARY KEY CHECK (bench ~ '^[A-Za-z0-9._-]{1,12}$'),
	login   name NOT NULL,
	seen    timestamptz NOT NULL,
	has     jsonb NOT NULL DEFAULT '{}', -- what it said that it has: epochs, and how many rows of each
	gone    boolean NOT NULL DEFAULT false,
	minute  timestamptz NOT NULL DEFAULT '-infinity', -- since when rows are counted
	counted bigint NOT NULL DEFAULT 0
);
CREATE TABLE pullcard.epochs (
	epoch text PRIMARY KEY CHECK (length(epoch) BETWEEN 1 AND 40),
	bench text NOT NULL,
	word  text NOT NULL DEFAULT '', -- by which the room knows the book's file from a copy
	seq   bigint NOT NULL DEFAULT 0,
	hash  bytea NOT NULL DEFAULT decode(repeat('00', 32), 'hex')
);
CREATE TABLE pullcard.envelopes (
	epoch  text NOT NULL REFERENCES pullcard.epochs,
	seq    bigint NOT NULL,
	nth    bigint GENERATED ALWAYS AS IDENTITY, -- as they arrived; who has what is never reckoned by it
	kind   text NOT NULL CHECK (length(kind) BETWEEN 1 AND 20),
	digest bytea NOT NULL CHECK (length(digest) = 32),
	hash   bytea NOT NULL CHECK (length(hash) = 32),
	PRIMARY KEY (epoch, seq)
);
CREATE TABLE pullcard.bodies (
	epoch text NOT NULL,
	seq   bigint NOT NULL,
	body  bytea NOT NULL,
	PRIMARY KEY (epoch, seq),
	FOREIGN KEY (epoch, seq) REFERENCES pullcard.envelopes
);
CREATE TABLE pullcard.claims (
	job    text PRIMARY KEY CHECK (length(job) BETWEEN 1 AND 100),
	number integer NOT NULL CHECK (number > 0),
	bench  text NOT NULL,
	at     timestamptz NOT NULL
);
-- What the wall shows: names as the shop wants them there, no contact data, as the bench saw it that wrote last.
CREATE TABLE pullcard.board (
	one   boolean PRIMARY KEY DEFAULT true CHECK (one),
	bench text NOT NULL,
	at    timestamptz NOT NULL,
	shows text NOT NULL CHECK (length(shows) < 200000)
);

-- owner says whether the login that came owns the room.
CREATE FUNCTION pullcard.owner() RETURNS boolean LANGUAGE sql STABLE SET search_path = pg_catalog, pg_temp AS $$
	SELECT pg_has_role(session_user, nspowner, 'member') FROM pg_namespace WHERE nspname = 'pullcard'
$$;

-- in_group says whether the login that came is one of the room's desk, bench or board.
CREATE FUNCTION pullcard.in_group(name text) RETURNS boolean LANGUAGE sql STABLE SET search_path = pg_catalog, pg_temp AS $$
	SELECT coalesce((SELECT pg_has_role(session_user, oid, 'member') FROM pg_roles WHERE rolname = current_database() || '_' || name), false)
$$;

-- mine says whether a bench is of the login that came.
CREATE FUNCTION pullcard.mine(bench text) RETURNS boolean LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
	SELECT EXISTS (SELECT FROM pullcard.members m WHERE m.bench = mine.bench AND m.login = session_user)
$$;

CREATE FUNCTION pullcard.of(epoch text) RETURNS text LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
	SELECT e.bench FROM pullcard.epochs e WHERE e.epoch = of.epoch
$$;

DO $$
DECLARE t text; own text;
BEGIN
	FOREACH t IN ARRAY ARRAY['members', 'epochs', 'envelopes', 'bodies', 'claims', 'board'] LOOP
		own := CASE WHEN t IN ('envelopes', 'bodies') THEN 'pullcard.mine(pullcard.of(epoch))'
			WHEN t = 'members' THEN 'login = session_user' ELSE 'pullcard.mine(bench)' END || ' OR pullcard.owner()';
		EXECUTE format('ALTER TABLE pullcard.%I ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY', t);
		EXECUTE format('CREATE POLICY look ON pullcard.%I FOR SELECT USING (true)', t);
		EXECUTE format('CREATE POLICY add ON pullcard.%I FOR INSERT WITH CHECK (%s)', t, own);
		EXECUTE format('CREATE POLICY change ON pullcard.%I FOR UPDATE USING (%s) WITH CHECK (%s)', t,
			CASE WHEN t IN ('claims', 'board') THEN 'true' ELSE own END, own); -- a claim is taken over, the wall written by all
	END LOOP;
END $$;
CREATE POLICY forget ON pullcard.bodies FOR DELETE USING (pullcard.owner() OR pullcard.in_group('desk'));
CREATE POLICY leave ON pullcard.members FOR DELETE USING (pullcard.owner());

-- here is called first by all that a bench does.
CREATE FUNCTION pullcard.here(me text) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
	IF NOT EXISTS (SELECT FROM pullcard.members WHERE bench = me AND login = session_user) THEN
		INSERT INTO pullcard.members (bench, login, seen) VALUES (me, session_user, clock_timestamp()) ON CONFLICT DO NOTHING;
		IF NOT FOUND AND NOT pullcard.owner() THEN
			RAISE 'bench % is of another login; choose another name for this one', me USING ERRCODE = 'PC001';
		END IF;
	END IF;
	UPDATE pullcard.members SET seen = clock_timestamp(), gone = false WHERE bench = me;
END $$;

CREATE FUNCTION pullcard.enter(me text, name text, last text, next text) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE e pullcard.epochs;
BEGIN
	PERFORM pullcard.here(me);
	SELECT * INTO e FROM pullcard.epochs WHERE epoch = name;
	IF NOT FOUND THEN
		INSERT INTO pullcard.epochs (epoch, bench, word) VALUES (name, me, next);
	ELSIF e.bench <> me OR e.word NOT IN ('', last, next) THEN
		RAISE 'copy' USING ERRCODE = 'PC003', DETAIL = e.bench;
	ELSE
		UPDATE pullcard.epochs SET word = next WHERE epoch = name AND word IN ('', last, next);
		IF NOT FOUND THEN -- two at the same moment
			RAISE 'copy' USING ERRCODE = 'PC003', DETAIL = me;
		END IF;
	END IF;
END $$;

CREATE FUNCTION pullcard.append(me text, program integer, repair boolean, benches text[], epochs text[], seqs bigint[], kinds text[],
	digests bytea[], hashes bytea[], bodies bytea[]) RETURNS integer LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
	limits pullcard.room;
	e pullcard.epochs;
	r record;
	known bytea;
	added integer := 0;
	weight bigint := 0;
BEGIN
	PERFORM pullcard.here(me);
	SELECT * INTO limits FROM pullcard.room;
	IF program < limits.least THEN
		RAISE 'a newer program is needed to write here: version % of this room''s rows at least, this one writes version %', limits.least, program USING ERRCODE = 'PC001';
	ELSIF repair AND NOT pullcard.owner() THEN
		RAISE 'only the owner of the room puts rows of others back' USING ERRCODE = 'PC001';
	END IF;
	FOR r IN SELECT * FROM unnest(benches, epochs, seqs, kinds, digests, hashes, bodies) WITH ORDINALITY
			AS t (bench, epoch, seq, kind, digest, hash, body, nth) ORDER BY nth LOOP
		IF r.bench IS NULL OR r.epoch IS NULL OR r.seq IS NULL OR r.hash IS NULL THEN
			RAISE 'a row without bench, epoch, number or hash' USING ERRCODE = 'PC001';
		END IF;
		IF e.epoch IS DISTINCT FROM r.epoch THEN
			UPDATE pullcard.epochs SET seq = e.seq, hash = e.hash WHERE epoch = e.epoch;
			INSERT INTO pullcard.epochs (epoch, bench) VALUES (r.epoch, CASE WHEN repair THEN r.bench ELSE me END) ON CONFLICT DO NOTHING;
			SELECT * INTO e FROM pullcard.epochs WHERE epoch = r.epoch FOR UPDATE;
			IF e.epoch IS NULL OR NOT repair AND e.bench <> me THEN
				RAISE '% is an epoch of bench %', left(r.epoch, 40), coalesce(e.bench, pullcard.of(r.epoch)) USING ERRCODE = 'PC001';
			END IF;
		END IF;
		IF r.seq BETWEEN 1 AND e.seq THEN
			SELECT hash INTO known FROM pullcard.envelopes WHERE epoch = r.epoch AND seq = r.seq;
			IF known IS DISTINCT FROM r.hash THEN
				RAISE 'fork' USING ERRCODE = 'PC002', DETAIL = r.epoch, HINT = r.seq::text;
			END IF;
			CONTINUE;
		ELSIF r.bench <> e.bench THEN
			RAISE 'bench % has a row of bench %', e.bench, left(r.bench, 40) USING ERRCODE = 'PC001';
		ELSIF r.seq <> e.seq + 1 THEN
			RAISE 'row % of % comes after row %', r.seq, e.epoch, e.seq USING ERRCODE = 'PC001';
		ELSIF length(r.body) > limits.largest THEN
			RAISE 'row % of % has % bytes; % are the most', r.seq, e.epoch, length(r.body), limits.largest USING ERRCODE = 'PC001';
		ELSIF r.kind IS NULL OR length(r.kind) NOT BETWEEN 1 AND 20 OR length(r.digest) IS DISTINCT FROM 32 THEN
			RAISE 'row % of % has no kind or digest', r.seq, e.epoch USING ERRCODE = 'PC001';
		ELSIF r.body IS NOT NULL AND sha256(r.body) <> r.digest THEN
			RAISE 'row % of % has not the body that its digest says', r.seq, e.epoch USING ERRCODE = 'PC001';
		ELSIF sha256(e.hash || convert_to(r.epoch, 'UTF8') || '\x00' || convert_to(r.kind, 'UTF8') || '\x00' || int8send(r.seq) || r.digest) IS DISTINCT FROM r.hash THEN
			RAISE 'fork' USING ERRCODE = 'PC002', DETAIL = r.epoch, HINT = r.seq::text;
		END IF;
		INSERT INTO pullcard.envelopes (epoch, seq, kind, digest, hash) VALUES (r.epoch, r.seq, r.kind, r.digest, r.hash);
		IF r.body IS NOT NULL THEN
			INSERT INTO pullcard.bodies VALUES (r.epoch, r.seq, r.body);
		END IF;
		e.seq := r.seq;
		e.hash := r.hash;
		added := added + 1;
		weight := weight + 1 + coalesce(length(r.body), 0) / 4096;
	END LOOP;
	IF added = 0 THEN
		RETURN 0;
	END IF;
	UPDATE pullcard.epochs SET seq = e.seq, hash = e.hash WHERE epoch = e.epoch;
	UPDATE pullcard.members SET counted = CASE WHEN minute > now() - interval '1 minute' THEN counted ELSE 0 END + weight,
		minute = CASE WHEN minute > now() - interval '1 minute' THEN minute ELSE now() END WHERE bench = me RETURNING counted INTO weight;
	IF weight > limits.rate THEN
		RAISE 'bench % wrote more than % rows in a minute; it may go on in the next', me, limits.rate USING ERRCODE = 'PC001';
	END IF;
	PERFORM pg_notify('pullcard', '');
	RETURN added;
END $$;

CREATE FUNCTION pullcard.claim(me text, name text, over integer) RETURNS integer LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE c pullcard.claims;
BEGIN
	PERFORM pullcard.here(me);
	IF over IS NULL OR over NOT BETWEEN 0 AND 1000000 THEN
		RAISE '% is no number of a claim', over USING ERRCODE = 'PC001';
	END IF;
	INSERT INTO pullcard.claims AS held VALUES (name, over + 1, me, clock_timestamp())
		ON CONFLICT (job) DO UPDATE SET number = over + 1, bench = excluded.bench, at = excluded.at
			WHERE over BETWEEN held.number AND held.number + 1000 -- a bench that is alone takes over too, with a number of its own
		RETURNING * INTO c;
	IF FOUND THEN
		PERFORM pg_notify('pullcard', '');
		RETURN c.number;
	END IF;
	SELECT * INTO c FROM pullcard.claims WHERE job = name;
	RAISE 'held' USING ERRCODE = 'PC004', DETAIL = json_build_object('Job', c.job, 'Bench', c.bench, 'Number', c.number, 'At', c.at)::text;
END $$;

CREATE FUNCTION pullcard.acknowledge(me text, have jsonb) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
	PERFORM pullcard.here(me);
	UPDATE pullcard.members SET has = have WHERE bench = me AND length(have::text) < 1000000;
END $$;

CREATE FUNCTION pullcard.leave(me text) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
	PERFORM pullcard.here(me);
	UPDATE pullcard.members SET gone = true WHERE bench = me;
END $$;

-- forget takes bodies away; desk and owner may call it. The server's own backups and write-ahead log still have them until they expire.
CREATE FUNCTION pullcard.forget(epochs text[], seqs bigint[]) RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
	DELETE FROM pullcard.bodies b USING unnest(epochs, seqs) AS t (epoch, seq) WHERE b.epoch = t.epoch AND b.seq = t.seq
$$;

CREATE FUNCTION pullcard.show(me text, list text) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
	PERFORM pullcard.here(me);
	INSERT INTO pullcard.board AS b VALUES (true, me, clock_timestamp(), list)
		ON CONFLICT (one) DO UPDATE SET bench = excluded.bench, at = excluded.at, shows = excluded.shows;
	PERFORM pg_notify('pullcard_board', '');
END $$;

REVOKE ALL ON SCHEMA pullcard FROM PUBLIC;
REVOKE ALL ON ALL TABLES IN SCHEMA pullcard FROM PUBLIC;
REVOKE ALL ON ALL FUNCTIONS IN SCHEMA pullcard FROM PUBLIC;
