package tui

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/report"
	"pullcard/sequence/shop"
)

// The record book of the shop in memory.

func (s *house) put(kind records.Name, pairs ...string) book.Record {
	fields := records.Fields{}
	for i := 0; i < len(pairs); i += 2 {
		fields[pairs[i]] = pairs[i+1]
	}
	n := int64(1)
	for _, r := range s.records {
		if r.Kind == kind {
			n++
		}
	}
	r := book.Record{UID: fmt.Sprintf("%s-%d", kind, n), Kind: kind, ID: n, State: book.Kept, Fields: fields,
		At: time.Date(2026, 11, 1+len(s.records), 9, 0, 0, 0, time.UTC)}
	s.records = append(s.records, r)
	return r
}

func (s *house) item(r book.Record) shop.Item {
	it := shop.Item{Record: r, Names: map[string]string{}, Bench: r.Kind == records.KindJob}
	for _, other := range s.records {
		for _, text := range r.Fields {
			if text == other.UID {
				it.Names[text] = other.Label()
			}
		}
	}
	if it.Bench {
		it.Mark = "waits"
	}
	return it
}

func (s *house) Find(_ context.Context, kind records.Name, of, letters string) (items []shop.Item, err error) {
	k, _ := records.Find(kind)
	for _, r := range slices.Backward(s.records) {
		if r.Kind == kind && r.State == book.Kept && (of == "" || r.Fields[k.Owner] == of) && strings.Contains(k.Words(r.Fields), records.Fold(letters)) {
			items = append(items, s.item(r))
		}
	}
	return items, s.trouble()
}

func (s *house) Page(_ context.Context, uid string) (shop.Page, error) {
	i := slices.IndexFunc(s.records, func(r book.Record) bool { return r.UID == uid })
	p := shop.Page{Item: s.item(s.records[i])}
	for _, k := range records.Kinds() {
		of := shop.Section{Title: k.Plural}
		for _, r := range s.records {
			if r.Kind == k.Name && k.Owner != "" && r.Fields[k.Owner] == uid {
				what := cmp.Or(r.Fields["mark"], r.Fields["name"], "waits")
				of.Lines = append(of.Lines, shop.Line{Text: r.At.Format(time.DateOnly) + " · " + what, UID: r.UID, Kind: r.Kind})
			}
		}
		if len(of.Lines) > 0 {
			p.Below = append(p.Below, of)
		}
	}
	return p, s.trouble()
}

func (s *house) Keep(_ context.Context, kind records.Name, uid string, fields records.Fields, _ string) (book.Record, error) {
	if err := s.trouble(); err != nil {
		return book.Record{}, err
	}
	if uid == "" {
		r := s.put(kind)
		s.records[len(s.records)-1].Fields = fields
		return r, nil
	}
	r := &s.records[slices.IndexFunc(s.records, func(r book.Record) bool { return r.UID == uid })]
	r.Fields = fields
	return *r, nil
}

func (s *house) Print(context.Context, ...string) error { return s.trouble() }

func (s *house) EnterStrung(context.Context, string, string, time.Time) error { return s.trouble() }

func (s *house) Undecided(context.Context, string) (string, string, error) {
	return s.undecided, "the player's word suggests 23 kg", nil
}
func (s *house) NextOfLot(context.Context, string) (string, error) { return "job-2", s.trouble() }

func (s *house) TellDay(_ context.Context, at time.Time) ([]report.Section, error) {
	strung := shop.DayLine{Job: 7, Title: s.rackets[0].player + " · " + s.rackets[0].mark, At: at, Stringer: "Cy (invented)", Machine: "by the window"}
	handed := shop.DayLine{Job: 6, Title: "Ben Sommer (invented) · green tape", At: at, To: "his sister", Price: "18 EUR", Paid: true}
	d := shop.Day{Day: at.Format(time.DateOnly), Strung: []shop.DayLine{strung}, Handed: []shop.DayLine{handed}, Price: map[string]float64{"EUR": 18}, Paid: map[string]float64{"EUR": 18}}
	return []report.Section{d.Tell()}, s.trouble()
}

func (s *house) TellDue(ctx context.Context, until time.Time) ([]report.Section, error) {
	return s.TellDay(ctx, until)
}

func (s *house) TellStock(context.Context) ([]report.Section, error) { return nil, s.trouble() }

func (s *house) RestOfLot(context.Context, string) (string, error) {
	return "red dot, as job 1", s.trouble()
}

func (s *house) FillLot(context.Context, string) ([]book.Record, error) {
	return make([]book.Record, 1), s.trouble()
}

func (s *house) Lettered(kind records.Name, letters string) []string {
	return shop.Files{}.Lettered(kind, letters)
}

func (s *house) Blank(context.Context, records.Name, records.Fields) (map[string]string, error) {
	return nil, s.trouble()
}

func (s *house) References(context.Context, string) (string, error) { return "", s.trouble() }

func (s *house) Remove(_ context.Context, uid string, _ bool) error {
	s.records[slices.IndexFunc(s.records, func(r book.Record) bool { return r.UID == uid })].State = book.Removed
	return s.trouble()
}
