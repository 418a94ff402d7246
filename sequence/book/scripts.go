package book

// scripts make the book, each from the one before it. Books in the field have some of them behind them: append, and
// never change or remove one.
func scripts() []string {
	return []string{
		jobsScript, lengthsScript, recordsScript, namesScript, whysScript,
		logScript,
		seatScript,
		`CREATE INDEX records_forgotten ON records (uid) WHERE state = 'forgotten';`,
		lessonScript,
		wordsScript,
		namedScript,
		`CREATE INDEX records_words ON records (kind, words) WHERE state = 'kept';`,
	}
}

// A plan is kept as it was when a job began, since another version of the program may make another one of the
// same frame, technique and tensions. jobs.state and jobs.step follow from the events and are kept beside them
// so that a list needs no events. Times are RFC 3339 with their zone; seq, not the time, gives the order.
const jobsScript = `CREATE TABLE plans (
			id          INTEGER PRIMARY KEY,
			fingerprint TEXT NOT NULL,
			body        BLOB NOT NULL
		) STRICT;
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
		) STRICT;
		CREATE INDEX jobs_state ON jobs (state);
		CREATE TABLE events (
			job  INTEGER NOT NULL REFERENCES jobs (id),
			seq  INTEGER NOT NULL,
			at   TEXT NOT NULL,
			kind TEXT NOT NULL,
			step INTEGER NOT NULL,
			what TEXT NOT NULL,
			why  TEXT NOT NULL,
			PRIMARY KEY (job, seq)
		) STRICT, WITHOUT ROWID;`

// A mishap brings the plan that is followed from then on; jobs.plan stays the first one, jobs.steps are those of the
// plan followed now. plans.length, the number of steps, spares reading whole plans where no more is asked; 0 is not
// known, which a program leaves that knows only the script above and has the book open meanwhile.
const lengthsScript = `ALTER TABLE events ADD COLUMN plan INTEGER REFERENCES plans (id);
		ALTER TABLE plans ADD COLUMN length INTEGER NOT NULL DEFAULT 0;
		UPDATE plans SET length = coalesce((SELECT steps FROM jobs WHERE jobs.plan = plans.id), 0);`

// What the house keeps beside the work. A record's uid is the same in every book; its number counts within its kind
// and this book. Times are UTC and of one length, so that they sort. Every job has a record of the same uid and number,
// which says whose it is; a job that waits has only that. The trigger serves a program that knows only the scripts above.
const recordsScript = `CREATE TABLE records (
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
		ALTER TABLE jobs ADD COLUMN uid TEXT;
		ALTER TABLE jobs ADD COLUMN mains TEXT NOT NULL DEFAULT '';
		ALTER TABLE jobs ADD COLUMN crosses TEXT NOT NULL DEFAULT '';
		UPDATE jobs SET uid = 'old-' || id || '-' || made || '-' || (SELECT fingerprint FROM plans WHERE plans.id = jobs.plan),
			mains = coalesce((SELECT json_extract(CAST(body AS TEXT), '$.terms.tension_mains.ordered') FROM plans WHERE plans.id = jobs.plan), ''),
			crosses = coalesce((SELECT json_extract(CAST(body AS TEXT), '$.terms.tension_crosses.ordered') FROM plans WHERE plans.id = jobs.plan), '');
		CREATE UNIQUE INDEX jobs_uid ON jobs (uid);
		INSERT INTO records SELECT uid, 'job', id, '', strftime('%Y-%m-%dT%H:%M:%f000000Z', made), '', '{}', 'kept', 0 FROM jobs;
		CREATE TRIGGER jobs_record AFTER INSERT ON jobs WHEN NEW.uid IS NULL BEGIN
			UPDATE jobs SET uid = lower(hex(randomblob(16))) WHERE id = NEW.id;
			INSERT INTO records SELECT uid, 'job', (SELECT coalesce(max(id), 0) + 1 FROM records WHERE kind = 'job'), '', strftime('%Y-%m-%dT%H:%M:%f000000Z', made), '', '{}', 'kept', 0
				FROM jobs WHERE id = NEW.id;
		END;`

// Jobs are chosen by what their records name, readings by their jobs, and cuts by the job that they were for. A record that
// is damaged is none of these, so that its book still opens.
const namesScript = `CREATE INDEX records_job_racket ON records (json_extract(body, '$.racket')) WHERE kind = 'job' AND json_valid(body);
		CREATE INDEX records_job_lot ON records (json_extract(body, '$.lot')) WHERE kind = 'job' AND json_valid(body);
		CREATE INDEX records_job_mains ON records (json_extract(body, '$.mains')) WHERE kind = 'job' AND json_valid(body);
		CREATE INDEX records_job_machine ON records (json_extract(body, '$.machine')) WHERE kind = 'job' AND json_valid(body);
		CREATE INDEX records_job_stringer ON records (json_extract(body, '$.stringer')) WHERE kind = 'job' AND json_valid(body);
		CREATE INDEX records_cut_job ON records (json_extract(body, '$.job')) WHERE kind = 'cut' AND json_valid(body);`

// A why names by its number the redo or mishap that it explains, 0 where there is none. events.recorded is 1 where the
// plan that an event brings begins with what has happened, so that the step at hand is done; it spares reading the plan.
const whysScript = `ALTER TABLE events ADD COLUMN of INTEGER NOT NULL DEFAULT 0;
		ALTER TABLE events ADD COLUMN recorded INTEGER NOT NULL DEFAULT 0;
		UPDATE events SET recorded = coalesce((SELECT json_extract(CAST(body AS TEXT), '$.steps[' || (events.step - 1) || '].record')
			FROM plans WHERE plans.id = events.plan), 0) WHERE plan IS NOT NULL;`

// The trigger for older programs names the columns that it fills, so that others may come.
const namedScript = `DROP TRIGGER jobs_record;
		CREATE TRIGGER jobs_record AFTER INSERT ON jobs WHEN NEW.uid IS NULL BEGIN
			UPDATE jobs SET uid = lower(hex(randomblob(16))) WHERE id = NEW.id;
			INSERT INTO records (uid, kind, id, owner, at, words, body, state, waiting)
				SELECT uid, 'job', (SELECT coalesce(max(id), 0) + 1 FROM records WHERE kind = 'job'), '', strftime('%Y-%m-%dT%H:%M:%f000000Z', made), '', '{}', 'kept', 0
				FROM jobs WHERE id = NEW.id;
		END;`
