package shop

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"pullcard/sequence/records"
	"pullcard/sequence/schedule"
)

// Naming is how the wall names whose racket it is.
type Naming string

// The ways of naming. Where nothing is said nobody's name is on the wall.
const (
	Initials Naming = "initials"
	Number   Naming = "number"
	FullName Naming = "full"
)

// Place is where a racket stands, for the wall.
type Place string

// The places, in the order of the wall.
const (
	IsReady Place = "ready"
	InWork  Place = "in work"
	IsLate  Place = "late"
	Waits   Place = "waiting"
)

// Wall is what a room's wall shows: rackets with names as the shop wants them there, and nothing else of anybody.
type Wall struct {
	Lines []WallLine `json:"lines"`
}

// WallLine is a racket on the wall.
type WallLine struct {
	Name  string    `json:"name"`
	Place Place     `json:"place"`
	Bench string    `json:"bench,omitempty"` // who has it
	Step  int       `json:"step,omitempty"`
	Steps int       `json:"steps,omitempty"`
	At    time.Time `json:"at,omitzero"` // when it was ready, will be about, or is promised
}

// shownFor is how long a finished racket stays on the wall, and wallLines how many lines there are at most.
const (
	shownFor  = 8 * time.Hour
	wallLines = 60
)

// Wall works out what the wall shows. It needs no plan of a job that was not begun.
func (s *Shop) Wall(ctx context.Context, as Naming) (w Wall, err error) {
	pace, err := s.Pace(ctx)
	if err != nil {
		return w, err
	}
	ready, err := s.wallReady(ctx, as)
	if err != nil {
		return w, err
	}
	work, late, err := s.wallWork(ctx, pace, as)
	if err != nil {
		return w, err
	}
	waiting, over, err := s.wallWaiting(ctx, pace, as)
	w.Lines = append(append(append(append(ready, work...), late...), over...), waiting...)
	w.Lines = w.Lines[:min(len(w.Lines), wallLines)]
	return w, err
}

func (s *Shop) wallReady(ctx context.Context, as Naming) (list []WallLine, err error) {
	ids, err := s.Book.Finished(ctx, "", wallLines)
	if err != nil {
		return nil, err
	}
	jobs, err := s.Book.Several(ctx, ids...)
	for _, j := range jobs {
		if s.Now().Sub(j.Last) < shownFor {
			list = append(list, WallLine{Name: as.name(j.Player, j.ID), Place: IsReady, At: j.Last})
		}
	}
	return list, err
}

func (s *Shop) wallWork(ctx context.Context, pace schedule.Pace, as Naming) (work, late []WallLine, err error) {
	list, line, err := s.inWork(ctx, pace)
	if err != nil {
		return nil, nil, err
	}
	claims, err := s.Book.Claims(ctx)
	for i, w := range list {
		l := WallLine{Name: as.name(w.Entry.Player, w.ID), Place: InWork, Bench: claims[w.UID].Bench, Step: w.Entry.Step, Steps: w.Entry.Steps,
			At: s.Now().Add(line[i].Left.Mid).Truncate(time.Minute)} // at a bench of its own
		if promised := line[i].Promised; !promised.IsZero() && l.At.After(promised) {
			l.Place = IsLate
			late = append(late, l)
			continue
		}
		work = append(work, l)
	}
	return work, late, err
}

func (s *Shop) wallWaiting(ctx context.Context, pace schedule.Pace, as Naming) (waiting, late []WallLine, err error) {
	cards, err := s.Book.Queue(ctx)
	if err != nil {
		return nil, nil, err
	}
	items, err := s.named(ctx, cards)
	for _, it := range items {
		j := records.As[records.Job](it.Fields)
		l := WallLine{Name: as.name(it.Names[j.Player], it.ID), Place: Waits, At: j.Promised.Time()}
		if !l.At.IsZero() && s.Now().Add(pace.Whole.Mid).After(l.At) {
			l.Place = IsLate
			late = append(late, l)
			continue
		}
		waiting = append(waiting, l)
	}
	return waiting, late, err
}

// name is what the wall calls a racket. A job without a player has its number.
func (n Naming) name(player string, id int64) string {
	switch {
	case player == "" || n == Number:
		return fmt.Sprint(id)
	case n == FullName:
		return player
	}
	var out strings.Builder
	for _, word := range strings.Fields(player) {
		if r, _ := utf8.DecodeRuneInString(word); unicode.IsLetter(r) {
			out.WriteRune(unicode.ToUpper(r))
		}
	}
	if out.Len() == 0 {
		return fmt.Sprint(id)
	}
	return out.String()
}

// ReadWall reads what a bench wrote for the wall. The text is anybody's: too many lines are left away.
func ReadWall(text string) (w Wall, err error) {
	if text == "" {
		return w, nil
	}
	if err := json.Unmarshal([]byte(text), &w); err != nil {
		return Wall{}, fmt.Errorf("read what the wall shows: %w", err)
	}
	w.Lines = w.Lines[:min(len(w.Lines), wallLines)]
	return w, nil
}

// Post has a seat write what the wall shows, where it is another than the bench wrote last.
func (s *Shop) Post(ctx context.Context, seat *Seat, as Naming) error {
	w, err := s.Wall(ctx, as)
	if err != nil {
		return err
	}
	text, err := json.Marshal(w)
	if err != nil || string(text) == seat.posted {
		return err
	}
	if err := seat.Room.Show(ctx, string(text)); err != nil {
		return err
	}
	seat.posted = string(text)
	return nil
}
