-- Many rows at once. They are checked one by one as ever, and written together; whose they are the policies ask once for all of them.
CREATE FUNCTION pullcard.own() RETURNS SETOF text LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
	SELECT epoch FROM pullcard.epochs JOIN pullcard.members USING (bench) WHERE login = session_user
$$;
REVOKE ALL ON FUNCTION pullcard.own FROM PUBLIC;
ALTER POLICY add ON pullcard.envelopes WITH CHECK (epoch IN (SELECT pullcard.own()) OR (SELECT pullcard.owner()));
ALTER POLICY add ON pullcard.bodies WITH CHECK (epoch IN (SELECT pullcard.own()) OR (SELECT pullcard.owner()));
UPDATE pullcard.room SET rate = 600000 WHERE rate = 300000; -- an old book that joins gives some thousand a second

CREATE OR REPLACE FUNCTION pullcard.append(me text, program integer, repair boolean, benches text[], epochs text[], seqs bigint[], kinds text[],
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
		e.seq := r.seq;
		e.hash := r.hash;
		added := added + 1;
		weight := weight + 1 + coalesce(length(r.body), 0) / 4096;
	END LOOP;
	IF added = 0 THEN
		RETURN 0;
	END IF;
	WITH sent AS (SELECT * FROM unnest(epochs, seqs, kinds, digests, hashes, bodies) WITH ORDINALITY AS t (epoch, seq, kind, digest, hash, body, nth)),
	fresh AS (
		INSERT INTO pullcard.envelopes (epoch, seq, kind, digest, hash) SELECT epoch, seq, kind, digest, hash FROM sent ORDER BY nth
			ON CONFLICT DO NOTHING RETURNING epoch, seq) -- those that are there are the same, and their bodies may be forgotten
	INSERT INTO pullcard.bodies SELECT epoch, seq, body FROM sent JOIN fresh USING (epoch, seq) WHERE body IS NOT NULL;
	UPDATE pullcard.epochs SET seq = e.seq, hash = e.hash WHERE epoch = e.epoch;
	UPDATE pullcard.members SET counted = CASE WHEN minute > now() - interval '1 minute' THEN counted ELSE 0 END + weight,
		minute = CASE WHEN minute > now() - interval '1 minute' THEN minute ELSE now() END WHERE bench = me RETURNING counted INTO weight;
	IF weight > limits.rate THEN
		RAISE 'bench % wrote more than % rows in a minute; it may go on in the next', me, limits.rate USING ERRCODE = 'PC005';
	END IF;
	PERFORM pg_notify('pullcard', '');
	RETURN added;
END $$;

-- A bench that hears by which word it is known can tell a room that was put back from an older copy from a copied file.
CREATE OR REPLACE FUNCTION pullcard.enter(me text, name text, last text, next text) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE e pullcard.epochs;
BEGIN
	PERFORM pullcard.here(me);
	SELECT * INTO e FROM pullcard.epochs WHERE epoch = name;
	IF NOT FOUND THEN
		INSERT INTO pullcard.epochs (epoch, bench, word) VALUES (name, me, next);
	ELSIF e.bench <> me OR e.word NOT IN ('', last, next) THEN
		RAISE 'copy' USING ERRCODE = 'PC003', DETAIL = e.bench, HINT = CASE WHEN e.bench = me THEN e.word ELSE '' END;
	ELSE
		UPDATE pullcard.epochs SET word = next WHERE epoch = name AND word IN ('', last, next);
		IF NOT FOUND THEN -- two at the same moment
			RAISE 'copy' USING ERRCODE = 'PC003', DETAIL = me;
		END IF;
	END IF;
END $$;
