package book

import (
	"slices"
	"strings"

	"pullcard/sequence/records"
)

// lesson begins the UID of what is the bench's own: a lesson, the invented player and racket of it, and what names those. It is in this
// book like anything else, but gets no number in the log, so that no room hears of it.
const lesson = "lesson-"

// Lesson says whether a record or job is of a lesson by its UID, which is the bench's own.
func Lesson(uid string) bool { return strings.HasPrefix(uid, lesson) }

// newUID makes the UID of a record. What names something of a lesson is of it.
func newUID(k records.Kind, fields records.Fields, own bool) string {
	if own || slices.ContainsFunc(k.References(fields), Lesson) {
		return lesson + salt() + salt()
	}
	return salt() + salt()
}

// lessonScript has the log leave lessons out. Plans stay: another job may share them.
const lessonScript = `DROP TRIGGER jobs_log;
	DROP TRIGGER events_log;
	DROP TRIGGER changes_log;
	DROP TRIGGER claims_log;
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
	END;`
