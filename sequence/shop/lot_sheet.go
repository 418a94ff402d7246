package shop

import (
	"context"
	"fmt"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/verdict"
)

// LotSheet is a lot at a glance.
type LotSheet struct {
	// Title says whose lot it is.
	Title string
	// Rackets are all of the lot, the oldest first.
	Rackets []LotRacket
	// Waiting is how many of them have not been begun: those that a decision sets.
	Waiting int
	// Sport says by which step the tension is changed: for badminton half the usual one.
	Sport patterns.Sport
	// Suggestion is what the verdicts come to; None says why there is none.
	Suggestion verdict.Suggestion
	None       string
	// Judgeable are the strung rackets of which a verdict can be kept, the newest last.
	Judgeable []LotChoice
}

// LotRacket is one of a lot.
type LotRacket struct {
	UID, Name string // of its job, and what the racket is called
	// State is where it stands and at which tension, as "strung 24 kg / 23 kg", "waits, 24 kg" or "in work 12/64, 24 kg, Cy".
	State string
	// Said is what the player said of it, empty for nothing.
	Said string
}

// LotChoice is a strung racket, by the UID of its job.
type LotChoice struct{ UID, Name string }

// Lot is a lot by the UID of its record.
func (s *Shop) Lot(ctx context.Context, uid string) (LotSheet, error) {
	a, err := s.advice(ctx, uid)
	if err != nil {
		return LotSheet{}, err
	}
	player := records.As[records.Lot](a.Lot.Fields).Player
	uids := []string{player}
	for _, c := range a.Cards {
		j := records.As[records.Job](c.Fields)
		uids = append(uids, j.Player, j.Racket, j.Stringer)
	}
	names, err := s.names(ctx, uids...)
	if err != nil {
		return LotSheet{}, err
	}
	out := LotSheet{Title: names[player] + " · " + a.Lot.Label(), Waiting: len(a.Waiting), Suggestion: a.Suggestion, None: a.None, Sport: a.Sport}
	for _, c := range a.Cards {
		name := names[records.As[records.Job](c.Fields).Racket]
		if name == "" {
			name = cardTitle(c, names)
		}
		out.Rackets = append(out.Rackets, LotRacket{UID: c.UID, Name: name, State: s.lotState(c, names), Said: spoken(c)})
		if c.Entry != nil && c.Entry.State == progress.Finished {
			out.Judgeable = append(out.Judgeable, LotChoice{UID: c.UID, Name: name})
		}
	}
	return out, nil
}

func (s *Shop) advice(ctx context.Context, lot string) (Advice, error) {
	r, err := s.Book.Record(ctx, lot)
	if err != nil {
		return Advice{}, err
	}
	return s.Advise(ctx, r)
}

// NextOfLot is the job of the next racket that waits in a job's lot, by the UIDs of their records: the oldest one.
func (s *Shop) NextOfLot(ctx context.Context, uid string) (string, error) {
	r, err := s.Book.Record(ctx, uid)
	if err != nil {
		return "", err
	}
	a, err := s.advice(ctx, records.As[records.Job](r.Fields).Lot)
	if err == nil && len(a.Waiting) == 0 {
		err = fmt.Errorf("no other racket of %s waits", a.Lot.Label())
	}
	if err != nil {
		return "", err
	}
	return a.Waiting[0].UID, nil
}

// LotDesk is one lot on which verdicts are kept and decided.
type LotDesk struct {
	Shop *Shop
	// Paper prints what goes with the rackets of jobs.
	Paper func(ctx context.Context, uids ...string) error
	UID   string // of the lot's record
}

// Judge keeps what the player said of a strung job and answers with the lot as it is then.
func (d LotDesk) Judge(ctx context.Context, job, answer, notes string) (LotSheet, error) {
	if _, err := d.Shop.Add(ctx, records.KindVerdict, records.Texts(records.Verdict{Job: job, Answer: answer, Notes: notes}), d.Shop.Now()); err != nil {
		return LotSheet{}, err
	}
	return d.after(ctx)
}

// Decide sets the rackets that wait and answers with the lot as it is then.
func (d LotDesk) Decide(ctx context.Context, mains, crosses measure.Tension, reason string) (LotSheet, error) {
	a, err := d.Shop.advice(ctx, d.UID)
	if err == nil {
		_, err = d.Shop.Decide(ctx, a, mains, crosses, reason)
	}
	if err != nil {
		return LotSheet{}, err
	}
	return d.after(ctx)
}

// Print prints what goes with the rackets of jobs.
func (d LotDesk) Print(ctx context.Context, uids ...string) error { return d.Paper(ctx, uids...) }

// after is the lot once something was kept. When it cannot be read then, what was kept is kept all the same.
func (d LotDesk) after(ctx context.Context) (LotSheet, error) {
	sheet, err := d.Shop.Lot(ctx, d.UID)
	if err != nil {
		sheet.None = "it is in the book, but the lot cannot be read: " + err.Error()
	}
	return sheet, nil
}

// lotState says where a racket of a lot stands, at which tension, who has it and when it was begun.
func (s *Shop) lotState(c book.Card, names map[string]string) string {
	mark, _ := jobMark(c)
	j := records.As[records.Job](c.Fields)
	words, begun := []string{mark}, ""
	switch e := c.Entry; {
	case e == nil && j.Decided != "":
		words = append(words, "decided "+j.Decided)
	case e == nil:
		words = append(words, string(j.Tension))
	case e.State == progress.Open:
		words, begun = append(words, string(records.Bed(e.Mains, e.Crosses))), "begun "+clockTime(s.Now(), e.Made)
	}
	return strings.Join(compact(append(words, names[j.Stringer], begun)), ", ")
}

// spoken is what the player said of a racket.
func spoken(c book.Card) string {
	var words []string
	for _, v := range c.Verdicts {
		words = append(words, v.Label())
	}
	return strings.Join(words, "; ")
}
