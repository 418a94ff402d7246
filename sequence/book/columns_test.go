package book

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// ofOneFile are the tables and columns that do not go along, each with the reason; "by the export" are those that the log takes.
func ofOneFile() map[string]string {
	const salt = "only hides from a room what may be forgotten; a file makes its own"
	const room = "claims are of a room, and nobody hears of a room by a file"
	return map[string]string{
		"corrections": "a table of books before the log; changes say it now",
		"log":         "the log itself",
		"sources":     "whose logs there are",
		"self":        "which of them is this book's",
		"emptied":     "what a room is still to be told",
		"seat":        "the room that this file is in",
		"words":       "by which a room knew this file",
		"disputes":    "worked out of changes",
		"jobs.claim":  "which claim is this bench's own",
		"jobs.id":     "numbers count within a book",
		"records.id":  "numbers count within a book",

		"claims by the export": room, "jobs.held by the export": room,
		"jobs.salt by the export": salt, "events.salt by the export": salt, "changes.salt by the export": salt,
	}
}

// pointers are the columns that say the number of a row of this file, each with what it points at.
func pointers() map[string]string {
	return map[string]string{
		"jobs.plan":   "(SELECT hex(digest) FROM plans p WHERE p.id = t.plan)",
		"events.plan": "(SELECT hex(digest) FROM plans p WHERE p.id = t.plan)",
		"events.job":  "(SELECT uid FROM jobs j WHERE j.id = t.job)",
		"plans.id":    "hex(digest)",
		"changes.id":  "uid || stamp",
		"claims.id":   "job || number || bench",
	}
}

// everything is a book that has something in each column: a job in two attempts, another with a claim, tensions, a way back and its why.
func everything(t *testing.T) shop {
	ctx, s := context.Background(), invite(t, ofBench(t, fresh(t), "K"))
	other := ofBench(t, fresh(t), "L")
	tell(t, s.Book, other)
	do(t, other, 2, 4, event(progress.Done, 3))
	note := event(progress.Note, 3)
	note.Why = "smells of camphor"
	do(t, s.Book, 2, 4, note)
	tell(t, other, s.Book)
	p := invented(3)
	p.Terms.PullMains.Ordered, p.Terms.PullCrosses.Ordered = "24 kg", "23 kg"
	id, err := s.NewJob(ctx, Draft{Player: "Player three", Racket: "Racket four", File: "other.toml", Source: []byte("x"), At: clock(2), Plan: p})
	require.NoError(t, err)
	j, err := s.Book.Job(ctx, id)
	require.NoError(t, err)
	require.NoError(t, s.Claim(ctx, Claim{Job: j.UID, Number: 1, Bench: "K", At: clock(9)}))
	back := mended(p, 1, 1)
	back.Steps[1].Record, back.Steps[1].Ops = true, []plan.Op{{Op: plan.Fault, Fault: "misweave"}}
	why := event(progress.Why, 3)
	why.Of, why.Why = 2, "looked away"
	do(t, s.Book, id, 0, event(progress.Done, 1), mishap(2, back), why)
	return s
}

// Every column of what benches share goes along, by the export and by the log: one that is added and left out of either is named here, and so
// is one that this book leaves empty.
func TestEveryColumnGoesAlong(t *testing.T) {
	s := everything(t)
	logged := ofBench(t, fresh(t), "M")
	tell(t, s.Book, logged)
	for way, b := range map[string]*Book{"export": twin(t, s.Book), "log": logged} {
		for _, table := range tables(t, s.path) {
			for _, column := range columns(t, s.path, table) {
				name := table + "." + column
				if own := ofOneFile(); own[table]+own[name]+own[table+" by the "+way]+own[name+" by the "+way] != "" {
					continue
				}
				here := cells(t, s.path, table, column)
				assert.NotEmpty(t, here, "%s: everything fills it nowhere", name)
				assert.Equal(t, here, cells(t, b.path, table, column), "%s by the %s", name, way)
			}
		}
	}
}

// tables are those of a book.
func tables(t testing.TB, path string) (names []string) {
	rows, err := raw(t, path).Query("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name")
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var name string
		require.NoError(t, rows.Scan(&name))
		names = append(names, name)
	}
	return names
}

