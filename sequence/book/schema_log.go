package book

import (
	"context"
	"database/sql"
	"encoding/json"
)

// logVersion is the version of a book that first has a log.
const logVersion = 6

// logScript gives a book its log; log.go says how it works.
//
// sources are the epochs of which the book has rows: how far, and the hash at which the chain of each has arrived. Of the own
// one that is how far it is sealed. self is one row: which source is this book's own, the last number given, the latest
// stamp, whether what is written now comes from elsewhere and gets no number, and the word by which a room knows this file
// from a copy of it, with the one that comes next. A row of the log names what it stands for
// by kind, row and part; body is only filled where those would not say the same byte for byte, digest only where the body
// is gone for good, waits where the row is kept and not taken in yet. emptied are the rows of which the room is still to be told
// that their bodies are gone.
//
// Numbers are given by triggers, in the very transaction of the change, whoever writes: no way to the tables goes past them,
// not even that of an older program which has the book open.
//
// changes is all that was ever said of a record, of which records keeps the outcome, and disputes the fields of which a person has to
// decide what they are; corrections, which older books have, is
// empty from now on. jobs.of names the job of which a row is another attempt; claim is the number of this book's own claim on
// the job, held the highest that it knows of.
const logScript = `CREATE TABLE sources (
		id    INTEGER PRIMARY KEY,
		bench TEXT NOT NULL,
		epoch TEXT NOT NULL UNIQUE,
		seq   INTEGER NOT NULL,
		hash  BLOB NOT NULL
	) STRICT;
	INSERT INTO sources VALUES (1, '', lower(hex(randomblob(8))), 0, zeroblob(32));
	CREATE TABLE self (
		one    INTEGER PRIMARY KEY CHECK (one = 1),
		source INTEGER NOT NULL REFERENCES sources (id),
		seq    INTEGER NOT NULL,
		clock  TEXT NOT NULL,
		taking INTEGER NOT NULL,
		nonce  TEXT NOT NULL,
		next   TEXT NOT NULL
	) STRICT;
	INSERT INTO self VALUES (1, 1, 0, '', 0, '', '');
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
	ALTER TABLE plans ADD COLUMN digest BLOB;
	ALTER TABLE jobs ADD COLUMN of TEXT NOT NULL DEFAULT '';
	ALTER TABLE jobs ADD COLUMN claim INTEGER NOT NULL DEFAULT 0;
	ALTER TABLE jobs ADD COLUMN held INTEGER NOT NULL DEFAULT 0;
	ALTER TABLE jobs ADD COLUMN salt TEXT NOT NULL DEFAULT '';
	CREATE INDEX jobs_of ON jobs (of) WHERE of <> '';
	ALTER TABLE events ADD COLUMN claim INTEGER NOT NULL DEFAULT 0;
	ALTER TABLE events ADD COLUMN salt TEXT NOT NULL DEFAULT '';
	CREATE TRIGGER plans_log AFTER INSERT ON plans WHEN (SELECT taking FROM self) = 0 BEGIN
		UPDATE self SET seq = seq + 1;
		INSERT INTO log (source, seq, kind, row, part) SELECT source, seq, 'plan', NEW.id, 0 FROM self;
	END;
	CREATE TRIGGER jobs_log AFTER INSERT ON jobs WHEN (SELECT taking FROM self) = 0 AND NEW.of = '' BEGIN
		UPDATE self SET seq = seq + 1;
		INSERT INTO log (source, seq, kind, row, part) SELECT source, seq, 'job', NEW.id, 0 FROM self;
	END;
	CREATE TRIGGER events_log AFTER INSERT ON events WHEN (SELECT taking FROM self) = 0 BEGIN
		UPDATE self SET seq = seq + 1;
		INSERT INTO log (source, seq, kind, row, part) SELECT source, seq, 'event', NEW.job, NEW.seq FROM self;
	END;
	CREATE TRIGGER changes_log AFTER INSERT ON changes WHEN (SELECT taking FROM self) = 0 BEGIN
		UPDATE self SET seq = seq + 1;
		INSERT INTO log (source, seq, kind, row, part)
			SELECT source, seq, CASE json_extract(NEW.fields, '$."@state"') WHEN 'forgotten' THEN 'forget' ELSE 'record' END, NEW.id, 0 FROM self;
	END;
	CREATE TRIGGER claims_log AFTER INSERT ON claims WHEN (SELECT taking FROM self) = 0 BEGIN
		UPDATE self SET seq = seq + 1;
		INSERT INTO log (source, seq, kind, row, part) SELECT source, seq, 'claim', NEW.id, 0 FROM self;
	END;
	CREATE TRIGGER records_log AFTER INSERT ON records WHEN json_valid(NEW.body) AND NOT EXISTS (SELECT 1 FROM changes WHERE uid = NEW.uid)
			AND NOT EXISTS (SELECT 1 FROM jobs WHERE uid = NEW.uid AND of <> '') BEGIN
		INSERT INTO changes (uid, kind, stamp, over, at, why, fields, salt)
			VALUES (NEW.uid, NEW.kind, NEW.at || ' old', '[]', NEW.at, '', json_set(NEW.body, '$."@at"', NEW.at), lower(hex(randomblob(8))));
	END;`

// fillLog makes rows of the log of what an older book holds: what its records said when, then plans, jobs and events.
func fillLog(ctx context.Context, tx *sql.Tx) error {
	for _, kind := range namedFirst() {
		if err := fillChanges(ctx, tx, kind); err != nil {
			return err
		}
	}
	_, err := tx.ExecContext(ctx, `DELETE FROM corrections;
		UPDATE jobs SET salt = lower(hex(randomblob(8)));
		UPDATE events SET salt = lower(hex(randomblob(8))) WHERE why <> '';
		INSERT INTO log (source, seq, kind, row, part) SELECT source, self.seq + row_number() OVER (ORDER BY what, row, part), kind, row, part
			FROM self, (SELECT 1 AS what, 'plan' AS kind, id AS row, 0 AS part FROM plans UNION ALL SELECT 2, 'job', id, 0 FROM jobs
				UNION ALL SELECT 3, 'event', job, seq FROM events);
		UPDATE self SET seq = (SELECT coalesce(max(seq), 0) FROM log)`)
	return err
}

func fillChanges(ctx context.Context, tx *sql.Tx, kind any) error {
	type old struct {
		Record
		before []Correction
	}
	list, err := allRows(ctx, tx, func(rows *sql.Rows) (o old, err error) {
		var said string
		if o.Record, err = scanRecord(rows, &said); err != nil {
			return o, err
		}
		var parts [][3]string
		err = json.Unmarshal([]byte(said), &parts)
		for _, p := range parts {
			c := Correction{Why: p[1]}
			if c.At.UnmarshalText([]byte(p[0])) == nil && json.Unmarshal([]byte(p[2]), &c.Before) == nil {
				o.before = append(o.before, c)
			}
		}
		return o, err
	}, `SELECT uid, kind, id, at, state, body, coalesce((SELECT json_group_array(json_array(at, why, body)) FROM
		(SELECT at, why, body FROM corrections WHERE corrections.uid = records.uid ORDER BY seq)), '[]')
		FROM records WHERE kind = ? AND json_valid(body) ORDER BY id`, kind)
	if err != nil {
		return err
	}
	for _, o := range list {
		for _, c := range oldChanges(o.Record, o.before) {
			if _, err := c.insert(ctx, tx); err != nil {
				return err
			}
		}
	}
	return nil
}
