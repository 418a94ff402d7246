package shop

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"pullcard/sequence/records"
)

// completed is how many records are offered at most for what somebody types.
const completed = 50

// Completion is what a word may go on to, and what that is.
type Completion struct{ Word, Says string }

// Complete offers what records of a kind are called whose name begins as was typed, or their numbers where digits were.
func (s *Shop) Complete(ctx context.Context, kind records.Name, typed string) (out []Completion, err error) {
	letters := typed
	_, wrong := strconv.Atoi(typed)
	number := wrong == nil
	if number {
		letters = ""
	}
	list, err := s.Book.Find(ctx, kind, letters, completed)
	if err != nil {
		return nil, err
	}
	items, err := s.Items(ctx, list)
	for _, it := range items {
		c := Completion{it.Label(), fmt.Sprintf("%s %d", kind, it.ID)}
		if number {
			c = Completion{strconv.FormatInt(it.ID, 10), it.whose()}
		}
		if strings.HasPrefix(records.Fold(c.Word), records.Fold(typed)) {
			out = append(out, c)
		}
	}
	return out, err
}
