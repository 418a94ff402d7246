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

// rest are the jobs that a lot lacks: for each racket of its player that has none there one as the newest that waits, or else the newest. says
// which they are, and which are left out, for they wait already outside of the lot: a second job of one is asked about.
func (s *Shop) rest(ctx context.Context, lot string) (list []records.Job, says string, err error) {
	r, err := s.Book.Record(ctx, lot)
	if err != nil {
		return nil, "", err
	}
	player := records.As[records.Lot](r.Fields).Player
	all, err := s.Book.History(ctx, records.Job{Player: player})
	if err != nil {
		return nil, "", err
	}
	history := slices.DeleteFunc(slices.Clone(all), func(c book.Card) bool { return records.As[records.Job](c.Fields).Lot != lot })
	if len(history) == 0 {
		return nil, "", errors.New("there is none yet as which the others would be strung; a adds the first")
	}
	like := history[max(slices.IndexFunc(history, func(c book.Card) bool { return c.Entry == nil }), 0)]
	set := records.As[records.Job](like.Fields)
	set = records.Job{Player: player, Lot: lot, Frame: set.Frame, Technique: set.Technique, Tension: set.Tension, Mains: set.Mains, Crosses: set.Crosses,
		Machine: set.Machine, Price: set.Price, Promised: set.Promised}
	if set.Promised.Time().Before(s.Now()) {
		set.Promised = ""
	}
	rackets, err := s.Book.Of(ctx, records.KindRacket, player)
	var marks, left []string
	for _, racket := range slices.Backward(rackets) { // the first one added comes first
		of := func(c book.Card) bool { return records.As[records.Job](c.Fields).Racket == racket.UID }
		if slices.ContainsFunc(history, of) {
			continue
		}
		waits := slices.IndexFunc(all, func(c book.Card) bool {
			_, bench := jobMark(c)
			return bench && of(c)
		})
		if waits >= 0 {
			mark, _ := jobMark(all[waits])
			left = append(left, fmt.Sprintf("not %s: job %d %s", racket.Label(), all[waits].ID, mark))
			continue
		}
		j := set
		j.Racket, j.Frame = racket.UID, cmp.Or(records.As[records.Racket](racket.Fields).Frame, set.Frame)
		list, marks = append(list, j), append(marks, racket.Label())
	}
	switch {
	case err != nil:
	case len(list) == 0 && len(left) == 0:
		err = errors.New("every racket of that player is in it")
	case len(list) == 0:
		err = fmt.Errorf("%s (a adds one by one, and asks)", strings.Join(left, "; "))
	default:
		says = fmt.Sprintf("%s, as job %d: %s", strings.Join(marks, ", "), like.ID, strings.Join(compact([]string{string(set.Tension), set.Technique}), ", "))
	}
	return list, strings.Join(append(compact([]string{says}), left...), "; "), err
}

// RestOfLot says which rackets FillLot would put into a lot, by the UID of its record, and as which they would be strung. What FillLot would
// refuse is the error.
func (s *Shop) RestOfLot(ctx context.Context, lot string) (string, error) {
	jobs, says, err := s.rest(ctx, lot)
	if err == nil {
		_, err = s.undoubted(ctx, jobs)
	}
	return says, err
}

// FillLot puts a job for every racket of a lot's player that has none there and waits nowhere else into the queue, all of them or none. What is doubted is refused.
func (s *Shop) FillLot(ctx context.Context, lot string) ([]book.Record, error) {
	jobs, _, err := s.rest(ctx, lot)
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
