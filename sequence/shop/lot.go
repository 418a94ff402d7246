package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/verdict"
)

// Advice is what a lot's verdicts say of the rackets that wait.
type Advice struct {
	Lot     book.Record
	Cards   []book.Card // of the lot, by their numbers
	Waiting []book.Card // those of them that have not been begun
	verdict.Suggestion
	// None says why there is no suggestion, empty where there is one.
	None  string
	Sport patterns.Sport

	history []book.Card // the player's
}

// Advise makes the suggestion for a lot from all that its player said, and says what speaks against it.
func (s *Shop) Advise(ctx context.Context, lot book.Record) (a Advice, err error) {
	if a, err = s.weigh(ctx, lot); err != nil || a.None != "" {
		return a, err
	}
	doubts, err := s.doubtsAt(ctx, a, a.Mains, a.Crosses)
	for i, d := range doubts {
		a.Lines = slices.Insert(a.Lines, i, verdict.Line{Kind: verdict.Warning, Text: d.Text})
	}
	return a, err
}

// weigh makes the suggestion for a lot.
func (s *Shop) weigh(ctx context.Context, lot book.Record) (a Advice, err error) {
	a.Lot = lot
	history, err := s.Book.History(ctx, records.Job{Player: records.As[records.Lot](lot.Fields).Player})
	if err != nil {
		return a, err
	}
	a.history = history
	for _, c := range history {
		if records.As[records.Job](c.Fields).Lot != lot.UID {
			continue
		}
		a.Cards = append(a.Cards, c)
		if c.Entry == nil {
			a.Waiting = append(a.Waiting, c)
		}
	}
	slices.SortFunc(a.Cards, func(x, y book.Card) int { return cmp.Compare(x.ID, y.ID) })
	slices.SortFunc(a.Waiting, func(x, y book.Card) int { return cmp.Compare(x.ID, y.ID) })
	if len(a.Cards) == 0 {
		a.None = "the lot has no rackets yet; pullcard book lot fill puts them in"
		return a, nil
	}
	machines, err := s.machines(ctx, history...)
	if err != nil {
		return a, err
	}
	past, err := s.past(ctx, history, machines)
	if err != nil {
		return a, err
	}
	q, err := s.question(ctx, a, machines)
	if err != nil {
		return a, err
	}
	a.Sport = q.Sport
	a.Suggestion = verdict.Suggest(past, q)
	if a.Outcome == verdict.Unjudged {
		a.None = "nobody has said yet how a racket of this set-up plays; string one, let it go out, and keep the verdict"
		for _, p := range past {
			if slices.ContainsFunc(a.Cards, func(c book.Card) bool { return c.ID == p.Job }) {
				a.None = fmt.Sprintf("job %d was judged, but what waits has another %s: %s", p.Job, otherwise(p.Setup, q.Setup), a.None)
				break
			}
		}
	}
	return a, nil
}

