package main

import (
	"strings"
	"time"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	progress "pullcard/sequence/run"
	"pullcard/tui/lot"
)

// lotDesk is one lot as its screen uses it.
type lotDesk struct {
	s   *shop
	uid string
}

// Lot makes a lot ready for its screen.
func (s *shop) Lot(uid string) (lot.Sheet, lot.Book, error) {
	d := lotDesk{s, uid}
	sheet, err := d.sheet()
	return sheet, d, err
}

// Judge keeps what the player said of a strung job.
func (d lotDesk) Judge(job, answer, notes string) (lot.Sheet, error) {
	if _, err := d.s.add(records.KindVerdict, records.Texts(records.Verdict{Job: job, Answer: answer, Notes: notes}), time.Now()); err != nil {
		return lot.Sheet{}, err
	}
	return d.after()
}

// after is the lot once something was kept. When it cannot be read then, what was kept is kept all the same.
func (d lotDesk) after() (lot.Sheet, error) {
	sheet, err := d.sheet()
	if err != nil {
		sheet.None = "it is in the book, but the lot cannot be read: " + err.Error()
	}
	return sheet, nil
}

// Decide sets the rackets that wait.
func (d lotDesk) Decide(mains, crosses measure.Tension, reason string) (lot.Sheet, error) {
	a, err := d.advice()
	if err == nil {
		_, err = d.s.decide(a, mains, crosses, reason, time.Now())
	}
	if err != nil {
		return lot.Sheet{}, err
	}
	return d.after()
}

func (d lotDesk) advice() (advice, error) {
	r, err := d.s.book.Record(d.s.ctx, d.uid)
	if err != nil {
		return advice{}, err
	}
	return d.s.advise(r)
}

func (d lotDesk) sheet() (lot.Sheet, error) {
	a, err := d.advice()
	if err != nil {
		return lot.Sheet{}, err
	}
	names, err := d.s.names(a.lot)
	if err != nil {
		return lot.Sheet{}, err
	}
	out := lot.Sheet{Title: clean(records.As[records.Lot](names).Player + " · " + a.lot.Label()), Waiting: len(a.waiting), Suggestion: a.Suggestion, None: a.none, Sport: a.sport}
	for _, c := range a.cards {
		names, err := d.s.names(c.Record)
		if err != nil {
			return lot.Sheet{}, err
		}
		name := records.As[records.Job](names).Racket
		if name == "" {
			name = cardTitle(c, names)
		}
		out.Rackets = append(out.Rackets, lot.Racket{Name: name, State: lotState(c), Said: spoken(c)})
		if c.Entry != nil && c.Entry.State == progress.Finished {
			out.Judgeable = append(out.Judgeable, lot.Choice{UID: c.UID, Name: name})
		}
	}
	return out, nil
}

// lotState says where a racket of a lot stands; of one that waits, at what it will be strung once that was decided.
func lotState(c book.Card) string {
	mark, _ := jobMark(c)
	if decided := records.As[records.Job](c.Fields).Decided; c.Entry == nil && decided != "" {
		return mark + ", decided " + decided
	}
	return mark
}

// spoken is what the player said of a racket.
func spoken(c book.Card) string {
	var words []string
	for _, v := range c.Verdicts {
		words = append(words, v.Label())
	}
	return strings.Join(words, "; ")
}