// cells are what a column says anything in, each behind what its row is known by in every book, in order.
func cells(t testing.TB, path, table, column string) (all []string) {
	key := map[string]string{"plans": "hex(digest)", "jobs": "uid", "events": "(SELECT uid FROM jobs j WHERE j.id = t.job) || seq",
		"changes": "uid || stamp", "records": "uid", "claims": "job || number || bench"}[table]
	require.NotEmpty(t, key, "by what is a row of %s known in every book? say it here, or in ofOneFile that none gets it", table)
	value := pointers()[table+"."+column]
	if value == "" {
		value = "t." + column
	}
	rows, err := raw(t, path).Query(fmt.Sprintf("SELECT %s, %s AS v FROM %s t WHERE coalesce(v, '') NOT IN ('', 0) ORDER BY 1", key, value, table))
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var key string
		var v any
		require.NoError(t, rows.Scan(&key, &v))
		all = append(all, fmt.Sprintf("%s: %v", key, v))
	}
	require.NoError(t, rows.Err())
	return all
}

// lasting are the columns of text that forgetting leaves alone, each with the reason. The others are those of people's words: everything fills
// each with secret.
func lasting() map[string]string {
	const key, machine, time = "by which a row is known", "the program's own words", "a time"
	const chain = "a digest of what may be forgotten, behind salt that goes with it"
	return map[string]string{
		"jobs.uid": key, "jobs.of": key, "records.uid": key, "records.owner": key, "changes.uid": key, "changes.stamp": key, "changes.over": key,
		"claims.job": key, "claims.after": key, "sources.epoch": key, "self.nonce": key, "self.next": key, "words.word": key, "log.waits": key,
		"disputes.uid": key, "corrections.uid": key,
		"jobs.state": machine, "records.kind": machine, "records.state": machine, "changes.kind": machine, "events.kind": machine, "events.what": machine,
		"log.kind": machine, "disputes.fields": "the names of fields",
		"jobs.made": time, "jobs.last": time, "events.at": time, "records.at": time, "changes.at": time, "claims.at": time, "self.clock": time, "corrections.at": time,
		"jobs.frame": "what was strung", "jobs.technique": "what was strung", "jobs.mains": "what was strung", "jobs.crosses": "what was strung",
		"plans.body":        "what was strung, which its fingerprint holds to the letter",
		"plans.fingerprint": "what was strung", "plans.digest": "what was strung",
		"jobs.salt": "random", "events.salt": "random", "changes.salt": "random",
		"log.hash": chain, "log.digest": chain, "sources.hash": chain,
		"log.body":      "only of rows that the tables do not say; TestForgottenEverywhere has such",
		"sources.bench": "a bench", "claims.bench": "a bench", "seat.url": "a room",
		"corrections.why": "empty since there are changes", "corrections.body": "empty since there are changes",
	}
}

// Forgetting empties every column of text, also of what an older export brings back, but for those named above: one that is
// added is in neither.
func TestEveryTextIsForgotten(t *testing.T) {
	ctx, s := context.Background(), everything(t)
	export := takenOut(t, s.Book)
	var words []string
	for _, table := range tables(t, s.path) {
		for _, column := range columns(t, s.path, table) {
			var text bool
			require.NoError(t, raw(t, s.path).QueryRow("SELECT type IN ('TEXT', 'BLOB') FROM pragma_table_info(?) WHERE name = ?", table, column).Scan(&text))
			if name := table + "." + column; text && lasting()[name] == "" {
				words = append(words, name)
			}
		}
	}
	assert.Equal(t, words, secretIn(t, s.path), "everything fills these with a secret, and lasting has no reason for one that it need not")

	_, err := s.Forget(ctx, s.player.UID)
	require.NoError(t, err)
	assert.Empty(t, secretIn(t, s.path))
	for _, lost := range []string{"", "DELETE FROM events; DELETE FROM records WHERE uid IN (SELECT uid FROM jobs WHERE of <> ''); DELETE FROM jobs"} { // of those that are there, and of those that come anew
		sqlExec(t, s.db, lost)
		_, err := s.Import(ctx, export, clock(100), nil)
		require.NoError(t, err)
		assert.Empty(t, secretIn(t, s.path), "brought back by an export")
	}
}

// secretIn are the columns that have the secret somewhere.
func secretIn(t *testing.T, path string) (names []string) {
	for _, table := range tables(t, path) {
		for _, column := range columns(t, path, table) {
			var says bool
			require.NoError(t, raw(t, path).QueryRow(fmt.Sprintf("SELECT coalesce(max(instr(lower(CAST(%s AS TEXT)), lower(?))), 0) > 0 FROM %s", column, table), secret).Scan(&says))
			if says {
				names = append(names, table+"."+column)
			}
		}
	}
	return names
}
