package shop

import (
	"context"
	"maps"
	"strings"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// racketsOf lists a player's rackets, each with how it was strung last, what was read and said of it, and when it is due or that it is seen to;
// names are what it called those strings and the rackets of the jobs.
func (s *Shop) racketsOf(ctx context.Context, player book.Record, rackets []book.Record, history []book.Card) (list []Section, names map[string]string, err error) {
	theirs := map[string]string{}
	for _, r := range rackets {
		theirs[r.UID] = r.Label()
	}
	var called []string
	last, again := map[string]book.Card{}, map[string]string{}
	for _, c := range history { // the newest first
		j := records.As[records.Job](c.Fields)
		if theirs[j.Racket] == "" { // it was removed, or is somebody else's by now
			called = append(called, j.Racket)
		}
		switch {
		case c.Entry == nil:
			again[j.Racket] = "waits again"
		case c.Entry.State == progress.Open:
			again[j.Racket] = c.Entry.State.Says() + " again"
		}
		if _, there := last[j.Racket]; !there && c.Entry != nil && c.Entry.State == progress.Finished {
			last[j.Racket] = c
			called = append(called, j.Mains)
		}
	}
	if names, err = s.names(ctx, called...); err != nil {
		return nil, nil, err
	}
	maps.Copy(names, theirs)
	if len(rackets) == 0 {
		return nil, names, nil
	}
	sec := Section{Title: "rackets"}
	for _, r := range rackets {
		words := []string{r.Label(), records.As[records.Racket](r.Fields).Frame}
		if c, ok := last[r.UID]; ok {
			words = append(words, lastWords(c, names, records.As[records.Player](player.Fields), again[r.UID])...)
		} else {
			words = append(words, "not strung yet")
		}
		sec.Lines = append(sec.Lines, Line{Text: strings.Join(compact(words), " · "), UID: r.UID, Kind: records.KindRacket})
	}
	return []Section{sec}, names, nil
}

// lastWords tell how a racket was strung last, and when it is due unless it is seen to again.
func lastWords(c book.Card, names map[string]string, of records.Player, again string) []string {
	j := records.As[records.Job](c.Fields)
	words := []string{day(c.Entry.Last), string(records.Bed(c.Entry.Mains, c.Entry.Crosses)), names[j.Mains]}
	if n := len(c.Readings); n > 0 {
		words = append(words, readingWords(records.As[records.Reading](c.Readings[n-1].Fields)))
	}
	if n := len(c.Verdicts); n > 0 {
		words = append(words, c.Verdicts[n-1].Label())
	}
	if at, ok := restring(c, of); ok && again == "" {
		again = "due " + day(at)
	}
	return append(words, again)
}
