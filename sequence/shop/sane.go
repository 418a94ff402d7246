package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"time"

	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/verdict"
)

// Beyond what the program asks: all of it this program's own choice, far from what happens in a shop.
const (
	readingOff  = 1.5                 // times what was computed, or that part of it
	gaugeOff    = 1.25                // times what the machine was set to: one that is so far off is not used
	promiseLate = 60 * 24 * time.Hour // ahead
	boughtEarly = 20 * 365 * 24 * time.Hour
	reelMost    = 1000e3 // millimetres
	setMost     = 30e3
	setLeast    = 2e3
	cutMost     = 15e3 // for one piece of one racket
)

// sane refuses what cannot be, and doubts what most likely is not, of a record that is new or changed; was is empty for a new
// one, and change are the fields that somebody wrote or that follow from them.
func (s *Shop) sane(ctx context.Context, was book.Record, change records.Fields) error {
	k, _ := records.Find(was.Kind)
	written, err := k.ReadSome(change, s.Now())
	if err != nil {
		return nil // which the book says better, with all else
	}
	now := maps.Clone(was.Fields)
	if now == nil {
		now = records.Fields{}
	}
	for key := range change {
		now[key] = written[key]
	}
	c := check{s, was, now}
	doubts, err := c.kind(ctx)
	if err != nil {
		return err
	}
	reason, _ := k.Reason()
	return doubts.unless(written[reason.Key])
}

// reasoned takes the reason of a record away with what was doubted of it, where a change gives no other.
func (s *Shop) reasoned(ctx context.Context, was book.Record, change records.Fields) (records.Fields, error) {
	k, _ := records.Find(was.Kind)
	reason, _ := k.Reason()
	if was.Fields[reason.Key] == "" || change[reason.Key] != "" {
		return change, nil
	}
	var doubted [2]bool
	for i, fields := range []records.Fields{was.Fields, was.Fields.With(change)} {
		d, err := check{s, book.Record{Kind: was.Kind, UID: was.UID}, fields}.kind(ctx) // as if all of it were new
		if err != nil {
			return nil, err
		}
		doubted[i] = len(d) > 0
	}
	if doubted[0] && !doubted[1] {
		change = change.With(records.Fields{reason.Key: ""})
	}
	return change, nil
}

// check is a record that is looked at before it is kept.
type check struct {
	*Shop
	was book.Record
	now records.Fields
}

// changed says whether a field is new or says something else.
func (c check) changed(key string) bool { return c.now[key] != c.was.Fields[key] && c.now[key] != "" }

func (c check) kind(ctx context.Context) (Doubts, error) {
	switch c.was.Kind {
	case records.KindPlayer, records.KindMachine, records.KindStringer, records.KindLot, records.KindRacket:
		return c.twin(ctx)
	case records.KindStock:
		return c.stock(), nil
	case records.KindCut:
		return c.cut(ctx)
	case records.KindStocktaking:
		return c.counted(ctx)
	case records.KindGauge:
		return c.gauge(), nil
	case records.KindReading:
		return c.reading(), nil
	case records.KindVerdict:
		return nil, c.verdict(ctx)
	case records.KindJob:
		return c.job(ctx)
	}
	return nil, nil
}

// twin doubts a second record of one name: of rackets only the same player's count.
func (c check) twin(ctx context.Context) (d Doubts, err error) {
	k, _ := records.Find(c.was.Kind)
	name := k.Label(c.now)
	if name == "" || name == k.Label(c.was.Fields) {
		return nil, nil
	}
	list, err := c.Book.Find(ctx, k.Name, name, 0)
	if err != nil {
		return nil, err
	}
	for _, r := range list {
		if r.UID == c.was.UID || records.Fold(r.Label()) != records.Fold(name) || k.Name == records.KindRacket && r.Fields[k.Owner] != c.now[k.Owner] {
			continue
		}
		d = append(d, ask(k.NameField(), "%s %d, added %s, is called %q already; is this another one?", k.Name, r.ID, day(r.At), r.Label()))
		break
	}
	return d, nil
}

func (c check) stock() (d Doubts) {
	now := records.As[records.Stock](c.now)
	if key := records.Key(&now, &now.Bought); c.changed(key) {
		switch at := now.Bought.Time(); {
		case at.After(c.Now().Add(24 * time.Hour)):
			d = append(d, ask(key, "%s has not come yet; was it bought then?", day(at)))
		case at.Before(c.Now().Add(-boughtEarly)):
			d = append(d, ask(key, "%s is %d years ago; was it bought then?", day(at), int(c.Now().Sub(at).Hours()/24/365)))
		}
	}
	if key := records.Key(&now, &now.Length); c.changed(key) || c.changed(records.Key(&now, &now.Form)) {
		switch mm := now.Length.MM(); {
		case now.Form != records.Sets && mm > reelMost:
			d = append(d, ask(key, "a reel of %s is longer than any; is it so?", Metres(mm)))
		case now.Form == records.Sets && (mm > setMost || mm < setLeast):
			d = append(d, ask(key, "one set of %s is no usual one, which has about 12 m; is it so?", Metres(mm)))
		}
	}
	return d
}

