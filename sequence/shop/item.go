package shop

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// Item is a record as a list shows it.
type Item struct {
	book.Record
	// Names are what the records are called that its fields refer to, by their UIDs.
	Names map[string]string
	// Mark says where it stands, as "waits" of a job or "152.3 m left" of a reel; empty where there is nothing to say.
	Mark string
	// Bench says that it is a job that can go on the bench, Begun that it is one that was begun, Fetch that work on it is over and nobody has
	// fetched the racket, Unstrung that its racket is not strung, so that nobody can have played or measured the bed.
	Bench, Begun, Fetch, Unstrung bool

	shelf book.Shelf  // of a stock
	entry *book.Entry // of a job that was begun
}

// Dated says what happened when a record has its time: a job was begun, what hangs on a job, a machine or a string is of then, and all
// else was added to the book.
func (it Item) Dated() string {
	k, _ := records.Find(it.Kind)
	owner, _ := k.Field(k.Owner)
	switch {
	case it.Begun:
		return "begun"
	case slices.Contains([]records.Name{records.KindJob, records.KindMachine, records.KindStock}, owner.Of):
		return "at"
	}
	return "added"
}

// Dates heads a column of when records were added or begun, and says it of each; where it was the same of all, the heading says what.
func Dates(list []Item, when func(time.Time) string) (head string, cells []string) {
	for _, it := range list {
		cells = append(cells, when(it.At))
		if head = cmp.Or(head, it.Dated()); head != it.Dated() {
			head = "since"
		}
	}
	for i, it := range list {
		if head == "since" {
			cells[i] = it.Dated() + " " + cells[i]
		}
	}
	return head, cells
}

// Says is what a field says to people: a name for what it refers to, a time in their zone.
func (it Item) Says(f records.Field) string {
	text := it.Fields[f.Key]
	if f.Of != "" && text != "" {
		text = it.Names[text]
	}
	text, _, _ = strings.Cut(text, "\n")
	if at, err := time.Parse(time.RFC3339, text); err == nil {
		text = minute(at)
	}
	return text
}

func minute(at time.Time) string { return at.Local().Format("2006-01-02 15:04") }

func day(at time.Time) string { return at.Local().Format(time.DateOnly) }

// Items adds to records of one kind what they refer to, and before besides to all of them, and where they stand.
func (s *Shop) Items(ctx context.Context, list []book.Record, before ...records.Fields) ([]Item, error) {
	items, err := s.named(ctx, list, before...)
	if err != nil || len(items) == 0 {
		return items, err
	}
	switch items[0].Kind {
	case records.KindStock:
		shelves, err := s.Book.ShelvesOf(ctx, list...)
		for i := range shelves {
			items[i].Mark, items[i].shelf = shelves[i].String(), shelves[i]
		}
		return items, err
	case records.KindJob:
		cards, err := s.Book.Strung(ctx, list...)
		for i := range items {
			c := cards[items[i].UID]
			items[i].entry = c.Entry
			items[i].Mark, items[i].Bench = jobMark(c)
			items[i].Begun, items[i].Unstrung = c.Entry != nil, c.Entry == nil || c.Entry.State != progress.Finished
			items[i].Fetch = c.Entry != nil && c.Entry.State != progress.Open && records.As[records.Job](c.Fields).Handed == ""
		}
		return items, err
	}
	return items, nil
}

// named adds to records what they refer to, and before besides to all of them.
func (s *Shop) named(ctx context.Context, list []book.Record, before ...records.Fields) ([]Item, error) {
	var uids []string
	for _, r := range list {
		k, _ := records.Find(r.Kind)
		for _, said := range append(before, r.Fields) {
			uids = append(uids, k.References(said)...)
		}
	}
	names, err := s.names(ctx, uids...)
	if err != nil {
		return nil, err
	}
	items := make([]Item, len(list))
	for i, r := range list {
		items[i] = Item{Record: r, Names: names}
	}
	return items, nil
}

// names are what records are called, by their UIDs; an empty UID stands for none.
func (s *Shop) names(ctx context.Context, uids ...string) (map[string]string, error) {
	list, err := s.Book.Records(ctx, uids...)
	if err != nil {
		return nil, err
	}
	names := map[string]string{}
	var jobs []book.Record
	for uid, r := range list {
		if names[uid] = r.Label(); r.Kind == records.KindJob {
			jobs = append(jobs, r)
		}
	}
	if len(jobs) == 0 {
		return names, nil
	}
	cards, err := s.Book.Strung(ctx, jobs...)
	if err != nil {
		return nil, err
	}
	var whose []string
	for _, c := range cards {
		j := records.As[records.Job](c.Fields)
		whose = append(whose, j.Player, j.Racket)
	}
	called, err := s.names(ctx, whose...)
	for uid, c := range cards {
		names[uid] = cardTitle(c, called)
	}
	return names, err
}

// cardTitle is whose job it is and which racket.
func cardTitle(c book.Card, names map[string]string) string {
	j := records.As[records.Job](c.Fields)
	player, racket := names[j.Player], names[j.Racket]
	if e := c.Entry; e != nil {
		return Title(cmp.Or(player, e.Player), cmp.Or(racket, e.Racket), e.Frame)
	}
	return Title(player, racket, fmt.Sprintf("job %d", c.ID))
}

// jobMark says where a job stands and whether it can go on the bench.
func jobMark(c book.Card) (string, bool) {
	j := records.As[records.Job](c.Fields)
	switch e := c.Entry; {
	case e == nil && j.Text == "":
		return "has no tension yet", false
	case e == nil:
		return "waits", true
	case e.State == progress.Open && j.Parked != "":
		return fmt.Sprintf("parked at %d/%d", e.Step, e.Steps), true
	case e.State == progress.Open:
		return fmt.Sprintf("%s %d/%d", e.State.Says(), e.Step, e.Steps), true
	case e.State == progress.Finished:
		return e.State.Says() + " " + string(records.Bed(e.Mains, e.Crosses)), false
	}
	return c.Entry.State.Says(), false
}

// Metres writes a length in metres, to the tenth.
func Metres(mm float64) string { return fmt.Sprintf("%.1f m", mm/1000) }
