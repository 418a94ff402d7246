package main

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
)

// The commands here are those that scripts have beside the usual ones.

// condition is [root]: file modes mean nothing to that user.
func condition(name string) (bool, error) {
	switch name {
	case "root":
		return os.Getuid() == 0, nil
	case "sweep":
		return sweep.Take(1, 2), nil
	}
	return false, fmt.Errorf("no condition is called %q", name)
}

// status N COMMAND ... runs a command, which is to end with exit status N.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N COMMAND ...")
	}
	err, got := ts.Exec(args[1], args[2:]...), 0
	if e := (*exec.ExitError)(nil); errors.As(err, &e) {
		got = e.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if strconv.Itoa(got) != args[0] {
		ts.Fatalf("exit status %d, want %s", got, args[0])
	}
}

// problem is the form of a line that says what is wrong in a file, where, and what would be right.
var problem = regexp.MustCompile(`^[^:\s]+:[1-9]\d*:[1-9]\d*: \S.*; \S`)

// problems N requires that standard error is N such lines and nothing else, in the order of their places in each file.
func problems(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: problems N")
	}
	text := ts.ReadFile("stderr")
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	for i, line := range lines {
		if !problem.MatchString(line) {
			ts.Fatalf("not of the form file:line:column: what is wrong; what would be right:\n%s", line)
		}
		if i > 0 && fileOf(line) == fileOf(lines[i-1]) && !inOrder(lines[i-1], line) {
			ts.Fatalf("not in the order of the file:\n%s\n%s", lines[i-1], line)
		}
	}
	if strconv.Itoa(len(lines)) != args[0] {
		ts.Fatalf("%d problems, want %s:\n%s", len(lines), args[0], text)
	}
}

func fileOf(line string) string {
	file, _, _ := strings.Cut(line, ":")
	return file
}

func inOrder(a, b string) bool {
	var p, q [2]int
	at := func(line string, p *[2]int) {
		parts := strings.SplitN(line, ":", 4)
		p[0], _ = strconv.Atoi(parts[1])
		p[1], _ = strconv.Atoi(parts[2])
	}
	at(a, &p)
	at(b, &q)
	return p[0] < q[0] || p[0] == q[0] && p[1] <= q[1]
}

// exactly N REGEXP requires that standard output has N lines that match.
func exactly(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: exactly N REGEXP")
	}
	re, err := regexp.Compile(args[1])
	ts.Check(err)
	n := 0
	for line := range strings.Lines(ts.ReadFile("stdout")) {
		if re.MatchString(strings.TrimSuffix(line, "\n")) {
			n++
		}
	}
	if strconv.Itoa(n) != args[0] {
		ts.Fatalf("%d lines match %s, want %s", n, args[1], args[0])
	}
}

// json FILE PATH VALUE requires that a JSON file has a value at a path of keys and indices, as steps.0.phase; len is the
// number of elements of a list. With ! the path is to lead nowhere.
func jsonCommand(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 3 && !neg || len(args) != 2 && neg {
		ts.Fatalf("usage: json FILE PATH VALUE, ! json FILE PATH")
	}
	var v any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[0])), &v))
	got, ok := walk(v, strings.Split(args[1], "."))
	if neg && ok {
		ts.Fatalf("%s is there: %s", args[1], written(got))
	}
	if !neg && (!ok || written(got) != args[2]) {
		ts.Fatalf("%s is %s (there: %v), want %s", args[1], written(got), ok, args[2])
	}
}

func walk(v any, path []string) (any, bool) {
	for _, key := range path {
		switch at := v.(type) {
		case map[string]any:
			next, ok := at[key]
			if !ok {
				return nil, false
			}
			v = next
		case []any:
			if key == "len" {
				return float64(len(at)), true
			}
			i, err := strconv.Atoi(key)
			if err != nil || i < 0 || i >= len(at) {
				return nil, false
			}
			v = at[i]
		default:
			return nil, false
		}
	}
	return v, true
}

// written is a text as it is and anything else as JSON.
func written(v any) string {
	if s, ok := v.(string); ok {
		return s
	}
	b, _ := json.Marshal(v)
	return string(b)
}

// fill FILE JOB writes a book with three jobs of a job file: one done, one given up, one in progress with a slip, a
// note and a step back.
func fill(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: fill FILE JOB")
	}
	ctx := context.Background()
	w, err := disk.Files().Load(ts.MkAbs(args[1]))
	ts.Check(err)
	b, err := book.Open(ctx, ts.MkAbs(args[0]))
	ts.Check(err)
	defer b.Close()
	at := time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC)
	for i, events := range [][]progress.Event{finished(len(w.Plan.Steps)), {{Kind: progress.Abandon, Step: 1, Why: "cracked"}}, {
		{Kind: progress.Done, Step: 1}, {Kind: progress.Done, Step: 2}, {Kind: progress.Back, Step: 3}, {Kind: progress.Done, Step: 2},
		{Kind: progress.Note, Step: 3, Why: "grommet \x1b[31mworn"}, {Kind: progress.Redo, Step: 1, What: "A", Why: "dusty"},
	}} {
		id, err := b.NewJob(ctx, book.Draft{Player: fmt.Sprintf("Player %d", i+1), Racket: "racket\x1b]0;x\a", File: args[1], Source: w.Source, At: at, Plan: w.Plan})
		ts.Check(err)
		for known, e := range events {
			e.At = at.Add(time.Duration(known+1) * time.Minute)
			ts.Check(b.Append(ctx, id, known, e))
		}
	}
}

func finished(steps int) (events []progress.Event) {
	for n := 1; n <= steps; n++ {
		events = append(events, progress.Event{Kind: progress.Done, Step: n})
	}
	return events
}

// sameplan A B requires that two plans have the same fingerprint.
func sameplan(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: [!] sameplan A B")
	}
	var prints [2]string
	for i, file := range args {
		var plan struct{ Plan string }
		ts.Check(json.Unmarshal([]byte(ts.ReadFile(file)), &plan))
		if prints[i] = plan.Plan; len(plan.Plan) < 16 {
			ts.Fatalf("%s has the fingerprint %q", file, plan.Plan)
		}
	}
	if same := prints[0] == prints[1]; same == neg {
		ts.Fatalf("%s has plan %s and %s has plan %s", args[0], prints[0], args[1], prints[1])
	}
}

// samejob I EXPORT JOB requires that job I of an export follows the plan of a job file.
func samejob(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: samejob I EXPORT JOB")
	}
	var jobs []struct{ Plan string }
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[1])), &jobs))
	i, err := strconv.Atoi(args[0])
	ts.Check(err)
	w, err := disk.Files().Load(ts.MkAbs(args[2]))
	ts.Check(err)
	if jobs[i].Plan != w.Plan.Plan {
		ts.Fatalf("the export has plan %s, the job makes %s", jobs[i].Plan, w.Plan.Plan)
	}
}

// newer FILE writes a book as a later program would mark it.
func newer(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: newer FILE")
	}
	path := ts.MkAbs(args[0])
	b, err := book.Open(context.Background(), path)
	ts.Check(err)
	ts.Check(b.Close())
	db, err := sql.Open("sqlite", path)
	ts.Check(err)
	_, err = db.Exec("PRAGMA user_version = 1000000")
	ts.Check(errors.Join(err, db.Close()))
}

// spoil FILE SQL changes a book past the program.
func spoil(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: spoil FILE SQL")
	}
	db, err := sql.Open("sqlite", ts.MkAbs(args[0]))
	ts.Check(err)
	_, err = db.Exec(args[1])
	ts.Check(errors.Join(err, db.Close()))
}
