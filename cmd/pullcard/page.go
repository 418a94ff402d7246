package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/house"
)

// page is a record with its corrections and what belongs to it.
type page struct {
	namedRecord
	Corrections []book.Correction `json:"corrections"`
	Below       []section         `json:"below"`
}

// section is one kind of what belongs to a record.
type section struct {
	Title string     `json:"title"`
	Lines []pageLine `json:"lines"`
}

// pageLine is a record in a section, or only words.
type pageLine struct {
	Text string     `json:"text"`
	UID  string     `json:"uid,omitempty"`
	Kind house.Name `json:"kind,omitempty"`
}

// names are the labels of those that a record refers to.
func (s *shop) names(r book.Record) (house.Fields, error) {
	k, _ := house.Find(r.Kind)
	names := house.Fields{}
	for _, f := range k.Fields {
		if f.Of == "" || r.Fields[f.Key] == "" {
			continue
		}
		if f.Of == house.Job {
			name, err := s.jobName(r.Fields[f.Key])
			if err != nil {
				return nil, err
			}
			names[f.Key] = name
			continue
		}
		of, err := s.book.Record(s.ctx, r.Fields[f.Key])
		if err != nil {
			return nil, err
		}
		names[f.Key] = of.Label()
	}
	return names, nil
}

// jobName is what a job is called among others.
func (s *shop) jobName(uid string) (string, error) {
	c, err := s.book.Card(s.ctx, uid)
	if err != nil {
		return "", err
	}
	names, err := s.names(c.Record)
	if err != nil {
		return "", err
	}
	return cardTitle(c, names), nil
}

// cardTitle is whose job it is and which racket.
func cardTitle(c book.Card, names house.Fields) string {
	player, racket, frame := names["player"], names["racket"], fmt.Sprintf("job %d", c.ID)
	if c.Entry != nil {
		player, racket, frame = cmp.Or(player, c.Entry.Player), cmp.Or(racket, c.Entry.Racket), c.Entry.Frame
	}
	return title(player, racket, frame)
}

// page reads a record with everything that belongs to it.
func (s *shop) page(uid string) (p page, err error) {
	r, err := s.book.Record(s.ctx, uid)
	if err != nil {
		return p, err
	}
	p.Record = r
	if p.Names, err = s.names(r); err != nil {
		return p, err
	}
	if p.Corrections, err = s.book.Corrections(s.ctx, uid); err != nil {
		return p, err
	}
	p.Below, err = s.below(r)
	if p.Below == nil {
		p.Below = []section{}
	}
	return p, err
}

// below is what belongs to a record.
func (s *shop) below(r book.Record) ([]section, error) {
	switch r.Kind {
	case house.Player:
		rackets, err := s.children("rackets", house.Racket, r.UID)
		if err != nil {
			return nil, err
		}
		lots, err := s.children("lots", house.Lot, r.UID)
		if err != nil {
			return nil, err
		}
		jobs, err := s.jobsOf(r.UID, "", "")
		return append(append(rackets, lots...), jobs...), err
	case house.Racket:
		return s.jobsOf(r.Fields["player"], "racket", r.UID)
	case house.Lot:
		return s.jobsOf(r.Fields["player"], "lot", r.UID)
	case house.Stock:
		return s.stockBelow(r)
	case house.Machine:
		return s.children("gauge checks", house.Gauge, r.UID)
	case house.Job:
		return s.jobBelow(r)
	}
	return nil, nil
}

// children lists the records of a kind that belong to an owner.
func (s *shop) children(title string, kind house.Name, owner string) ([]section, error) {
	list, err := s.book.Of(s.ctx, kind, owner)
	if err != nil || len(list) == 0 {
		return nil, err
	}
	sec := section{Title: title}
	k, _ := house.Find(kind)
	for _, r := range list {
		names, err := s.names(r)
		if err != nil {
			return nil, err
		}
		sec.Lines = append(sec.Lines, pageLine{Text: recordLine(k, namedRecord{r, names}), UID: r.UID, Kind: kind})
	}
	return []section{sec}, nil
}

// recordLine tells a record in one line: when, then what its fields say but for its owner.
func recordLine(k house.Kind, r namedRecord) string {
	words := []string{r.At.Local().Format("2006-01-02")}
	if k.Name == house.Reading {
		words = append(words, readingWords(r.Fields))
	}
	for _, f := range k.Fields {
		text := r.field(f)
		if text == "" || f.Key == k.Owner || f.Whole || f.Key == "file" || k.Name == house.Reading && (f.Key == "value" || f.Key == "expected") {
			continue
		}
		if says := lead(k.Name, f.Key); says != "" {
			text = says + " " + text
		}
		words = append(words, text)
	}
	return strings.Join(words, " · ")
}