// past are a player's strung rackets that were judged, with their set-ups. Rackets of which the files have gone are left
// out; they cannot be compared.
func (s *Shop) past(ctx context.Context, history []book.Card, machines map[string]string) ([]verdict.Past, error) {
	judged := slices.DeleteFunc(slices.Clone(history), func(c book.Card) bool { return c.Entry == nil || len(c.Verdicts) == 0 })
	uids := make([]string, len(judged))
	for i, c := range judged {
		uids[i] = c.UID
	}
	from, err := s.Book.Sources(ctx, uids...)
	if err != nil {
		return nil, err
	}
	var past []verdict.Past
	for _, c := range judged {
		w, mains, crosses, err := s.strungFrom(from[c.UID], c)
		if err != nil {
			continue
		}
		p := verdict.Past{Job: c.ID, Setup: setup(w.Work, machines[c.UID]), Mains: mains, Crosses: crosses, At: c.Entry.Last}
		if k, hz, err := w.bed(mains, crosses); err == nil {
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

// setup is what must be the same for two rackets to be compared. The machine counts by its record, else by its name in the file.
func setup(w *Work, machine string) verdict.Setup {
	return verdict.Setup{Frame: w.Plan.Frame, Technique: w.Plan.Technique, Mains: stringName(w.Job.StringMains),
		Crosses: stringName(w.Job.StringCrosses), Machine: cmp.Or(machine, w.Job.Machine.Name)}
}

// otherwise is what two set-ups have each of their own.
func otherwise(a, b verdict.Setup) string {
	var out []string
	for _, x := range []struct {
		what string
		is   bool
	}{{"frame", a.Frame != b.Frame}, {"technique sheet", a.Technique != b.Technique}, {"string", a.Mains != b.Mains || a.Crosses != b.Crosses}, {"machine", a.Machine != b.Machine}} {
		if x.is {
			out = append(out, x.what)
		}
	}
	return strings.Join(out, " and ")
}

// machines are the names of the machines on which jobs were strung by their records, by the UIDs of the jobs.
func (s *Shop) machines(ctx context.Context, cards ...book.Card) (map[string]string, error) {
	uids := make([]string, len(cards))
	for i, c := range cards {
		uids[i] = records.As[records.Job](c.Fields).Machine
	}
	names, err := s.names(ctx, uids...)
	out := map[string]string{}
	for i, c := range cards {
		out[c.UID] = names[uids[i]]
	}
	return out, err
}

func stringName(y sequence.String) string {
	if y.DiameterMM > 0 {
		return fmt.Sprintf("%s %.2f mm", y.Name, y.DiameterMM)
	}
	return y.Name
}

// question is what is asked of the verdicts: the set-up of the rackets that wait, or else of the last one.
func (s *Shop) question(ctx context.Context, a Advice, machines map[string]string) (verdict.Question, error) {
	c := a.Cards[len(a.Cards)-1]
	if len(a.Waiting) > 0 {
		c = a.Waiting[0]
	}
	file, text, err := s.Book.Text(ctx, c.UID)
	if err != nil {
		return verdict.Question{}, err
	}
	w, err := s.drafted(file, string(text)) // nothing of its plan is shown
	if err != nil {
		return verdict.Question{}, err
	}
	q := verdict.Question{Setup: setup(w.Work, machines[c.UID]), Sport: w.Frame.Sport, Bed: w.bed}
	if q.Setup.Machine == "" { // a job that waits is on no machine yet: that of the strung ones
		for _, done := range a.Cards {
			if done.Entry != nil {
				q.Setup.Machine = machines[done.UID]
			}
		}
	}
	return q, nil
}

// doubtsAt are what speaks against stringing those of a lot that wait at some tensions.
func (s *Shop) doubtsAt(ctx context.Context, a Advice, mains, crosses measure.Tension) (Doubts, error) {
	var all Doubts
	for _, c := range a.Waiting {
		j := records.As[records.Job](c.Fields)
		text, err := sequence.EditTensions(j.File, []byte(j.Text), mains, crosses)
		if err != nil {
			return nil, err
		}
		j.Text = string(text)
		d, err := check{Shop: s}.tension(ctx, j, a.history)
		if err != nil {
			return nil, err
		}
		for _, one := range d {
			if !slices.Contains(all, one) { // the same of each racket is said once
				all = append(all, one)
			}
		}
	}
	return all, nil
}

// Decide changes the rackets of a lot that wait to what the stringer decided on; what was suggested is kept beside it. What is
// doubted takes the reason.
func (s *Shop) Decide(ctx context.Context, a Advice, mains, crosses measure.Tension, reason string) ([]book.Record, error) {
	if len(a.Waiting) == 0 {
		return nil, errors.New("no racket of this lot waits; there is nothing to change")
	}
	doubts, err := s.doubtsAt(ctx, a, mains, crosses)
	if err == nil {
		err = doubts.unless(reason)
	}
	if err != nil {
		return nil, err
	}
	d := a.Decide(mains, crosses, reason)
	var changes []book.Change
	for _, c := range a.Waiting {
		was := records.As[records.Job](c.Fields)
		j := was
		j.Tension = records.Bed(mains.String(), crosses.String())
		if err := s.setTensions(j.File, &j, mains, crosses); err != nil {
			return nil, err
		}
		j.Suggested, j.Decided, j.Reason = string(records.Bed(d.SuggestedMains, d.SuggestedCrosses)), string(records.Bed(d.DecidedMains, d.DecidedCrosses)), d.Reason
		changes = append(changes, book.Change{At: s.Now(), Why: cmp.Or(reason, string(a.Outcome)), Fields: records.Changed(was, j)})
	}
	uids := make([]string, len(a.Waiting))
	for i, c := range a.Waiting {
		uids[i] = c.UID
	}
	return s.Book.CorrectAll(ctx, uids, changes)
}

// Fill puts a job for each of some rackets of the lot's player into the queue. What is doubted of any of them takes the reason.
func (s *Shop) Fill(ctx context.Context, lot book.Record, path string, rackets []book.Record, promised, because string) ([]book.Record, error) {
	var set records.Job
	if err := s.JobFile(ctx, path, &set); err != nil {
		return nil, err
	}
	var list []book.Record
	var wrong []error
	for _, r := range rackets {
		j := set
		j.Player, j.Racket, j.Lot, j.Promised, j.Reason = records.As[records.Lot](lot.Fields).Player, r.UID, lot.UID, records.Moment(promised), because
		fields := records.Texts(j)
		if err := s.sane(ctx, book.Record{Kind: records.KindJob}, fields); err != nil {
			wrong = append(wrong, err)
		}
		list = append(list, book.Record{Kind: records.KindJob, At: s.Now(), Fields: fields})
	}
	if err := together(wrong); err != nil {
		return nil, err
	}
	return s.Book.AddAll(ctx, list)
}

// RacketsOf are the rackets that a list names, with commas between them, or all of the lot's player.
func (s *Shop) RacketsOf(ctx context.Context, lot book.Record, names string) ([]book.Record, error) {
	if names == "" {
		list, err := s.Book.Of(ctx, records.KindRacket, records.As[records.Lot](lot.Fields).Player)
		if err == nil && len(list) == 0 {
			err = errors.New("that player has no rackets in the book; pullcard book racket add")
		}
		slices.Reverse(list) // the first one added comes first
		return list, err
	}
	var list []book.Record
	for name := range strings.SplitSeq(names, ",") {
		r, err := s.Meant(ctx, records.KindRacket, records.As[records.Lot](lot.Fields).Player, strings.TrimSpace(name))
		if err != nil {
			return nil, err
		}
		list = append(list, r)
	}
	return list, nil
}

// Head says in one line what is suggested.
func (a Advice) Head() string {
	to := records.Bed(a.Mains.Short(), a.Crosses.Short())
	switch {
	case a.None != "":
		return a.None
	case a.Outcome == verdict.Moved:
		return fmt.Sprintf("suggested: %s for the %d that wait", to, len(a.Waiting))
	case a.Outcome == verdict.Contradictory:
		return fmt.Sprintf("the verdicts do not go together, so nothing changes: %s", to)
	}
	return fmt.Sprintf("it stays at %s", to)
}

// Choose is what the stringer decided: the suggestion where nothing was said, and of the crosses the same change as of the
// mains. The error says why there is nothing to choose.
func (a Advice) Choose(mains, crosses measure.Tension) (m, c measure.Tension, err error) {
	said := !mains.IsZero()
	if !said && a.None != "" {
		return m, c, errors.New(a.None)
	}
	if m, c = a.Mains, a.Crosses; said {
		m, c = mains, mains
		if a.None == "" {
			c = a.Judged.Crosses.Plus(m.Minus(a.Judged.Mains))
		}
	}
	if !crosses.IsZero() {
		c = crosses
	}
	return m, c, nil
}
