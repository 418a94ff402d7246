package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/schedule"
)

// Ready is a racket that can go on the bench.
type Ready struct {
	// Title says whose racket it is, Detail frame, technique and tensions, Mark where it stands.
	Title, Detail, Mark string
	// Group is the heading above it.
	Group string
	// Key names the item among those on the rack. UID names a job of the book, empty for any other item.
	Key, UID string
	// Held says that another bench of the room has it, and since when, or another stringer, and when it was begun; empty where none has.
	Held string
	// Begun says that it is in work, Parked that it was set aside, Late that it may not be ready when it was promised.
	Begun, Parked, Late bool
	// Short says in a few words where it stands and for when it is promised, as "12/64 Cy, begun 13:05 · 17:30".
	Short string
	// Name is what is printed on its ticket and found when it is typed or scanned, as "job12"; empty for what is not in the book.
	Name string
	// Machine is on which it is to be strung, empty for any. Mine says that it is of the stringer at this bench or of nobody's, Today
	// that it is promised for today or was before.
	Machine     string
	Mine, Today bool
	// Trouble says why it cannot be strung, every problem on its own line; empty when it can.
	Trouble string
}

// inQueue heads the rackets that wait, before who is away.
const inQueue = "queue, in the order to string them"

// Opener makes a racket ready for the bench.
type Opener func(context.Context) (Bench, error)

// Rack lists the jobs in progress and the queue in the order to string them, then job files, then the demo, each with what
// puts it on the bench.
func (s *Shop) Rack(ctx context.Context, files []string) (list []Ready, open []Opener, err error) {
	f, err := s.floor(ctx)
	if err != nil {
		return nil, nil, err
	}
	queue, err := s.queue(ctx, f)
	if err != nil {
		return nil, nil, err
	}
	waits := strings.Join(append([]string{inQueue}, f.away(queue, s.Now())...), "; ")
	elsewhere, err := s.heldElsewhere(ctx)
	if err != nil {
		return nil, nil, err
	}
	attempts, err := s.Book.Attempts(ctx)
	if err != nil {
		return nil, nil, err
	}
	code, err := s.codes(ctx)
	if err != nil {
		return nil, nil, err
	}
	var begun []*book.Entry
	for _, w := range queue {
		if w.Entry != nil {
			begun = append(begun, w.Entry)
		}
		item := s.ready(w, elsewhere[book.Root(w.UID)], attempts[w.UID])
		item.Name = named(w.ID, code(w.UID))
		if item.Group == inQueue {
			item.Group = waits
		}
		list, open = append(list, item), append(open, func(ctx context.Context) (Bench, error) {
			if w.Err != nil {
				return Bench{}, w.Err
			}
			return s.Open(ctx, w.UID)
		})
	}
	add := func(group, path string, w *Work, err error) {
		for _, e := range begun {
			if err == nil && s.made(path, w, e) {
				return
			}
		}
		item := Ready{Key: group + ": " + path, Group: group, Title: path}
		if err != nil {
			item.Trouble = err.Error()
		} else {
			item.Title, item.Detail = Title(w.Job.Player, w.Job.Racket, w.Plan.Frame), w.Detail()
		}
		list, open = append(list, item), append(open, func(ctx context.Context) (Bench, error) {
			if err != nil {
				return Bench{}, err
			}
			return s.OpenFile(ctx, path, w)
		})
	}
	for _, path := range files {
		w, err := s.Load(path)
		add("job files", path, w, err)
	}
	known := len(list)
	w, wrong := s.demo()
	add("demo, all of it invented", DemoFile, w, wrong)
	if known == 0 && len(list) > 0 {
		var strung []int64
		if strung, err = s.Book.Finished(ctx, "", 1); err == nil && len(strung) == 0 {
			list[0].Mark = "new here? string this one, it says what the screen shows"
		}
	}
	if err == nil {
		_, err = s.among(f.stringers)
	}
	if text := s.Elsewhere(); text != "" && err == nil {
		err = errors.New(text)
	}
	return list, open, err
}

// who says who strings a racket where.
func (w Waiting) who() string {
	return strings.Join(compact([]string{w.names[w.Job.Stringer], w.names[w.Job.Machine]}), ", ")
}

