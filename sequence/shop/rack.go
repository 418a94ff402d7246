package shop

import (
	"context"
	"errors"
	"fmt"
	"time"

	"pullcard/sequence/book"
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
	// Held says that another bench of the room has it, and since when; empty where none has.
	Held string
	// Begun says that it is in work, Parked that it was set aside, Late that it may not be ready when it was promised.
	Begun, Parked, Late bool
	// Trouble says why it cannot be strung, every problem on its own line; empty when it can.
	Trouble string
}

// Opener makes a racket ready for the bench.
type Opener func(context.Context) (Bench, error)

// Rack lists the jobs in progress and the queue in the order to string them, then job files, then the demo, each with what
// puts it on the bench.
func (s *Shop) Rack(ctx context.Context, files []string) (list []Ready, open []Opener, err error) {
	p, err := s.Pace(ctx)
	if err != nil {
		return nil, nil, err
	}
	queue, err := s.Queue(ctx, p)
	if err != nil {
		return nil, nil, err
	}
	elsewhere, err := s.heldElsewhere(ctx)
	if err != nil {
		return nil, nil, err
	}
	var begun []*book.Entry
	for _, w := range queue {
		if w.Entry != nil {
			begun = append(begun, w.Entry)
		}
		item := s.ready(w)
		item.Held = elsewhere[w.UID]
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
	w, err := s.Demo()
	add("demo, all of it invented", DemoFile, w, err)
	strung, err := s.Book.Finished(ctx, "", 1)
	if err == nil && known == 0 && len(strung) == 0 && len(list) > 0 {
		list[0].Mark = "new here? string this one, it says what the screen shows"
	}
	if text := s.Elsewhere(); text != "" && err == nil {
		err = errors.New(text)
	}
	return list, open, err
}

// ready is a job of the book on the rack.
func (s *Shop) ready(w Waiting) Ready {
	item := Ready{Key: w.UID, UID: w.UID, Group: "queue, in the order to string them", Title: w.Title, Detail: w.Detail, Mark: w.Slot.String(), Begun: w.Entry != nil,
		Late: w.Slot.Verdict == schedule.MayBeLate || w.Slot.Verdict == schedule.WillBeLate}
	if e := w.Entry; e != nil {
		item.Parked, item.Group = w.Slot.Parked, "in progress"
		item.Mark = fmt.Sprintf("%d/%d, left %s; %s", e.Step, e.Steps, ago(s.Now().Sub(e.Last)), item.Mark)
	}
	if item.Parked {
		item.Group = "parked"
	}
	if w.Err != nil {
		item.Trouble = w.Err.Error()
	}
	return item
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
	bench, _, err := s.Book.Seat(ctx)
	if err != nil {
		return nil, err
	}
	claims, err := s.Book.Claims(ctx)
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
	if now.Format(time.DateOnly) == at.Format(time.DateOnly) {
		return at.Format("15:04")
	}
	return at.Format("2 January 15:04")
}
