-- A book of version 1 as the program of that version wrote it, its content invented.
CREATE TABLE plans (
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
		) STRICT, WITHOUT ROWID;
INSERT INTO plans VALUES (1, 'f002', CAST('{"version":1,"plan":"f002","frame":"Invented sixteen","technique":"Two pieces","totals":{"pulls":2,"knots":0,"max_lead":0},"warnings":[],"terms":{"sport":"","holes_left":0,"holes_right":0,"mains":null,"crosses":null,"shared":null,"tie_mains":null,"tie_crosses":null,"pieces":0,"around":false,"short":"","fixed":0,"flying":0,"starting":0,"first":"","lead":0,"boost_mains":0,"from":"","side":"","start":"","ahead":false,"tension_mains":{"ordered":"","boosted":"","newtons":0,"boosted_newtons":0,"boost_percent":0},"tension_crosses":{"ordered":"","boosted":"","newtons":0,"boosted_newtons":0,"boost_percent":0},"supports":null,"release":null,"tail_mm":0},"steps":[{"n":1,"phase":"crosses","title":"Weave and pull C1","ops":[{"op":"weave","strand":"C1","from":"7HL","to":"7HR","after":null,"piece":"crosses","blocked":[],"covers":[],"first":"over","meets":16},{"op":"pull","strand":"C1","hole":"7HR","newtons":225.5,"tension":"23 kg","boost_percent":0,"repull":false},{"op":"clamp","clamp":"A","strand":"C1","hole":"7HR","outside":false},{"op":"release"},{"op":"unclamp","clamp":"B"},{"op":"straighten","strand":"C1"}],"clamps":{"A":{"strand":"C1","hole":"7HR"},"B":null,"S":null}},{"n":2,"phase":"crosses","title":"Weave and pull C2","ops":[{"op":"weave","strand":"C2","from":"7HL","to":"7HR","after":null,"piece":"crosses","blocked":[],"covers":[],"first":"over","meets":16},{"op":"pull","strand":"C2","hole":"7HR","newtons":225.5,"tension":"23 kg","boost_percent":0,"repull":false},{"op":"clamp","clamp":"A","strand":"C2","hole":"7HR","outside":false},{"op":"release"},{"op":"unclamp","clamp":"B"},{"op":"straighten","strand":"C2"}],"clamps":{"A":{"strand":"C2","hole":"7HR"},"B":null,"S":null}}]}' AS BLOB));
INSERT INTO plans VALUES (2, 'f003', CAST('{"version":1,"plan":"f003","frame":"Invented sixteen","technique":"Two pieces","totals":{"pulls":3,"knots":0,"max_lead":0},"warnings":[],"terms":{"sport":"","holes_left":0,"holes_right":0,"mains":null,"crosses":null,"shared":null,"tie_mains":null,"tie_crosses":null,"pieces":0,"around":false,"short":"","fixed":0,"flying":0,"starting":0,"first":"","lead":0,"boost_mains":0,"from":"","side":"","start":"","ahead":false,"tension_mains":{"ordered":"","boosted":"","newtons":0,"boosted_newtons":0,"boost_percent":0},"tension_crosses":{"ordered":"","boosted":"","newtons":0,"boosted_newtons":0,"boost_percent":0},"supports":null,"release":null,"tail_mm":0},"steps":[{"n":1,"phase":"crosses","title":"Weave and pull C1","ops":[{"op":"weave","strand":"C1","from":"7HL","to":"7HR","after":null,"piece":"crosses","blocked":[],"covers":[],"first":"over","meets":16},{"op":"pull","strand":"C1","hole":"7HR","newtons":225.5,"tension":"23 kg","boost_percent":0,"repull":false},{"op":"clamp","clamp":"A","strand":"C1","hole":"7HR","outside":false},{"op":"release"},{"op":"unclamp","clamp":"B"},{"op":"straighten","strand":"C1"}],"clamps":{"A":{"strand":"C1","hole":"7HR"},"B":null,"S":null}},{"n":2,"phase":"crosses","title":"Weave and pull C2","ops":[{"op":"weave","strand":"C2","from":"7HL","to":"7HR","after":null,"piece":"crosses","blocked":[],"covers":[],"first":"over","meets":16},{"op":"pull","strand":"C2","hole":"7HR","newtons":225.5,"tension":"23 kg","boost_percent":0,"repull":false},{"op":"clamp","clamp":"A","strand":"C2","hole":"7HR","outside":false},{"op":"release"},{"op":"unclamp","clamp":"B"},{"op":"straighten","strand":"C2"}],"clamps":{"A":{"strand":"C2","hole":"7HR"},"B":null,"S":null}},{"n":3,"phase":"crosses","title":"Weave and pull C3","ops":[{"op":"weave","strand":"C3","from":"7HL","to":"7HR","after":null,"piece":"crosses","blocked":[],"covers":[],"first":"over","meets":16},{"op":"pull","strand":"C3","hole":"7HR","newtons":225.5,"tension":"23 kg","boost_percent":0,"repull":false},{"op":"clamp","clamp":"A","strand":"C3","hole":"7HR","outside":false},{"op":"release"},{"op":"unclamp","clamp":"B"},{"op":"straighten","strand":"C3"}],"clamps":{"A":{"strand":"C3","hole":"7HR"},"B":null,"S":null}}]}' AS BLOB));
INSERT INTO jobs VALUES (1, 'Player one', 'Racket two', 'Invented sixteen', 'Two pieces', 1, 2, 2, 'done', '2031-05-04T13:02:01.123456789-03:30', '2031-05-04T13:02:03.123456789-03:30', 'job.toml', CAST('frame = "invented"
' AS BLOB));
INSERT INTO jobs VALUES (2, 'Player one', 'Racket two', 'Invented sixteen', 'Two pieces', 2, 3, 1, 'open', '2031-05-04T13:02:01.123456789-03:30', '2031-05-04T13:02:02.123456789-03:30', 'job.toml', CAST('frame = "invented"
' AS BLOB));
INSERT INTO jobs VALUES (3, 'Player one', 'Racket two', 'Invented sixteen', 'Two pieces', 1, 2, 1, 'open', '2031-05-04T13:02:01.123456789-03:30', '2031-05-04T13:02:01.123456789-03:30', 'job.toml', CAST('frame = "invented"
' AS BLOB));
INSERT INTO events VALUES (1, 1, '2031-05-04T13:02:02.123456789-03:30', 'done', 1, '', '');
INSERT INTO events VALUES (1, 2, '2031-05-04T13:02:03.123456789-03:30', 'done', 2, '', '');
INSERT INTO events VALUES (2, 1, '2031-05-04T13:02:02.123456789-03:30', 'done', 1, '', '');
INSERT INTO events VALUES (2, 2, '2031-05-04T13:02:02.123456789-03:30', 'redo', 1, 'A', 'said ''slipped''');
PRAGMA application_id = 1346585163;
PRAGMA user_version = 1;
