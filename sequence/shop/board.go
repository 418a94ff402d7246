package shop

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"pullcard/sequence/book"
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
	Told  time.Time  `json:"-"` // when a bench wrote it last, zero where none has yet
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

// Wall works out what the wall shows.
func (s *Shop) Wall(ctx context.Context, as Naming) (w Wall, err error) {
	shown := map[string]bool{} // the jobs that are there, of which there may be several attempts
	if w.Lines, err = s.wallReady(ctx, as, shown); err != nil {
		return w, err
	}
	queue, err := s.Queue(ctx)
	if err != nil {
		return w, err
	}
	claims, err := s.Book.Claims(ctx)
	if err != nil {
		return w, err
	}
	lines, own := map[Place][]WallLine{}, map[string]bool{}
	for _, q := range queue {
		own[q.UID] = true
	}
	for _, q := range queue {
		if root := book.Root(q.UID); book.Lesson(q.UID) || shown[root] || root != q.UID && own[root] {
			continue
		}
		l := WallLine{Name: as.name(q.names[q.Job.Player], q.ID), Place: Waits, At: q.Slot.Promised}
		if e := q.Entry; e != nil {
			l = WallLine{Name: as.name(e.Player, q.ID), Place: InWork, Bench: claims[book.Root(q.UID)].Bench, Step: e.Step, Steps: e.Steps, At: q.Slot.Ready.Mid}
		}
		if q.Slot.Verdict == schedule.WillBeLate {
			l.Place = IsLate
		}
		lines[l.Place] = append(lines[l.Place], l)
	}
	w.Lines = slices.Concat(w.Lines, lines[InWork], lines[IsLate], lines[Waits])
	w.Lines = w.Lines[:min(len(w.Lines), wallLines)]
	return w, err
}

func (s *Shop) wallReady(ctx context.Context, as Naming, shown map[string]bool) (list []WallLine, err error) {
	ids, err := s.Book.Finished(ctx, "", wallLines)
	if err != nil {
		return nil, err
	}
	jobs, err := s.Book.Several(ctx, ids...)
	for _, j := range jobs {
		if root := book.Root(j.UID); s.Now().Sub(j.Last) < shownFor && !book.Lesson(j.UID) && !shown[root] {
			shown[root] = true
			list = append(list, WallLine{Name: as.name(j.Player, j.ID), Place: IsReady, At: j.Last})
		}
	}
	return list, err
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

// ReadWall reads what a bench wrote for the wall and when; no text is that none has yet. The text is anybody's: too many lines are left away.
func ReadWall(text string, told time.Time) (w Wall, err error) {
	if text == "" {
		return w, nil
	}
	if err := json.Unmarshal([]byte(text), &w); err != nil {
		return Wall{}, fmt.Errorf("read what the wall shows: %w", err)
	}
	w.Told = told
	w.Lines = w.Lines[:min(len(w.Lines), wallLines)]
	return w, nil
}
