package seat

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"pullcard/sequence/book"
	"pullcard/sequence/room"
)

// A bench says in a few words how it stands to its room, and once, when it comes to that, that a person has to decide.
func TestTelling(t *testing.T) {
	var last News
	tell := telling(func(n News) { last = n })
	at := time.Date(2031, 5, 4, 10, 42, 0, 0, time.UTC)
	gone, fork := errors.New("no route"), fmt.Errorf("round: %w", &book.ForkError{Epoch: "cafe", Seq: 3})
	for _, step := range []struct {
		is      room.Status
		sign    string
		stopped error
	}{
		{room.Status{}, "", nil},
		{room.Status{Newer: 2}, "2 changes need a newer pullcard", nil},
		{room.Status{Alone: at, Waiting: 3, Err: gone}, "alone since 10:42, 3 waiting", nil},
		{room.Status{Alone: at, Waiting: 3, Err: fork}, "room stopped since 10:42, 3 waiting", fork},
		{room.Status{Alone: at, Waiting: 4, Err: fork}, "room stopped since 10:42, 4 waiting", nil},
		{room.Status{News: true}, "", nil},
		{room.Status{Alone: at, Err: &room.RefusedError{Why: "no"}}, "room stopped since 10:42, 0 waiting", &room.RefusedError{Why: "no"}},
		{room.Status{Alone: at, Waiting: 3, Err: &room.RefusedError{Old: true}}, "needs a newer pullcard since 10:42, 3 waiting", nil},
		{room.Status{Alone: at, Err: &room.CopyError{}}, "room stopped since 10:42, 0 waiting", nil},
		{room.Status{Alone: at, Waiting: 9000, Err: &room.RefusedError{Later: true}}, "the room is busy, 9000 waiting", nil},
	} {
		tell(step.is)
		assert.Equal(t, News{Sign: step.sign, Changed: step.is.News, Stopped: step.stopped}, last)
	}
}
