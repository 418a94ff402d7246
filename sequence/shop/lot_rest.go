package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// rest are the jobs that a lot lacks: for each racket of its player that has none there one as the newest that waits, or else the newest.
func (s *Shop) rest(ctx context.Context, lot string) (like book.Card, list []records.Job, marks []string, err error) {
	r, err := s.Book.Record(ctx, lot)
	if err != nil {
		return like, nil, nil, err
	}
	player := records.As[records.Lot](r.Fields).Player
	history, err := s.Book.History(ctx, records.Job{Player: player, Lot: lot})
	if err != nil {
		return like, nil, nil, err
	}
	if len(history) == 0 {
		return like, nil, nil, errors.New("there is none yet as which the others would be strung; a adds the first")
	}
	like = history[max(slices.IndexFunc(history, func(c book.Card) bool { return c.Entry == nil }), 0)]
	set := records.As[records.Job](like.Fields)
	set = records.Job{Player: player, Lot: lot, Frame: set.Frame, Technique: set.Technique, Tension: set.Tension, Mains: set.Mains, Crosses: set.Crosses,
		Machine: set.Machine, Price: set.Price, Promised: set.Promised}
	if set.Promised.Time().Before(s.Now()) {
		set.Promised = ""
	}
	rackets, err := s.Book.Of(ctx, records.KindRacket, player)
	for _, racket := range slices.Backward(rackets) { // the first one added comes first
		if slices.ContainsFunc(history, func(c book.Card) bool { return records.As[records.Job](c.Fields).Racket == racket.UID }) {
			continue
		}
		j := set
		j.Racket, j.Frame = racket.UID, cmp.Or(records.As[records.Racket](racket.Fields).Frame, set.Frame)
		list, marks = append(list, j), append(marks, racket.Label())
	}
	if err == nil && len(list) == 0 {
		err = errors.New("every racket of that player is in it")
	}
	return like, list, marks, err
}

// RestOfLot says which rackets FillLot would put into a lot, by the UID of its record, and as which they would be strung. What FillLot would
// refuse is the error.
func (s *Shop) RestOfLot(ctx context.Context, lot string) (string, error) {
	like, jobs, marks, err := s.rest(ctx, lot)
	if err == nil {
		_, err = s.undoubted(ctx, jobs)
	}
	if err != nil {
		return "", err
	}
	j := records.As[records.Job](like.Fields)
	return fmt.Sprintf("%s, as job %d: %s", strings.Join(marks, ", "), like.ID, strings.Join(compact([]string{string(j.Tension), j.Technique}), ", ")), nil
}

// FillLot puts a job for every racket of a lot's player that has none there into the queue, all of them or none. What is doubted is refused.
func (s *Shop) FillLot(ctx context.Context, lot string) ([]book.Record, error) {
	_, jobs, _, err := s.rest(ctx, lot)
	if err != nil {
		return nil, err
	}
	list, err := s.undoubted(ctx, jobs)
	if err != nil {
		return nil, err
	}
	return s.Book.AddAll(ctx, list)
}

// undoubted are jobs as they are kept, none where one of them is doubted.
func (s *Shop) undoubted(ctx context.Context, jobs []records.Job) (list []book.Record, err error) {
	var wrong []error
	for _, j := range jobs {
		fields, err := s.filled(ctx, records.KindJob, records.Texts(j), s.Now())
		if err != nil {
			wrong = append(wrong, err)
		}
		list = append(list, book.Record{Kind: records.KindJob, At: s.Now(), Fields: fields})
	}
	if err := together(wrong); err != nil {
		return nil, fmt.Errorf("%w (a adds one by one, and asks)", err)
	}
	return list, nil
}
