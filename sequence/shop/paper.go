package shop

import (
	"cmp"
	"context"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/ticket"
)

// Paper is what goes with a racket on paper of so many columns, by the UID of its job: before it is strung what is to be done, and
// afterwards the ticket.
func (s *Shop) Paper(ctx context.Context, uid string, columns int) (string, error) {
	c, err := s.Book.Card(ctx, uid)
	if err != nil {
		return "", err
	}
	if c.Entry != nil && c.Entry.State == progress.Finished {
		job, err := s.Book.Job(ctx, c.Entry.ID)
		if err != nil {
			return "", err
		}
		t, err := ticket.New(s.Ticket(ctx, job))
		if err != nil {
			return "", err
		}
		return t.Text(columns), nil
	}
	items, err := s.Items(ctx, []book.Record{c.Record})
	if err != nil {
		return "", err
	}
	j := records.As[records.Job](c.Fields)
	names := items[0].Names
	rows := []ticket.Row{
		{Name: "player", Value: names[j.Player]}, {Name: "racket", Value: names[j.Racket]}, {Name: "lot", Value: names[j.Lot]}, {Name: "promised", Value: strings.TrimPrefix(promised(j), "promised ")},
		{Name: "frame", Value: j.Frame}, {Name: "technique", Value: j.Technique}, {Name: "tension", Value: string(j.Tension)},
		{Name: "mains from", Value: names[j.Mains]}, {Name: "crosses", Value: names[j.Crosses]}, {Name: "machine", Value: names[j.Machine]},
		{Name: "stringer", Value: names[j.Stringer]}, {Name: "because", Value: j.Reason}, {Name: "came with", Value: j.Came}, {Name: "mind", Value: j.Notes}, {Name: "price", Value: string(j.Price)},
	}
	code, err := s.codes(ctx)
	if err != nil {
		return "", err
	}
	return ticket.Slip(named(c.ID, code(c.UID)), "TO BE STRUNG", rows, columns), nil
}

// codes gives the code of a job by its UID, by which it is called on paper and found where that is scanned or typed. It is empty where
// the number does: in a book that is no bench's of a room, whose books have numbers of their own, and of a job whose UID is none of chance,
// as a lesson's, which is in no other book, or one from the first books, of which several begin alike.
func (s *Shop) codes(ctx context.Context) (func(uid string) string, error) {
	bench, _, err := s.Book.Seat(ctx)
	return func(uid string) string {
		if code := book.Code(uid); bench != "" && Scanned(code) {
			return code
		}
		return ""
	}, err
}

// named is what a job of a number is called that may have a code.
func named(id int64, code string) string { return cmp.Or(code, fmt.Sprintf("job%d", id)) }

// Scanned says whether a text is the name of a job, as the code on a ticket has it.
func Scanned(text string) bool { return jobName().MatchString(text) }

// jobName is asked for each job on the rack.
var jobName = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^job(\d{1,9}|-[0-9a-f]{6})$`) })

// ReelLabel is what goes onto a reel or a box of sets, by the UID of its record.
func (s *Shop) ReelLabel(ctx context.Context, uid string, columns int) (string, error) {
	shelf, err := s.Book.Shelf(ctx, uid)
	if err != nil {
		return "", err
	}
	of := shelf.Stock
	bought := ""
	if at := of.Bought.Time(); !at.IsZero() {
		bought = day(at)
	}
	return ticket.Slip(fmt.Sprintf("stock%d", shelf.ID), "STRING", []ticket.Row{
		{Name: "string", Value: of.Name}, {Name: "gauge", Value: string(of.Diameter)}, {Name: "material", Value: of.Material},
		{Name: "maker's lot", Value: of.Lot}, {Name: "bought", Value: bought}, {Name: "left", Value: shelf.Shelf.String()},
	}, columns), nil
}

// Papers is what goes with several rackets, by the numbers of their jobs, one after the other.
func (s *Shop) Papers(ctx context.Context, jobs []int64, columns int) (string, error) {
	texts := make([]string, len(jobs))
	for i, id := range jobs {
		r, err := s.Meant(ctx, records.KindJob, "", strconv.FormatInt(id, 10))
		if err == nil {
			texts[i], err = s.Paper(ctx, r.UID, columns)
		}
		if err != nil {
			return "", err
		}
	}
	return strings.Join(texts, "\n"), nil
}

// Waits says whether the job of a number has not been begun; one that is not there does not wait.
func (s *Shop) Waits(ctx context.Context, job int64) (bool, error) {
	r, err := s.Meant(ctx, records.KindJob, "", strconv.FormatInt(job, 10))
	if err != nil {
		return false, nil // which is said of the job itself
	}
	card, err := s.Book.Card(ctx, r.UID)
	return err == nil && card.Entry == nil, err
}
