CREATE TABLE plans (
			id          INTEGER PRIMARY KEY,
			fingerprint TEXT NOT NULL,
			body        BLOB NOT NULL
		, length INTEGER NOT NULL DEFAULT 0, digest BLOB) STRICT;
CREATE INDEX plans_fingerprint ON plans (fingerprint);
CREATE TABLE jobs (
			id        INTEGER PRIMARY KEY,
			player    TEXT NOT NULL,
			racket    TEXT NOT NULL,
			frame     TEXT NOT NULL,
			technique TEXT NOT NULL,
			plan      INTEGER NOT NULL REFERENCES plans (id),
			steps     INTEGER NOT NULL CHECK (steps >= 1),
			step      INTEGER NOT NULL CHECK (step BETWEEN 1 AND steps),
			state     TEXT NOT NULL CHECK (state IN ('open', 'done', 'abandoned')),
			made      TEXT NOT NULL,
			last      TEXT NOT NULL,
			file      TEXT NOT NULL,
			source    BLOB NOT NULL
		, uid TEXT, mains TEXT NOT NULL DEFAULT '', crosses TEXT NOT NULL DEFAULT '', of TEXT NOT NULL DEFAULT '', claim INTEGER NOT NULL DEFAULT 0, held INTEGER NOT NULL DEFAULT 0, salt TEXT NOT NULL DEFAULT '') STRICT;
CREATE INDEX jobs_state ON jobs (state);
CREATE TABLE events (
			job  INTEGER NOT NULL REFERENCES jobs (id),
			seq  INTEGER NOT NULL,
			at   TEXT NOT NULL,
			kind TEXT NOT NULL,
			step INTEGER NOT NULL,
			what TEXT NOT NULL,
			why  TEXT NOT NULL, plan INTEGER REFERENCES plans (id), of INTEGER NOT NULL DEFAULT 0, recorded INTEGER NOT NULL DEFAULT 0, claim INTEGER NOT NULL DEFAULT 0, salt TEXT NOT NULL DEFAULT '',
			PRIMARY KEY (job, seq)
		) STRICT, WITHOUT ROWID;
CREATE TABLE records (
			uid     TEXT NOT NULL UNIQUE,
			kind    TEXT NOT NULL,
			id      INTEGER NOT NULL,
			owner   TEXT NOT NULL,
			at      TEXT NOT NULL,
			words   TEXT NOT NULL,
			body    TEXT NOT NULL,
			state   TEXT NOT NULL CHECK (state IN ('kept', 'left', 'forgotten')),
			waiting INTEGER NOT NULL,
			UNIQUE (kind, id)
		) STRICT;
CREATE INDEX records_owner ON records (owner, kind, at) WHERE owner <> '';
CREATE INDEX records_kind ON records (kind, at);
CREATE INDEX records_waiting ON records (at) WHERE waiting = 1;
CREATE TABLE corrections (
			uid  TEXT NOT NULL REFERENCES records (uid),
			seq  INTEGER NOT NULL,
			at   TEXT NOT NULL,
			why  TEXT NOT NULL,
			body TEXT NOT NULL,
			PRIMARY KEY (uid, seq)
		) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX jobs_uid ON jobs (uid);
CREATE INDEX records_job_racket ON records (json_extract(body, '$.racket')) WHERE kind = 'job' AND json_valid(body);
CREATE INDEX records_job_lot ON records (json_extract(body, '$.lot')) WHERE kind = 'job' AND json_valid(body);
CREATE INDEX records_job_mains ON records (json_extract(body, '$.mains')) WHERE kind = 'job' AND json_valid(body);
CREATE INDEX records_job_machine ON records (json_extract(body, '$.machine')) WHERE kind = 'job' AND json_valid(body);
CREATE INDEX records_job_stringer ON records (json_extract(body, '$.stringer')) WHERE kind = 'job' AND json_valid(body);
CREATE INDEX records_cut_job ON records (json_extract(body, '$.job')) WHERE kind = 'cut' AND json_valid(body);
CREATE TABLE sources (
		id    INTEGER PRIMARY KEY,
		bench TEXT NOT NULL,
		epoch TEXT NOT NULL UNIQUE,
		seq   INTEGER NOT NULL,
		hash  BLOB NOT NULL
	) STRICT;
CREATE TABLE self (
		one    INTEGER PRIMARY KEY CHECK (one = 1),
		source INTEGER NOT NULL REFERENCES sources (id),
		seq    INTEGER NOT NULL,
		clock  TEXT NOT NULL,
		taking INTEGER NOT NULL,
		nonce  TEXT NOT NULL,
		next   TEXT NOT NULL
	) STRICT;
CREATE TABLE log (
		source INTEGER NOT NULL REFERENCES sources (id),
		seq    INTEGER NOT NULL,
		kind   TEXT NOT NULL,
		row    INTEGER NOT NULL,
		part   INTEGER NOT NULL,
		hash   BLOB,
		digest BLOB,
		body   BLOB,
		waits  TEXT,
		PRIMARY KEY (source, seq)
	) STRICT, WITHOUT ROWID;
