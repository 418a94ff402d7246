// Package room is where the benches of one venue share a book. Each bench keeps its own book and works without a network; a
// Room is what lies between them, and a Syncer brings a book and a room up to each other, a round at a time and never on a
// screen's path.
//
// Begin with the Room that there is, a server or one for tests, and a Syncer of a book; Round does one round. A Room holds the
// rows of everybody's log, in the order in which they arrived, decides who has a job, and knows a book from a copy of its
// file. It is not trusted: what comes from it is checked as an import is, by the book. Nor does it trust: a bench
// adds rows to its own log and no other's, each the next one.
package room

import (
	"context"
	"fmt"
	"time"

	"pullcard/sequence/book"
)

// Room is what a bench has of a room. Its methods may be called from several goroutines. Every error but those named below says
// that the room could not be reached or did not answer; then nothing is known of what was asked, and it may be asked again.
type Room interface {
	// Enter says that a bench is here with a book, which the room knew by the word last and is to know by next from now on. It may
	// be repeated. The error is a *CopyError where the room knows the epoch by another word.
	Enter(ctx context.Context, epoch, last, next string) error
	// Vector is what the room has of each epoch.
	Vector(ctx context.Context) (book.Vector, error)
	// Append adds rows to the log of the bench. Rows that are there already change nothing. The error is a *book.ForkError where
	// another row has a number, and a *RefusedError where a row is none of the bench's or not its next one.
	Append(ctx context.Context, rows []book.Row) error
	// Fetch gives rows that somebody has not got who has those of a vector, at most limit, those of an epoch in their order and
	// without a gap, and as far as that goes in the order in which they arrived.
	Fetch(ctx context.Context, after book.Vector, limit int) ([]book.Row, error)
	// Forget takes the bodies of rows away, whosever they are. Envelopes stay.
	Forget(ctx context.Context, rows []book.Place) error
	// Acknowledge says what the bench has.
	Acknowledge(ctx context.Context, have book.Vector) error
	// Members are the benches that were ever here, by their names.
	Members(ctx context.Context) ([]Member, error)
	// Claim takes a job over which the claim with a number holds, 0 for none. The error is a *HeldError where one of a greater number
	// holds it meanwhile.
	Claim(ctx context.Context, job string, over int) (number int, err error)
	// Repair adds rows of other benches that the room has lost, as after it was put back from an older copy.
	Repair(ctx context.Context, rows []book.Row) error
	// Wait returns when there may be something new, or when ctx is done.
	Wait(ctx context.Context) error
}

// Version is the version of the rows that this program writes. A room may ask for a newer one of whoever writes.
const Version = 1

// Member is a bench of a room.
type Member struct {
	Bench string
	Login string      // as whom it came, empty where a room knows no logins
	Seen  time.Time   // when it was here last
	Has   book.Vector // what it said that it has
	Gone  bool        // it left for good
}

// CopyError reports that a room knows a book by another word than this file has: one of the two is a copy, or the room was put back from
// an older copy and the file knows the word.
type CopyError struct {
	Bench, Epoch string
	Word         string // by which the room knows it, empty where the epoch is another bench's
}

// Error says what to do.
func (e *CopyError) Error() string {
	return fmt.Sprintf("bench %s works with another file of this book (%s); one of the two is a copy: close it, or make it a bench of its own: "+
		"pullcard room leave --away, then pullcard room join URL --as another letter", e.Bench, e.Epoch)
}

// RefusedError reports what a room does not take.
type RefusedError struct {
	Why   string
	Later bool // it takes them in a while, as many came at once or somebody else is at it
	Old   bool // it takes them of a newer program only
}

// Error says why.
func (e *RefusedError) Error() string { return "the room refuses it: " + e.Why }

// HeldError reports that a job is held by a claim that was not known.
type HeldError struct {
	Job    string
	Bench  string
	Number int
	At     time.Time
}

// Error says who holds it.
func (e *HeldError) Error() string {
	return fmt.Sprintf("bench %s has taken it at %s", e.Bench, e.At.Format("15:04"))
}

// Largest is the most bytes that the body of a row may have. A plan after many mishaps has some hundred thousand.
const Largest = 16 << 20