// cut doubts one that is longer than what there is, or than any racket takes.
func (c check) cut(ctx context.Context) (Doubts, error) {
	now := records.As[records.Cut](c.now)
	key := records.Key(&now, &now.Length)
	if !c.changed(key) && !c.changed(records.Key(&now, &now.Stock)) || now.Stock == "" {
		return nil, nil
	}
	shelf, err := c.Book.Shelf(ctx, now.Stock)
	if err != nil {
		return nil, nil // that there is none is said by the book
	}
	if now.Job != "" && now.Length.MM() > cutMost {
		return Doubts{ask(key, "%s is more than one racket takes, some 12 m; is it so?", now.Length)}, nil
	}
	left := shelf.Left()
	if was := records.As[records.Cut](c.was.Fields); was.Stock == now.Stock {
		left += was.Length.MM()
	}
	if now.Length.MM() <= left+0.5 {
		return nil, nil
	}
	return Doubts{ask(key, "%s is more than there is: %s has %s left; is it so?", now.Length, shelf.Label(), Metres(max(left, 0)))}, nil
}

// counted doubts a stocktaking that found more than was bought.
func (c check) counted(ctx context.Context) (Doubts, error) {
	now := records.As[records.Stocktaking](c.now)
	shelf, err := c.Book.Shelf(ctx, now.Stock)
	if err != nil {
		return nil, nil // that there is none is said by the book
	}
	shelf.Cuts = nil
	if bought := shelf.Left(); now.Left.MM() > bought+0.5 {
		return Doubts{ask(records.Key(&now, &now.Left), "%s is more than was bought, %s; is it so?", now.Left, Metres(bought))}, nil
	}
	return nil, nil
}

func (c check) gauge() Doubts {
	now := records.As[records.Gauge](c.now)
	set, err := measure.ParseTension(now.Set)
	read, wrong := measure.ParseTension(now.Read)
	if err != nil || wrong != nil || !off(read.Newtons()/set.Newtons(), gaugeOff) {
		return nil
	}
	return Doubts{ask(records.Key(&now, &now.Read), "%s where %s was set is %.2g times as much; a machine that is so far off is mended first: is it what the gauge read?",
		now.Read, now.Set, read.Newtons()/set.Newtons())}
}

// off says whether a share is further from one than a factor either way.
func off(share, factor float64) bool { return share > factor || share < 1/factor }

func (c check) reading() Doubts {
	now := records.As[records.Reading](c.now)
	share, ok := shareOf(now)
	if key := records.Key(&now, &now.Value); ok && c.changed(key) && off(share, readingOff) {
		return Doubts{ask(key, "%s is %.2g times what the bed computes to, %s; is it what was read?", now.Value, share, now.Expected)}
	}
	return nil
}

// verdict refuses one of a racket that nobody can have played.
func (c check) verdict(ctx context.Context) error {
	now := records.As[records.Verdict](c.now)
	card, err := c.Book.Card(ctx, now.Job)
	if err == nil && (card.Entry == nil || card.Entry.State != progress.Finished) {
		return fmt.Errorf("%s: job %d has not been strung yet; a verdict is of a strung racket", records.Key(&now, &now.Job), card.ID)
	}
	return nil // a job that is not there is said by the book
}

func (c check) job(ctx context.Context) (d Doubts, err error) {
	now := records.As[records.Job](c.now)
	if err := c.hands(ctx, now); err != nil {
		return nil, err
	}
	if key := records.Key(&now, &now.Promised); c.changed(key) {
		switch at := now.Promised.Time(); {
		case at.Before(c.Now().Add(-time.Minute)):
			d = append(d, ask(key, "%s is over; was it promised for then?", minute(at)))
		case at.After(c.Now().Add(promiseLate)):
			d = append(d, ask(key, "%s is %d days ahead; was it promised for then?", day(at), int(at.Sub(c.Now()).Hours()/24)))
		case day(at.Add(-1)) != day(at): // as who says a day alone
			d = append(d, ask(key, "%s is the midnight before that day; was it promised for then, or when on that day?", minute(at)))
		}
	}
	if key, at := records.Key(&now, &now.Handed), now.Handed.Time(); c.changed(key) && at.After(c.Now().Add(time.Minute)) {
		d = append(d, ask(key, "%s has not come yet; was it handed over then?", minute(at)))
	}
	history, err := c.history(ctx, now)
	if err != nil {
		return nil, err
	}
	if c.changed(records.Key(&now, &now.Racket)) {
		for _, card := range history {
			if mark, bench := jobMark(card); bench && card.UID != c.was.UID && records.As[records.Job](card.Fields).Racket == now.Racket {
				d = append(d, ask(records.Key(&now, &now.Racket), "job %d of this racket %s already; is this a second one?", card.ID, mark))
				break
			}
		}
	}
	if !c.changed(records.Key(&now, &now.Text)) {
		return d, nil
	}
	tension, err := c.tension(ctx, now, history)
	return append(d, tension...), err
}