CREATE TABLE emptied (
		source INTEGER NOT NULL,
		seq    INTEGER NOT NULL,
		PRIMARY KEY (source, seq)
	) STRICT, WITHOUT ROWID;
CREATE INDEX log_waits ON log (source) WHERE waits IS NOT NULL;
CREATE TABLE changes (
		id     INTEGER PRIMARY KEY,
		uid    TEXT NOT NULL,
		kind   TEXT NOT NULL,
		stamp  TEXT NOT NULL,
		over   TEXT NOT NULL,
		at     TEXT NOT NULL,
		why    TEXT NOT NULL,
		fields TEXT NOT NULL,
		salt   TEXT NOT NULL,
		UNIQUE (uid, stamp)
	) STRICT;
CREATE TABLE disputes (
		uid    TEXT PRIMARY KEY,
		fields TEXT NOT NULL
	) STRICT;
CREATE TABLE claims (
		id     INTEGER PRIMARY KEY,
		job    TEXT NOT NULL,
		number INTEGER NOT NULL,
		bench  TEXT NOT NULL,
		at     TEXT NOT NULL,
		after  TEXT NOT NULL,
		UNIQUE (job, number, bench, at, after)
	) STRICT;
CREATE INDEX jobs_of ON jobs (of) WHERE of <> '';
CREATE TRIGGER plans_log AFTER INSERT ON plans WHEN (SELECT taking FROM self) = 0 BEGIN
		UPDATE self SET seq = seq + 1;
		INSERT INTO log (source, seq, kind, row, part) SELECT source, seq, 'plan', NEW.id, 0 FROM self;
	END;
CREATE TRIGGER records_log AFTER INSERT ON records WHEN json_valid(NEW.body) AND NOT EXISTS (SELECT 1 FROM changes WHERE uid = NEW.uid)
			AND NOT EXISTS (SELECT 1 FROM jobs WHERE uid = NEW.uid AND of <> '') BEGIN
		INSERT INTO changes (uid, kind, stamp, over, at, why, fields, salt)
			VALUES (NEW.uid, NEW.kind, NEW.at || ' old', '[]', NEW.at, '', json_set(NEW.body, '$."@at"', NEW.at), lower(hex(randomblob(8))));
	END;
CREATE TABLE seat (
		one INTEGER PRIMARY KEY CHECK (one = 1),
		url TEXT NOT NULL
	) STRICT;
CREATE INDEX records_forgotten ON records (uid) WHERE state = 'forgotten';
CREATE TRIGGER jobs_log AFTER INSERT ON jobs WHEN (SELECT taking FROM self) = 0 AND NEW.of = '' AND coalesce(NEW.uid, '') NOT GLOB 'lesson-*' BEGIN
		UPDATE self SET seq = seq + 1;
		INSERT INTO log (source, seq, kind, row, part) SELECT source, seq, 'job', NEW.id, 0 FROM self;
	END;
CREATE TRIGGER events_log AFTER INSERT ON events WHEN (SELECT taking FROM self) = 0 AND (SELECT uid FROM jobs WHERE id = NEW.job) NOT GLOB 'lesson-*' BEGIN
		UPDATE self SET seq = seq + 1;
		INSERT INTO log (source, seq, kind, row, part) SELECT source, seq, 'event', NEW.job, NEW.seq FROM self;
	END;
CREATE TRIGGER changes_log AFTER INSERT ON changes WHEN (SELECT taking FROM self) = 0 AND NEW.uid NOT GLOB 'lesson-*' BEGIN
		UPDATE self SET seq = seq + 1;
		INSERT INTO log (source, seq, kind, row, part)
			SELECT source, seq, CASE json_extract(NEW.fields, '$."@state"') WHEN 'forgotten' THEN 'forget' ELSE 'record' END, NEW.id, 0 FROM self;
	END;
CREATE TRIGGER claims_log AFTER INSERT ON claims WHEN (SELECT taking FROM self) = 0 AND NEW.job NOT GLOB 'lesson-*' BEGIN
		UPDATE self SET seq = seq + 1;
		INSERT INTO log (source, seq, kind, row, part) SELECT source, seq, 'claim', NEW.id, 0 FROM self;
	END;
CREATE TABLE words (
		n    INTEGER PRIMARY KEY,
		word TEXT NOT NULL UNIQUE
	) STRICT;
CREATE TRIGGER jobs_record AFTER INSERT ON jobs WHEN NEW.uid IS NULL BEGIN
			UPDATE jobs SET uid = lower(hex(randomblob(16))) WHERE id = NEW.id;
			INSERT INTO records (uid, kind, id, owner, at, words, body, state, waiting)
				SELECT uid, 'job', (SELECT coalesce(max(id), 0) + 1 FROM records WHERE kind = 'job'), '', strftime('%Y-%m-%dT%H:%M:%f000000Z', made), '', '{}', 'kept', 0
				FROM jobs WHERE id = NEW.id;
		END;
CREATE INDEX records_words ON records (kind, words) WHERE state = 'kept';
INSERT INTO sources VALUES (1, '', lower(hex(randomblob(8))), 0, X'0000000000000000000000000000000000000000000000000000000000000000');
INSERT INTO self VALUES (1, 1, 0, '', 0, '', '')