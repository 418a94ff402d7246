package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
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
	Text string       `json:"text"`
	UID  string       `json:"uid,omitempty"`
	Kind records.Name `json:"kind,omitempty"`
}

// names are the labels of those that a record refers to.
func (s *shop) names(r book.Record) (records.Fields, error) {
	k, _ := records.Find(r.Kind)
	names := records.Fields{}
	for _, f := range k.Fields {
		if f.Of == "" || r.Fields[f.Key] == "" {
			continue
		}
		if f.Of == records.KindJob {
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
func cardTitle(c book.Card, names records.Fields) string {
	called := records.As[records.Job](names)
	player, racket, frame := called.Player, called.Racket, fmt.Sprintf("job %d", c.ID)
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
	case records.KindPlayer:
		rackets, err := s.children("rackets", records.KindRacket, r.UID)
		if err != nil {
			return nil, err
		}
		lots, err := s.children("lots", records.KindLot, r.UID)
		if err != nil {
			return nil, err
		}
		jobs, err := s.jobsOf(r.UID, func(records.Job) bool { return true })
		return append(append(rackets, lots...), jobs...), err
	case records.KindRacket:
		return s.jobsOf(records.As[records.Racket](r.Fields).Player, func(j records.Job) bool { return j.Racket == r.UID })
	case records.KindLot:
		return s.jobsOf(records.As[records.Lot](r.Fields).Player, func(j records.Job) bool { return j.Lot == r.UID })
	case records.KindStock:
		return s.stockBelow(r)
	case records.KindMachine:
		return s.children("gauge checks", records.KindGauge, r.UID)
	case records.KindJob:
		return s.jobBelow(r)
	}
	return nil, nil
}

// children lists the records of a kind that belong to an owner.
func (s *shop) children(title string, kind records.Name, owner string) ([]section, error) {
	list, err := s.book.Of(s.ctx, kind, owner)
	if err != nil || len(list) == 0 {
		return nil, err
	}
	sec := section{Title: title}
	k, _ := records.Find(kind)
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
func recordLine(k records.Kind, r namedRecord) string {
	words := []string{r.At.Local().Format("2006-01-02")}
	if k.Name == records.KindReading {
		words = append(words, readingWords(records.As[records.Reading](r.Fields)))
	}
	for _, f := range k.Fields {
		text := r.field(f)
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
	if per, known := stiffnessUnits()[unit]; known && of == "N/mm" {
		value, unit = value*per, of
	}
	if ok && unit == of && expected > 0 {
		words = append(words, fmt.Sprintf("%.0f %%", value/expected*100))
	}
	return clean(strings.Join(words, ", "))
}

// jobsOf lists those of a player's jobs that are wanted.
func (s *shop) jobsOf(player string, wanted func(records.Job) bool) ([]section, error) {
	history, err := s.book.History(s.ctx, player)
	if err != nil {
		return nil, err
	}
	sec := section{Title: "jobs"}
	for _, c := range history {
		if wanted(records.As[records.Job](c.Fields)) {
			names, err := s.names(c.Record)
			if err != nil {
				return nil, err
			}
			sec.Lines = append(sec.Lines, pageLine{Text: cardLine(c, names), UID: c.UID, Kind: records.KindJob})
		}
	}
	if len(sec.Lines) == 0 {
		return nil, nil
	}
	return []section{sec}, nil
}

// cardLine tells a job in one line.
func cardLine(c book.Card, names records.Fields) string {
	j := records.As[records.Job](c.Fields)
	words := []string{c.At.Local().Format("2006-01-02"), records.As[records.Job](names).Racket}
	if e := c.Entry; e != nil {
		words = append(words, e.Frame, tensions(e.Mains, e.Crosses), string(e.State))
	} else {
		words = append(words, "waits", string(j.Tension), promised(j))
	}
	for _, r := range c.Readings {
		words = append(words, readingWords(records.As[records.Reading](r.Fields)))
	}
	for _, v := range c.Verdicts {
		words = append(words, v.Label())
	}
	words = compact(words)
	return clean(strings.Join(words, " · "))
}

// tensions is how hard a racket was strung.
func tensions(mains, crosses string) string { return string(records.Bed(mains, crosses)) }

func promised(j records.Job) string {
	at := j.Promised.Time()
	if at.IsZero() {
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
	k, _ := records.Find(p.Kind)
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
func changed(k records.Kind, c book.Correction, now records.Fields) string {
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
