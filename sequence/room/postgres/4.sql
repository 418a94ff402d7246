-- No bench's login can have the others wait, with a transaction that it leaves open or a lock that anybody may take. Of what all write
-- to, a claim and the wall, whoever comes second waits a moment only; and what keeps others from writing is done for who may forget.
ALTER FUNCTION pullcard.claim SET lock_timeout = '300ms';
ALTER FUNCTION pullcard.show SET lock_timeout = '300ms';

CREATE OR REPLACE FUNCTION pullcard.acknowledge(me text, have jsonb) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
	PERFORM pullcard.here(me);
	IF jsonb_typeof(have) IS DISTINCT FROM 'object' OR length(have::text) > 1000000 OR EXISTS (SELECT FROM jsonb_each_text(have) WHERE value !~ '^[0-9]{1,18}$') THEN
		RAISE 'that is not how far a bench may have come' USING ERRCODE = 'PC001';
	END IF;
	UPDATE pullcard.members SET has = have WHERE bench = me;
	IF pullcard.owner() OR pullcard.in_group('desk') THEN
		PERFORM pullcard.pack(4); -- who writes waits meanwhile
	END IF;
END $$;

-- forget takes bodies away; desk and owner may call it. The server's own backups and write-ahead log still have them until they expire.
CREATE OR REPLACE FUNCTION pullcard.forget(epochs text[], seqs bigint[]) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
	r record;
	p pullcard.packs;
	i integer;
	before bigint;
BEGIN
	LOCK TABLE pullcard.envelopes IN ROW EXCLUSIVE MODE; -- nothing is packed meanwhile, by what pack locks
	LOCK TABLE pullcard.packs IN SHARE ROW EXCLUSIVE MODE; -- nor does anybody else forget
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