// history is what was done for a job's player.
func (s *Shop) history(ctx context.Context, j records.Job) ([]book.Card, error) {
	if j.Player == "" {
		return nil, nil
	}
	return s.Book.History(ctx, records.Job{Player: j.Player})
}

// hands refuses a racket or a lot of another player.
func (c check) hands(ctx context.Context, now records.Job) error {
	var wrong []error
	for _, of := range []struct{ key, uid string }{{records.Key(&now, &now.Racket), now.Racket}, {records.Key(&now, &now.Lot), now.Lot}} {
		if of.uid == "" || !c.changed(of.key) && !c.changed(records.Key(&now, &now.Player)) {
			continue
		}
		r, err := c.Book.Record(ctx, of.uid)
		if err != nil {
			continue // which is said by the book
		}
		k, _ := records.Find(r.Kind)
		owner := r.Fields[k.Owner]
		names, err := c.names(ctx, owner, now.Player)
		if err != nil {
			return err
		}
		if owner != now.Player {
			wrong = append(wrong, fmt.Errorf("%s: %s %d (%s) is %s's, and the job for %s; name one of %s's, or correct the %s's player first if it changed hands",
				of.key, r.Kind, r.ID, r.Label(), names[owner], cmp.Or(names[now.Player], "nobody"), cmp.Or(names[now.Player], "nobody"), r.Kind))
		}
	}
	return errors.Join(wrong...)
}

// tension doubts how hard a job is to be strung: beyond what the frame says, in a unit that looks wrong, or away from where the
// player's last verdict on such a racket leads.
func (c check) tension(ctx context.Context, now records.Job, history []book.Card) (d Doubts, err error) {
	w, err := c.draft(now.File, []byte(now.Text))
	if err != nil {
		return nil, nil // it was proven when it was set up; its files went meanwhile
	}
	key := records.Key(&now, &now.Tension)
	for _, text := range sequence.Doubts(w.Plan) {
		d = append(d, Doubt{key, text, true})
	}
	said, err := c.lastSaid(ctx, w, now, history)
	if said == "" || err != nil {
		return d, err
	}
	return append(d, Doubt{key, said, true}), nil
}

// lastSaid is what speaks against a job's tension in the newest verdict on a racket of its set-up: of its lot, or else the same
// racket.
func (s *Shop) lastSaid(ctx context.Context, w *Work, now records.Job, history []book.Card) (string, error) {
	for _, card := range history {
		j := records.As[records.Job](card.Fields)
		same := now.Lot != "" && j.Lot == now.Lot || now.Racket != "" && j.Racket == now.Racket
		if !same || card.Entry == nil || len(card.Verdicts) == 0 {
			continue
		}
		file, text, err := s.Book.Text(ctx, card.UID)
		if err != nil {
			return "", err
		}
		was, mains, crosses, err := s.strungFrom(book.Source{File: file, Text: text}, card)
		if err != nil || !alike(setup(was.Work, ""), setup(w, "")) {
			return "", nil
		}
		answer, err := verdict.Parse(records.As[records.Verdict](card.Verdicts[len(card.Verdicts)-1].Fields).Answer)
		if err != nil || !answer.Against(mains, crosses, w.Job.Mains, w.Job.Crosses) {
			return "", nil
		}
		return fmt.Sprintf("%s goes against the player's word: %q of job %d at %s", records.Bed(w.Job.Mains.String(), w.Job.Crosses.String()),
			answer, card.ID, records.Bed(mains.String(), crosses.String())), nil
	}
	return "", nil
}

// alike says whether what was said of a racket counts for another: where nobody said on which machine one is strung, it may be the same.
func alike(was, now verdict.Setup) bool {
	if was.Machine == "" || now.Machine == "" {
		was.Machine, now.Machine = "", ""
	}
	return was == now
}

// shareOf is a reading as a share of what was computed; ok is false where they do not compare.
func shareOf(r records.Reading) (share float64, ok bool) {
	value, unit, _ := r.Value.Split()
	expected, of, ok := r.Expected.Split()
	if per, known := records.Stiffness(unit); known && of == "N/mm" {
		value, unit = value*per, of
	}
	if !ok || unit != of || expected <= 0 {
		return 0, false
	}
	return value / expected, !math.IsInf(value/expected, 0)
}
