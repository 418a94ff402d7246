-- The log in portions. What all benches have that were here of late is packed, in the order in which it arrived and many rows to a
-- portion, and cut from where rows lie one by one: a portion is compressed, and read at once. All portions together are the room as it
-- was at one vector; a bench that is new, or was away for long, takes them first and then what came since. Envelopes stay as they are.
ALTER TABLE pullcard.room ADD COLUMN portion integer NOT NULL DEFAULT 500 CHECK (portion > 0); -- rows
ALTER TABLE pullcard.room ADD COLUMN silent interval NOT NULL DEFAULT '30 days'; -- after which nobody waits for a bench any more

CREATE UNIQUE INDEX envelopes_nth ON pullcard.envelopes (nth);
CREATE TABLE pullcard.packs (
	last    bigint PRIMARY KEY, -- of envelopes' nth: all up to it are packed
	epochs  text[] NOT NULL,
	seqs    bigint[] NOT NULL,
	lengths integer[] NOT NULL, -- bytes of each body, null where it is forgotten
	body    bytea NOT NULL      -- all of them, one after another
);

-- packed says whether a row is in a portion.
CREATE FUNCTION pullcard.packed(epoch text, seq bigint) RETURNS boolean LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
	SELECT v.nth <= (SELECT max(last) FROM pullcard.packs) FROM pullcard.envelopes v WHERE v.epoch = packed.epoch AND v.seq = packed.seq
$$;

ALTER TABLE pullcard.packs ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY look ON pullcard.packs FOR SELECT USING (true);
CREATE POLICY add ON pullcard.packs FOR INSERT WITH CHECK (true); -- of everybody's rows, whoever came when it was time
CREATE POLICY forget ON pullcard.packs FOR UPDATE USING (pullcard.owner() OR pullcard.in_group('desk'));
CREATE POLICY pack ON pullcard.bodies FOR DELETE USING (pullcard.packed(epoch, seq));

-- pack packs what is due, as many portions as are asked for at most, and says how many there were.
CREATE FUNCTION pullcard.pack(most integer) RETURNS integer LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
	limits pullcard.room;
	p pullcard.packs;
	done integer := 0;
BEGIN
	IF NOT pg_try_advisory_xact_lock(x'7061636b'::bigint) THEN
		RETURN 0; -- somebody is at it, or forgets
	END IF;
	BEGIN -- a row that is under way would come into the midst of what is packed
		LOCK TABLE pullcard.envelopes IN SHARE MODE NOWAIT;
	EXCEPTION WHEN lock_not_available THEN
		RETURN 0;
	END;
	SELECT * INTO limits FROM pullcard.room;
	WHILE done < most LOOP
		WITH floor AS MATERIALIZED (
			SELECT e.epoch, min(coalesce((m.has ->> e.epoch)::bigint, 0)) AS seq FROM pullcard.epochs e CROSS JOIN pullcard.members m
				WHERE NOT m.gone AND m.seen > clock_timestamp() - limits.silent GROUP BY e.epoch),
		due AS (
			SELECT v.nth, v.epoch, v.seq, bool_and(v.seq <= f.seq) OVER (ORDER BY v.nth) AS due FROM floor f JOIN
				(SELECT * FROM pullcard.envelopes v WHERE v.nth > coalesce((SELECT max(last) FROM pullcard.packs), 0) ORDER BY v.nth LIMIT limits.portion) v USING (epoch)),
		sized AS (
			SELECT d.*, b.body, sum(octet_length(b.body)) OVER (ORDER BY nth) - octet_length(b.body) AS before FROM due d LEFT JOIN pullcard.bodies b USING (epoch, seq) WHERE due)
		SELECT max(nth), array_agg(epoch ORDER BY nth), array_agg(seq ORDER BY nth), array_agg(octet_length(body) ORDER BY nth),
				coalesce(string_agg(body, '' ORDER BY nth), '') INTO p
			FROM sized WHERE (before IS NULL OR before < 4000000) AND (SELECT count(*) FROM due WHERE due) = limits.portion;
		EXIT WHEN p.last IS NULL;
		INSERT INTO pullcard.packs VALUES (p.*);
		DELETE FROM pullcard.bodies b USING unnest(p.epochs, p.seqs) AS t (epoch, seq) WHERE b.epoch = t.epoch AND b.seq = t.seq;
		done := done + 1;
	END LOOP;
	RETURN done;
END $$;

CREATE OR REPLACE FUNCTION pullcard.acknowledge(me text, have jsonb) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
	PERFORM pullcard.here(me);
	IF jsonb_typeof(have) IS DISTINCT FROM 'object' OR length(have::text) > 1000000 OR EXISTS (SELECT FROM jsonb_each_text(have) WHERE value !~ '^[0-9]{1,18}$') THEN
		RAISE 'that is not how far a bench may have come' USING ERRCODE = 'PC001';
	END IF;
	UPDATE pullcard.members SET has = have WHERE bench = me;
	PERFORM pullcard.pack(4); -- who writes waits meanwhile
END $$;

-- forget takes bodies away; desk and owner may call it. The server's own backups and write-ahead log still have them until they expire.
CREATE OR REPLACE FUNCTION pullcard.forget(epochs text[], seqs bigint[]) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
	r record;
	p pullcard.packs;
	i integer;
	before bigint;
BEGIN
	PERFORM pg_advisory_xact_lock(x'7061636b'::bigint); -- nothing is packed meanwhile
	DELETE FROM pullcard.bodies b USING unnest(epochs, seqs) AS t (epoch, seq) WHERE b.epoch = t.epoch AND b.seq = t.seq;
	FOR r IN SELECT v.epoch, v.seq, v.nth FROM pullcard.envelopes v JOIN unnest(epochs, seqs) AS t (epoch, seq) USING (epoch, seq) LOOP
		SELECT * INTO p FROM pullcard.packs WHERE last >= r.nth ORDER BY last LIMIT 1;
		CONTINUE WHEN NOT FOUND;
		SELECT t.n, t.before INTO i, before FROM (SELECT epoch, seq, n, coalesce(sum(length) OVER (ORDER BY n) - coalesce(length, 0), 0) AS before
			FROM unnest(p.epochs, p.seqs, p.lengths) WITH ORDINALITY AS t (epoch, seq, length, n)) t WHERE t.epoch = r.epoch AND t.seq = r.seq;
		CONTINUE WHEN i IS NULL OR p.lengths[i] IS NULL;
		UPDATE pullcard.packs SET body = substring(body FROM 1 FOR before::integer) || substring(body FROM before::integer + p.lengths[i] + 1),
			lengths = lengths[:i - 1] || NULL::integer || lengths[i + 1:] WHERE last = p.last;
	END LOOP;
END $$;

REVOKE ALL ON pullcard.packs FROM PUBLIC;
REVOKE ALL ON FUNCTION pullcard.packed, pullcard.pack FROM PUBLIC;
-- Whoever may read rows one by one may read them in portions.
DO $$
DECLARE who name;
BEGIN
	FOR who IN SELECT DISTINCT grantee FROM information_schema.role_table_grants WHERE table_schema = 'pullcard' AND table_name = 'bodies' AND privilege_type = 'SELECT' LOOP
		EXECUTE format('GRANT SELECT ON pullcard.packs TO %I', who);
	END LOOP;
END $$;