// lead is what stands before a field that does not say by itself what it is, empty for the others.
func lead(kind house.Name, key string) string {
	switch kind {
	case house.Reading:
		return map[string]string{"temperature": "at", "after": "after"}[key]
	case house.Gauge:
		return map[string]string{"set": "set to", "read": "the gauge read", "stringer": "by"}[key]
	case house.Cut:
		return map[string]string{"for": "for"}[key]
	}
	return ""
}

// readingWords is a reading beside what was computed: "590 Hz, computed 694.6 Hz, 85 %". A gauge's own unit has no share.
func readingWords(f house.Fields) string {
	words := []string{f["value"]}
	if f["expected"] != "" {
		words = append(words, "computed "+f["expected"])
	}
	value, unit, _ := house.Split(f["value"])
	expected, of, ok := house.Split(f["expected"])
	if per, known := stiffnessUnits()[unit]; known && of == "N/mm" {
		value, unit = value*per, of
	}
	if ok && unit == of && expected > 0 {
		words = append(words, fmt.Sprintf("%.0f %%", value/expected*100))
	}
	return clean(strings.Join(words, ", "))
}

// jobsOf lists the jobs of a player, or those of them with a value in a field.
func (s *shop) jobsOf(player, key, value string) ([]section, error) {
	history, err := s.book.History(s.ctx, player)
	if err != nil {
		return nil, err
	}
	sec := section{Title: "jobs"}
	for _, c := range history {
		if key == "" || c.Fields[key] == value {
			names, err := s.names(c.Record)
			if err != nil {
				return nil, err
			}
			sec.Lines = append(sec.Lines, pageLine{Text: cardLine(c, names), UID: c.UID, Kind: house.Job})
		}
	}
	if len(sec.Lines) == 0 {
		return nil, nil
	}
	return []section{sec}, nil
}

// cardLine tells a job in one line.
func cardLine(c book.Card, names house.Fields) string {
	words := []string{c.At.Local().Format("2006-01-02"), names["racket"]}
	if e := c.Entry; e != nil {
		words = append(words, e.Frame, tensions(e.Mains, e.Crosses), string(e.State))
	} else {
		words = append(words, "waits", c.Fields["tension"], promised(c.Record))
	}
	for _, r := range c.Readings {
		words = append(words, readingWords(r.Fields))
	}
	for _, v := range c.Verdicts {
		words = append(words, v.Fields["answer"])
	}
	words = compact(words)
	return clean(strings.Join(words, " · "))
}

// tensions is how hard a racket was strung.
func tensions(mains, crosses string) string {
	if mains == crosses || crosses == "" {
		return mains
	}
	return mains + " / " + crosses
}

func promised(r book.Record) string {
	at, err := time.Parse(time.RFC3339, r.Fields["promised"])
	if err != nil {
		return ""
	}
	return "promised " + at.Local().Format("2006-01-02 15:04")
}

func compact(words []string) []string {
	var kept []string
	for _, w := range words {
		if w != "" {
			kept = append(kept, w)
		}
	}
	return kept
}

func writePage(w io.Writer, p page) error {
	k, _ := house.Find(p.Kind)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "%s %d\t%s\n", p.Kind, p.ID, clean(p.Label()))
	fmt.Fprintf(t, "since\t%s\n", p.At.Local().Format("2006-01-02 15:04"))
	if p.State != book.Kept {
		fmt.Fprintf(t, "state\t%s\n", map[book.RecordState]string{book.Left: "removed", book.Forgotten: "forgotten"}[p.State])
	}
	for _, f := range k.Fields {
		if text := p.field(f); text != "" && !f.Whole {
			fmt.Fprintf(t, "%s\t%s\n", f.Label, text)
		}
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, c := range p.Corrections {
		fmt.Fprintf(w, "until %s %s\n", c.At.Local().Format("2006-01-02 15:04"), clean(changed(k, c, p.Fields)))
	}
	for _, s := range p.Below {
		fmt.Fprintf(w, "\n%s\n", s.Title)
		for _, l := range s.Lines {
			fmt.Fprintf(w, "  %s\n", l.Text)
		}
	}
	return nil
}

// changed tells what a record said before a correction where it says something else now.
func changed(k house.Kind, c book.Correction, now house.Fields) string {
	var words []string
	for _, f := range k.Fields {
		if c.Before[f.Key] == now[f.Key] || f.Of != "" && c.Before[f.Key] != "" {
			continue
		}
		words = append(words, f.Label+" "+cmp.Or(c.Before[f.Key], "empty"))
	}
	text := strings.Join(words, ", ")
	if c.Why != "" {
		text += " (" + c.Why + ")"
	}
	return text
}
