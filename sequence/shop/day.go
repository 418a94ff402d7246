package shop

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// Day is what was done on a day.
type Day struct {
	Day    string    `json:"day"`
	Strung []DayLine `json:"strung"`
	Handed []DayLine `json:"handed"`
	// Price is what the rackets cost that were handed over, Paid what of it is paid, each by its currency.
	Price map[string]float64 `json:"price"`
	Paid  map[string]float64 `json:"paid"`
}

// DayLine is a racket on a day.
type DayLine struct {
	Job      int64     `json:"job"`
	Title    string    `json:"title"`
	At       time.Time `json:"at"`
	Stringer string    `json:"stringer,omitempty"`
	Machine  string    `json:"machine,omitempty"`
	To       string    `json:"to,omitempty"`
	Price    string    `json:"price,omitempty"`
	Paid     bool      `json:"paid"`
}

// Day tells what was strung and handed over on a day, and what it came to.
func (s *Shop) Day(ctx context.Context, at time.Time) (Day, error) {
	out := Day{Day: at.Local().Format(time.DateOnly), Strung: []DayLine{}, Handed: []DayLine{}, Price: map[string]float64{}, Paid: map[string]float64{}}
	cards, err := s.Book.OfDay(ctx, out.Day)
	if err != nil {
		return out, err
	}
	var uids []string
	for _, c := range cards {
		k, _ := records.Find(c.Kind)
		uids = append(uids, k.References(c.Fields)...)
	}
	names, err := s.names(ctx, uids...)
	if err != nil {
		return out, err
	}
	for _, c := range slices.Backward(cards) {
		j := records.As[records.Job](c.Fields)
		line := DayLine{Job: c.ID, Title: cardTitle(c, names), Stringer: names[j.Stringer], Machine: names[j.Machine], To: j.To, Price: string(j.Price), Paid: j.Paid != ""}
		if e := c.Entry; e != nil && e.State == progress.Finished && e.Last.Local().Format(time.DateOnly) == out.Day {
			line.At = e.Last
			out.Strung = append(out.Strung, line)
		}
		if handed := j.Handed.Time(); handed.Local().Format(time.DateOnly) == out.Day {
			line.At = handed
			out.Handed = append(out.Handed, line)
			if v, currency, ok := j.Price.Split(); ok {
				out.Price[currency] += v
				if line.Paid {
					out.Paid[currency] += v
				}
			}
		}
	}
	return out, nil
}

// Money writes sums by their currencies, "nothing" for none.
func Money(sums map[string]float64) string {
	var words []string
	for _, currency := range slices.Sorted(maps.Keys(sums)) {
		words = append(words, strconv.FormatFloat(sums[currency], 'f', 2, 64)+" "+currency)
	}
	if len(words) == 0 {
		return "nothing"
	}
	return strings.Join(words, ", ")
}

// HandOver notes that a racket was handed over, to whom and whether it was paid.
func (s *Shop) HandOver(ctx context.Context, uid, to string, paid bool, at time.Time) (book.Record, error) {
	c, err := s.Book.Card(ctx, uid)
	if err != nil {
		return book.Record{}, err
	}
	if mark, _ := jobMark(c); c.Entry == nil || c.Entry.State == progress.Open {
		return book.Record{}, fmt.Errorf("job %d %s; what is handed over is strung: string it, enter it as strung, or give it up", c.ID, mark)
	}
	was := records.As[records.Job](c.Fields)
	now := was
	now.Handed, now.To = records.Moment(at.Format(time.RFC3339)), to
	if paid {
		now.Paid = records.Yes
	}
	return s.Correct(ctx, uid, book.Change{Fields: records.Changed(was, now), At: s.Now()})
}

// EnterStrung enters a job that waits as strung: it was strung elsewhere, or written down on paper. Each step is done at that time, so
// that nothing is taken from it for the pace.
func (s *Shop) EnterStrung(ctx context.Context, uid, why string, at time.Time) error {
	b, err := s.Open(ctx, uid)
	if err == nil && len(b.Events) > 0 {
		err = errors.New("the job has been begun; what is left of it is done at the bench")
	}
	if err != nil {
		return err
	}
	list := []progress.Event{{At: at, Kind: progress.Note, Step: 1, Why: strings.TrimSpace("entered as strung " + why)}}
	for n := range b.Plan.Steps {
		list = append(list, progress.Event{At: at, Kind: progress.Done, Step: n + 1})
	}
	return b.Recorder.enter(ctx, list)
}
