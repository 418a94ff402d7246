package shop

import (
	"context"
	"fmt"
	"slices"
	"strings"

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
	// Head names the columns of the lines' cells, the most wanted first; empty where they are no table.
	Head  []string `json:"-"`
	Lines []Line   `json:"lines"`
}

// Line is a record in a section, or only words when it has no UID.
type Line struct {
	Text string `json:"text"`
	// Cells are the same in columns.
	Cells []string     `json:"-"`
	UID   string       `json:"uid,omitempty"`
	Kind  records.Name `json:"kind,omitempty"`
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
	var before []records.Fields
	for _, c := range p.Corrections {
		before = append(before, c.Before)
	}
	items, err := s.Items(ctx, []book.Record{r}, before...)
	if err != nil {
		return p, err
	}
	p.Item = items[0]
	if p.Below, err = s.below(ctx, p.Item); err == nil && r.Kind == records.KindSheet {
		p.Below = append(p.Below, sheetBefore(r, p.Corrections)...)
	}
	if p.Below == nil {
		p.Below = []Section{}
	}
	return p, err
}

// below is what belongs to a record.
func (s *Shop) below(ctx context.Context, it Item) ([]Section, error) {
	r := it.Record
	switch r.Kind {
	case records.KindPlayer:
		history, others, err := s.Book.OfPlayer(ctx, r.UID)
		if err != nil {
			return nil, err
		}
		of := byKind(slices.All(others))
		rackets, names, err := s.racketsOf(ctx, r, of[records.KindRacket], history)
		if err != nil {
			return nil, err
		}
		lots, err := s.sections(ctx, sort{"lots", of[records.KindLot]})
		return slices.Concat(rackets, lots, jobsOf(history, names)), err
	case records.KindRacket:
		return s.racketBelow(ctx, r)
	case records.KindLot:
		history, err := s.Book.History(ctx, records.Job{Player: records.As[records.Lot](r.Fields).Player, Lot: r.UID})
		if err != nil {
			return nil, err
		}
		names, err := s.namesIn(ctx, history, func(j records.Job) []string { return []string{j.Racket} })
		return jobsOf(history, names), err
	case records.KindStock:
		return s.stockBelow(ctx, it)
	case records.KindMachine:
		return s.machineBelow(ctx, r)
	case records.KindJob:
		return s.jobBelow(ctx, it)
	case records.KindFrame, records.KindSheet:
		return shelvedBelow(r)
	}
	return nil, nil
}

// sort is one sort of records that belong to another one, the newest first.
type sort struct {
	title string
	list  []book.Record
}

// sections tell sorts of records in a line each, of many the newest; there is none without records.
func (s *Shop) sections(ctx context.Context, sorts ...sort) (out []Section, err error) {
	var uids []string
	for _, of := range sorts {
		for _, r := range of.list[:min(len(of.list), MostFound)] {
			k, _ := records.Find(r.Kind)
			owner := r.Fields[k.Owner] // of whom nothing is told
			uids = append(uids, slices.DeleteFunc(k.References(r.Fields), func(uid string) bool { return uid == owner })...)
		}
	}
	names, err := s.names(ctx, uids...)
	if err != nil {
		return nil, err
	}
	for _, of := range sorts {
		sec := Section{Title: of.title}
		for i, r := range of.list {
			if i == MostFound {
				sec.Lines = append(sec.Lines, Line{Text: fmt.Sprintf("and %d older", len(of.list)-i)})
				break
			}
			sec.Lines = append(sec.Lines, Line{Text: Item{Record: r, Names: names}.line(), UID: r.UID, Kind: r.Kind})
		}
		if sec.Lines != nil {
			out = append(out, sec)
		}
	}
	return out, nil
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

// readingWords is a reading beside what was computed: "read 590 Hz, computed 694.6 Hz, 85 %". A gauge's own unit has no share. A stiffness is
// computed at the crossing nearest the middle, as a gauge presses there; a lot's verdict goes by that under a ball.
func readingWords(r records.Reading) string {
	words := []string{"read " + string(r.Value)}
	if r.Expected != "" {
		words = append(words, "computed "+string(r.Expected))
		if _, unit, _ := r.Expected.Split(); unit != "Hz" {
			words[1] += " at the middle"
		}
	}
	if share, ok := shareOf(r); ok {
		words = append(words, fmt.Sprintf("%.0f %%", share*100))
	}
	return strings.Join(words, ", ")
}

// namesIn are what the records are called that jobs name.
func (s *Shop) namesIn(ctx context.Context, jobs []book.Card, named func(records.Job) []string) (map[string]string, error) {
	var uids []string
	for _, c := range jobs {
		uids = append(uids, named(records.As[records.Job](c.Fields))...)
	}
	return s.names(ctx, uids...)
}

// jobsOf lists jobs.
func jobsOf(history []book.Card, names map[string]string) []Section {
	if len(history) == 0 {
		return nil
	}
	sec := Section{Title: "jobs"}
	for _, c := range history {
		sec.Lines = append(sec.Lines, Line{Text: cardLine(c, names[records.As[records.Job](c.Fields).Racket]), UID: c.UID, Kind: records.KindJob})
	}
	return []Section{sec}
}

// cardLine tells a job in one line.
func cardLine(c book.Card, racket string) string {
	j := records.As[records.Job](c.Fields)
	words := []string{day(c.At), racket}
	if e := c.Entry; e != nil {
		words = append(words, e.Frame, string(records.Bed(e.Mains, e.Crosses)), e.State.Says())
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
