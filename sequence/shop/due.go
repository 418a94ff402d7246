package shop

import (
	"cmp"
	"context"
	"slices"
	"strconv"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/ticket"
)

// Due is a racket and when it should be strung anew: common practice of the trade, and no promise.
type Due struct {
	Racket  string    `json:"racket"` // its UID
	Player  string    `json:"player"`
	Mark    string    `json:"mark"`
	Contact string    `json:"contact,omitempty"`
	Strung  time.Time `json:"strung"`
	At      string    `json:"tension"`
	Due     time.Time `json:"due"`
}

// Due lists the rackets that are due until a day and do not wait already, the first first.
func (s *Shop) Due(ctx context.Context, until time.Time) ([]Due, error) {
	cards, err := s.Book.NewestOfEachRacket(ctx)
	if err != nil {
		return nil, err
	}
	waiting, err := s.waitingRackets(ctx)
	if err != nil {
		return nil, err
	}
	var uids []string
	for _, c := range cards {
		j := records.As[records.Job](c.Fields)
		uids = append(uids, j.Player, j.Racket)
	}
	of, err := s.Book.Records(ctx, uids...)
	if err != nil {
		return nil, err
	}
	list := []Due{}
	for _, c := range cards {
		j := records.As[records.Job](c.Fields)
		player, racket := records.As[records.Player](of[j.Player].Fields), of[j.Racket]
		at, ok := restring(c, player)
		if !ok || day(at) > day(until) || waiting[j.Racket] || racket.State != book.Kept {
			continue
		}
		list = append(list, Due{Racket: j.Racket, Player: player.Name, Mark: racket.Label(), Contact: player.Contact, Strung: c.Entry.Last,
			At: string(records.Bed(c.Entry.Mains, c.Entry.Crosses)), Due: at})
	}
	slices.SortFunc(list, func(a, b Due) int { return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(a.Player, b.Player)) })
	return list, nil
}

// restring is when a strung racket is due; ok is false of one that was not strung.
func restring(c book.Card, of records.Player) (time.Time, bool) {
	plays := float64(PlaysAWeek)
	if n, err := strconv.Atoi(of.Plays); err == nil {
		plays = float64(n)
	}
	if c.Entry == nil {
		return time.Time{}, false
	}
	return ticket.Restring(c.Entry.Last, plays)
}

// waitingRackets are the rackets of the jobs that wait or are in work.
func (s *Shop) waitingRackets(ctx context.Context) (map[string]bool, error) {
	queue, err := s.Book.Queue(ctx)
	if err != nil {
		return nil, err
	}
	begun, err := s.Book.InWork(ctx)
	out := map[string]bool{}
	for _, r := range queue {
		out[records.As[records.Job](r.Fields).Racket] = true
	}
	for _, c := range begun {
		out[records.As[records.Job](c.Fields).Racket] = true
	}
	return out, err
}
