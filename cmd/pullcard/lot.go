package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/verdict"
)

// advice is what a lot's verdicts say of the rackets that wait.
type advice struct {
	lot     book.Record
	cards   []book.Card // of the lot, by their numbers
	waiting []book.Card // those of them that have not been begun
	verdict.Suggestion
	// none says why there is no suggestion, empty where there is one.
	none  string
	sport patterns.Sport
}

// advise makes the suggestion for a lot from all that its player said.
func (s *shop) advise(lot book.Record) (a advice, err error) {
	a.lot = lot
	history, err := s.book.History(s.ctx, records.As[records.Lot](lot.Fields).Player)
	if err != nil {
		return a, err
	}
	for _, c := range history {
		if records.As[records.Job](c.Fields).Lot != lot.UID {
			continue
		}
		a.cards = append(a.cards, c)
		if c.Entry == nil {
			a.waiting = append(a.waiting, c)
		}
	}
	slices.SortFunc(a.cards, func(x, y book.Card) int { return cmp.Compare(x.ID, y.ID) })
	slices.SortFunc(a.waiting, func(x, y book.Card) int { return cmp.Compare(x.ID, y.ID) })
	if len(a.cards) == 0 {
		a.none = "the lot has no rackets yet; pullcard book lot fill puts them in"
		return a, nil
	}
	past, err := s.past(history)
	if err != nil {
		return a, err
	}
	q, err := s.question(a)
	if err != nil {
		return a, err
	}
	a.sport = q.Sport
	a.Suggestion = verdict.Suggest(past, q)
	if a.Outcome == verdict.Unjudged {
		a.none = "nobody has said yet how a racket of this set-up plays; string one, let it go out, and keep the verdict"
	}
	return a, nil
}

// past are a player's strung rackets that were judged, with their set-ups. Rackets of which the files have gone are left
// out; they cannot be compared.
func (s *shop) past(history []book.Card) ([]verdict.Past, error) {
	var past []verdict.Past
	for _, c := range history {
		if c.Entry == nil || len(c.Verdicts) == 0 {
			continue
		}
		w, mains, crosses, err := s.strung(c)
		if err != nil {
			continue
		}
		p := verdict.Past{Job: c.ID, Setup: s.setup(c, w), Mains: mains, Crosses: crosses, At: c.Entry.Last}
		if k, hz, err := verdict.BedOf(w.numbers())(mains, crosses); err == nil {
			p.Stiffness, p.Hz = k, hz
		}
		for _, v := range c.Verdicts {
			answer, err := verdict.Parse(records.As[records.Verdict](v.Fields).Answer)
			if err != nil {
				return nil, err
			}
			p.Verdicts = append(p.Verdicts, verdict.Verdict{At: v.At, Answer: answer})
		}
		past = append(past, p)
	}
	return past, nil
}

// setup is what must be the same for two rackets to be compared. The machine counts by its record, else by its name.
func (s *shop) setup(c book.Card, w *work) verdict.Setup {
	machine := w.job.Machine.Name
	if uid := records.As[records.Job](c.Fields).Machine; uid != "" {
		if r, err := s.book.Record(s.ctx, uid); err == nil {
			machine = r.Label()
		}
	}
	return verdict.Setup{Frame: w.plan.Frame, Technique: w.plan.Technique, Mains: stringName(w.job.StringMains),
		Crosses: stringName(w.job.StringCrosses), Machine: machine}
}

func stringName(y sequence.String) string {
	if y.DiameterMM > 0 {
		return fmt.Sprintf("%s %.2f mm", y.Name, y.DiameterMM)
	}
	return y.Name
}

// question is what is asked of the verdicts: the set-up of the rackets that wait, or else of the last one.
func (s *shop) question(a advice) (verdict.Question, error) {
	c := a.cards[len(a.cards)-1]
	if len(a.waiting) > 0 {
		c = a.waiting[0]
	}
	file, text, err := s.book.Text(s.ctx, c.UID)
	if err != nil {
		return verdict.Question{}, err
	}
	w, err := readWork(file, text)
	if err != nil {
		return verdict.Question{}, err
	}
	q := verdict.Question{Setup: s.setup(c, w), Sport: w.frame.Sport, Bed: verdict.BedOf(w.numbers()), Printed: w.frame.Printed}
	if q.Setup.Machine == "" { // a job that waits is on no machine yet: that of the strung ones
		for _, done := range a.cards {
			if done.Entry != nil {
				q.Setup.Machine = s.setup(done, w).Machine
			}
		}
	}
	return q, nil
}

// decide changes the rackets of a lot that wait to what the stringer decided on; what was suggested is kept beside it.
func (s *shop) decide(a advice, mains, crosses measure.Tension, reason string, now time.Time) ([]book.Record, error) {
	if len(a.waiting) == 0 {
		return nil, errors.New("no racket of this lot waits; there is nothing to change")
	}
	d := a.Decide(mains, crosses, reason)
	var changes []book.Change
	for _, c := range a.waiting {
		was := records.As[records.Job](c.Fields)
		j := was
		j.Tension = records.Bed(mains.String(), crosses.String())
		if err := setTensions(j.File, &j, mains, crosses); err != nil {
			return nil, err
		}
		j.Suggested, j.Decided, j.Reason = tensions(d.SuggestedMains, d.SuggestedCrosses), tensions(d.DecidedMains, d.DecidedCrosses), d.Reason
		changes = append(changes, book.Change{At: now, Why: cmp.Or(reason, string(a.Outcome)), Fields: records.Changed(was, j)})
	}
	uids := make([]string, len(a.waiting))
	for i, c := range a.waiting {
		uids[i] = c.UID
	}
	return s.book.CorrectAll(s.ctx, uids, changes)
}

// fill puts a job for each of some rackets of the lot's player into the queue.
func (s *shop) fill(lot book.Record, path string, rackets []book.Record, promised string, now time.Time) ([]book.Record, error) {
	var set records.Job
	if err := s.jobFile(path, &set); err != nil {
		return nil, err
	}
	var wrong []error
	player := records.As[records.Lot](lot.Fields).Player
	for _, r := range rackets {
		if records.As[records.Racket](r.Fields).Player != player {
			wrong = append(wrong, fmt.Errorf("racket %d (%s) is not the lot's player's", r.ID, r.Label()))
		}
	}
	if err := errors.Join(wrong...); err != nil {
		return nil, err
	}
	var list []book.Record
	for _, r := range rackets {
		j := set
		j.Player, j.Racket, j.Lot, j.Promised = player, r.UID, lot.UID, records.Moment(promised)
		list = append(list, book.Record{Kind: records.KindJob, At: now, Fields: records.Texts(j)})
	}
	return s.book.AddAll(s.ctx, list)
}