// ready is a job of the book on the rack; held says which bench of the room has it, of which one made it, where
// it is another attempt than the job's own.
func (s *Shop) ready(w Waiting, held, of string) Ready {
	item := Ready{Key: w.UID, UID: w.UID, Group: inQueue, Title: w.Title, Detail: w.Detail, Mark: w.Slot.String(), Begun: w.Entry != nil,
		Late: w.Slot.Verdict == schedule.MayBeLate || w.Slot.Verdict == schedule.WillBeLate}
	if e := w.Entry; e != nil {
		item.Parked, item.Group = w.Slot.Parked, "in progress"
		last := "left"
		if held != "" {
			last = "last step" // somebody may be at it
		}
		if book.Root(w.UID) != w.UID {
			last = strings.Join(compact([]string{"another attempt", of}), " of bench ") + ", " + last
		}
		item.Mark = fmt.Sprintf("%d/%d, %s %s; %s", e.Step, e.Steps, last, ago(s.Now().Sub(e.Last)), item.Mark)
		item.Short = fmt.Sprintf("%d/%d", e.Step, e.Steps)
		if by := w.names[w.Job.Stringer]; by != "" && s.Stringer != "" && records.Fold(by) != records.Fold(s.Stringer) {
			item.Held = fmt.Sprintf("%s has it, %s", by, w.Since)
		}
	}
	item.Held = cmp.Or(held, item.Held)
	who := strings.Join(compact([]string{w.who(), w.Since}), ", ")
	item.Detail = strings.Join(compact([]string{item.Detail, who}), " · ")
	if w.Entry == nil {
		who = w.who() // in few words
	}
	if w.Undecided { // which comes before anybody strings it
		who = undecidedWord
	}
	if likely := w.likely(); likely != "" {
		item.Mark += "; " + likely
	}
	if item.Held != "" {
		item.Short = strings.Join(compact([]string{item.Short, item.Held}), ", ")
	} else {
		item.Short = strings.Join(compact([]string{strings.TrimSpace(item.Short + " " + who), promiseWord(w.Slot, s.Now())}), " · ")
	}
	item.Machine, item.Mine = w.names[w.Job.Machine], w.Job.Stringer == "" || records.Fold(w.names[w.Job.Stringer]) == records.Fold(s.Stringer)
	item.Today = !w.Slot.Promised.IsZero() && day(w.Slot.Promised) <= day(s.Now())
	if w.Undecided {
		item.Mark += "; its lot is " + undecidedWord
	}
	if w.Gone != "" {
		item.Mark += "; " + w.Gone
	}
	if w.Short != "" {
		item.Mark, item.Late = item.Mark+"; "+w.Short, true
		item.Short = strings.Join(compact([]string{item.Short, w.ShortWord}), " · ")
	}
	if item.Parked {
		item.Group = "parked"
	}
	if w.Err != nil {
		item.Trouble = w.Err.Error()
	}
	return item
}

// likely says who will have a racket that has been given to nobody, and where it will be strung, as "likely Cy, by the window".
func (w Waiting) likely() string {
	var words []string
	if w.Job.Stringer == "" && w.Stringer != "" {
		words = append(words, w.Stringer)
	}
	if w.Job.Machine == "" && w.Machine != "" {
		words = append(words, w.Machine)
	}
	if len(words) == 0 || w.Entry != nil {
		return ""
	}
	return "likely " + strings.Join(words, ", ")
}

// promiseWord is for when a racket is promised, and whether that is too late.
func promiseWord(slot schedule.Slot, now time.Time) string {
	if slot.Promised.IsZero() {
		return ""
	}
	text := clockTime(now, slot.Promised)
	if slot.Verdict == schedule.MayBeLate || slot.Verdict == schedule.WillBeLate {
		text += " " + string(slot.Verdict)
	}
	return text
}

// TakeOver notes that the stringer at this bench goes on with a racket that somebody else had.
func (s *Shop) TakeOver(ctx context.Context, uid string) error {
	if s.Stringer == "" {
		return nil
	}
	r, err := s.Book.Record(ctx, uid)
	if err != nil {
		return err
	}
	was := records.As[records.Job](r.Fields)
	names, err := s.names(ctx, was.Stringer)
	if err != nil || records.Fold(names[was.Stringer]) == records.Fold(s.Stringer) {
		return err
	}
	me, err := s.me(ctx)
	if err == nil && me == "" {
		var r book.Record
		r, err = s.Book.Add(ctx, records.KindStringer, records.Texts(records.Stringer{Name: s.Stringer}), s.Now())
		me = r.UID
	}
	if err != nil {
		return err
	}
	now := was
	now.Stringer = me
	_, err = s.Book.Correct(ctx, uid, book.Change{Fields: records.Changed(was, now), Why: "taken over from " + cmp.Or(names[was.Stringer], "nobody named"), At: s.Now()})
	return err
}

func ago(d time.Duration) string {
	switch {
	case d < time.Minute:
		return "just now"
	case d < 2*time.Hour:
		return fmt.Sprintf("%d min ago", int(d.Minutes()))
	case d < 48*time.Hour:
		return fmt.Sprintf("%d h ago", int(d.Hours()))
	}
	return fmt.Sprintf("%d days ago", int(d.Hours()/24))
}

// heldElsewhere says of jobs that another bench of the room has since when it has them, by their UIDs.
func (s *Shop) heldElsewhere(ctx context.Context) (map[string]string, error) {
	claims, err := s.Book.Claims(ctx)
	if err != nil || len(claims) == 0 { // as where there is no room
		return nil, err
	}
	bench, _, err := s.Book.Seat(ctx)
	if err != nil {
		return nil, err
	}
	out := map[string]string{}
	for job, c := range claims {
		if c.Bench != bench {
			out[job] = fmt.Sprintf("bench %s has had it since %s", c.Bench, clockTime(s.Now(), c.At))
		}
	}
	return out, nil
}

// clockTime is a time of today, or a day and a time.
func clockTime(now, at time.Time) string {
	at = at.In(now.Location())
	switch {
	case now.Year() != at.Year():
		return at.Format("2 January 2006 15:04")
	case now.YearDay() != at.YearDay():
		return at.Format("2 January 15:04")
	}
	return at.Format("15:04")
}
