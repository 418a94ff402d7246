package shop

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// Page is one record with what is known of it.
type Page struct {
	Item // its Names hold also what was referred to before a correction
	// Corrections are what it said before, the oldest first.
	Corrections []book.Correction
	Below       []Section
}

// Section is one sort of what belongs to a record.
type Section struct {
	Title string `json:"title"` // as "rackets"
	Lines []Line `json:"lines"`
}

// Line is a record in a section, or only words when it has no UID.
type Line struct {
	Text string       `json:"text"`
	UID  string       `json:"uid,omitempty"`
	Kind records.Name `json:"kind,omitempty"`
}

// Page reads one record with all that belongs to it.
func (s *Shop) Page(ctx context.Context, uid string) (p Page, err error) {
	r, err := s.Book.Record(ctx, uid)
	if err != nil {
		return p, err
	}
	if p.Corrections, err = s.Book.Corrections(ctx, uid); err != nil {
		return p, err
	}
	items, err := s.Items(ctx, []book.Record{r})
	if err != nil {
		return p, err
	}
	p.Item = items[0]
	if len(p.Corrections) > 0 {
		before := make([]records.Fields, len(p.Corrections))
		for i, c := range p.Corrections {
			before[i] = c.Before
		}
		if items, err = s.named(ctx, []book.Record{r}, before...); err != nil {
			return p, err
		}
		p.Names = items[0].Names
	}
	p.Below, err = s.below(ctx, r)
	if p.Below == nil {
		p.Below = []Section{}
	}
	return p, err
}

// below is what belongs to a record.
func (s *Shop) below(ctx context.Context, r book.Record) ([]Section, error) {
	switch r.Kind {
	case records.KindPlayer:
		rackets, err := s.children(ctx, "rackets", records.KindRacket, r.UID)
		if err != nil {
			return nil, err
		}
		lots, err := s.children(ctx, "lots", records.KindLot, r.UID)
		if err != nil {
			return nil, err
		}
		jobs, err := s.jobsOf(ctx, records.Job{Player: r.UID})
		return slices.Concat(rackets, lots, jobs), err
	case records.KindRacket:
		return s.jobsOf(ctx, records.Job{Player: records.As[records.Racket](r.Fields).Player, Racket: r.UID})
	case records.KindLot:
		return s.jobsOf(ctx, records.Job{Player: records.As[records.Lot](r.Fields).Player, Lot: r.UID})
	case records.KindStock:
		return s.stockBelow(ctx, r)
	case records.KindMachine:
		return s.children(ctx, "gauge checks", records.KindGauge, r.UID)
	case records.KindJob:
		return s.jobBelow(ctx, r)
	}
	return nil, nil
}

// children lists the records of a kind that belong to an owner.
func (s *Shop) children(ctx context.Context, title string, kind records.Name, owner string) ([]Section, error) {
	list, err := s.Book.Of(ctx, kind, owner)
	if err != nil || len(list) == 0 {
		return nil, err
	}
	items, err := s.named(ctx, list)
	if err != nil {
		return nil, err
	}
	sec := Section{Title: title}
	for _, it := range items {
		sec.Lines = append(sec.Lines, Line{Text: it.line(), UID: it.UID, Kind: kind})
	}
	return []Section{sec}, nil
}

// line tells a record in one line: when, then what its fields say but for its owner.
func (it Item) line() string {
	k, _ := records.Find(it.Kind)
	words := []string{day(it.At)}
	if k.Name == records.KindReading {
		words = append(words, readingWords(records.As[records.Reading](it.Fields)))
	}
	for _, f := range k.Fields {
		text := it.Says(f)
		if text == "" || f.Key == k.Owner || f.Whole || f.File || k.Name == records.KindReading && (f.Called || f.Derived) {
			continue
		}
		words = append(words, strings.TrimSpace(f.Lead+" "+text))
	}
	return strings.Join(words, " · ")
}

// readingWords is a reading beside what was computed: "590 Hz, computed 694.6 Hz, 85 %". A gauge's own unit has no share.
func readingWords(r records.Reading) string {
	words := []string{string(r.Value)}
	if r.Expected != "" {
		words = append(words, "computed "+string(r.Expected))
	}
	value, unit, _ := r.Value.Split()
	expected, of, ok := r.Expected.Split()
	if per, known := stiffnessUnit(unit); known && of == "N/mm" {
		value, unit = value*per, of
	}
	if ok && unit == of && expected > 0 {
		words = append(words, fmt.Sprintf("%.0f %%", value/expected*100))
	}
	return strings.Join(words, ", ")
}

// jobsOf lists those of a player's jobs that have what like has.
func (s *Shop) jobsOf(ctx context.Context, like records.Job) ([]Section, error) {
	history, err := s.Book.History(ctx, like)
	if err != nil || len(history) == 0 {
		return nil, err
	}
	rackets := make([]string, len(history))
	for i, c := range history {
		rackets[i] = records.As[records.Job](c.Fields).Racket
	}
	names, err := s.names(ctx, rackets...)
	sec := Section{Title: "jobs"}
	for i, c := range history {
		sec.Lines = append(sec.Lines, Line{Text: cardLine(c, names[rackets[i]]), UID: c.UID, Kind: records.KindJob})
	}
	return []Section{sec}, err
}

// cardLine tells a job in one line.
func cardLine(c book.Card, racket string) string {
	j := records.As[records.Job](c.Fields)
	words := []string{day(c.At), racket}
	if e := c.Entry; e != nil {
		words = append(words, e.Frame, string(records.Bed(e.Mains, e.Crosses)), string(e.State))
	} else {
		words = append(words, "waits", string(j.Tension), promised(j))
	}
	for _, r := range c.Readings {
		words = append(words, readingWords(records.As[records.Reading](r.Fields)))
	}
	for _, v := range c.Verdicts {
		words = append(words, v.Label())
	}
	return strings.Join(compact(words), " · ")
}

func promised(j records.Job) string {
	at := j.Promised.Time()
	if at.IsZero() {
		return ""
	}
	return "promised " + minute(at)
}

// compact leaves the empty ones away.
func compact(words []string) []string {
	return slices.DeleteFunc(words, func(w string) bool { return w == "" })
}

// stiffnessUnit is a unit of stiffness in N/mm.
func stiffnessUnit(name string) (per float64, known bool) {
	switch name {
	case "N/mm", "kN/m":
		return 1, true
	case "N/cm":
		return 0.1, true
	case "N/m":
		return 0.001, true
	case "kg/mm":
		return measure.NewtonsPerKgf, true
	case "kg/cm":
		return measure.NewtonsPerKgf / 10, true
	case "lb/in":
		return measure.NewtonsPerLbf / measure.MillimetresPerIn, true
	}
	return 0, false
}
