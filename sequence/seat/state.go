package seat

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"pullcard/patterns/harmless"
	"pullcard/sequence/book"
	"pullcard/sequence/report"
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
)

// Member is a bench as another one sees it.
type Member struct {
	Bench  string    `json:"bench"`
	Login  string    `json:"login"`
	Seen   time.Time `json:"seen"`
	Gone   bool      `json:"left,omitempty"`
	Behind int64     `json:"behind"` // rows of the room that it had not got when it said last what it has
}

// State is how a room stands, as one bench sees it.
type State struct {
	Bench   string               `json:"bench"`
	Room    string               `json:"room"`
	Way     string               `json:"way"`
	Least   int                  `json:"least"`  // the least version of the rows that the room takes
	Writes  int                  `json:"writes"` // the version that this program writes
	Rows    int64                `json:"rows"`
	Waiting int64                `json:"waiting"`          // rows of this bench that the room has not got
	Missing int64                `json:"missing"`          // rows of other benches that this book has and the room has not
	Unfit   []book.Unfit         `json:"unfit,omitempty"`  // rows that are kept and not taken in
	Shared  [][]string           `json:"shared,omitempty"` // benches that come as the same login each
	Members []Member             `json:"members"`
	Ahead   map[string]time.Time `json:"ahead,omitempty"` // benches whose clocks were more than a day ahead of this one's
}

// State asks how the room stands.
func (s *Seat) State(ctx context.Context) (st State, err error) {
	st = State{Bench: s.Bench, Room: s.Target.String(), Way: s.Target.Way(), Writes: room.Version}
	if st.Least, err = s.Room.Least(ctx); err != nil {
		return st, err
	}
	has, err := s.Room.Vector(ctx)
	if err != nil {
		return st, err
	}
	list, err := s.Room.Members(ctx)
	if err != nil {
		return st, err
	}
	logins := map[string][]string{}
	for _, n := range has {
		st.Rows += n
	}
	for _, m := range list {
		behind := int64(0)
		for epoch, n := range has {
			behind += max(n-m.Has[epoch], 0)
		}
		st.Members = append(st.Members, Member{m.Bench, m.Login, m.Seen, m.Gone, behind})
		if !m.Gone {
			logins[m.Login] = append(logins[m.Login], m.Bench)
		}
	}
	for _, login := range slices.Sorted(maps.Keys(logins)) {
		if len(logins[login]) > 1 {
			st.Shared = append(st.Shared, logins[login])
		}
	}
	own, err := s.Book.OwnEpochs(ctx)
	if err != nil {
		return st, err
	}
	missing, err := s.Missing(ctx)
	if err != nil {
		return st, err
	}
	if st.Waiting, err = s.Book.Unsealed(ctx); err != nil {
		return st, err
	}
	for epoch, n := range missing {
		if slices.Contains(own, epoch) {
			st.Waiting += n
		} else {
			st.Missing += n
		}
	}
	if st.Unfit, err = s.Book.Unfit(ctx); err != nil {
		return st, err
	}
	st.Ahead, err = s.Book.ClocksAhead(ctx, s.Now())
	return st, err
}

// Tell tells how the room stands.
func (st State) Tell() (s report.Section) {
	s.Say("bench %s in the room %s", st.Bench, st.Room)
	s.Say("the way to it: %s", st.Way)
	s.Say("it takes changes of version %d and newer; this pullcard writes version %d", st.Least, st.Writes)
	if st.Writes < st.Least {
		s.Warn("this pullcard is too old to write here: put a newer one on this bench; what it wrote is kept, and goes then")
	}
	s.Say("changes: %d in the room, %d of this bench still to be given", st.Rows, st.Waiting)
	if st.Missing > 0 {
		s.Warn(fmt.Sprintf("%d changes of other benches are in this book and not in the room; pullcard room check", st.Missing))
	}
	for _, benches := range st.Shared {
		s.Warn(fmt.Sprintf("not kept apart, as they come with one login: benches %s; pullcard room rights", strings.Join(benches, ", ")))
	}
	for _, u := range st.Unfit {
		s.Warn(fmt.Sprintf("kept and not taken in: row %d of bench %s, a %s: %s", u.Seq, u.Bench, u.Kind, u.Why))
	}
	for _, bench := range slices.Sorted(maps.Keys(st.Ahead)) {
		s.Warn(fmt.Sprintf("a clock is wrong: bench %s wrote by %s, more than a day from now; set it, nobody follows it", bench, st.Ahead[bench].Format("2006-01-02 15:04")))
	}
	rows := []string{"bench\tlogin\tseen\tbehind"}
	for _, m := range st.Members {
		left := ""
		if m.Gone {
			left = ", has left"
		}
		rows = append(rows, fmt.Sprintf("%s\t%s\t%s%s\t%d", harmless.Text(m.Bench), harmless.Text(m.Login), m.Seen.Local().Format("2006-01-02 15:04:05"), left, m.Behind))
	}
	s.Table(0, rows...)
	return s
}

// Check holds the room against the book: who has what, and whether the logs are the same as far as both have them. It gives a sentence
// for each thing that differs, and for each bench that has not all.
func (s *Seat) Check(ctx context.Context) (list []string, err error) {
	add := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	tips, err := s.Room.Tips(ctx)
	if err != nil {
		return nil, err
	}
	have, err := s.Book.Vector(ctx)
	if err != nil {
		return nil, err
	}
	own, err := s.Book.OwnEpochs(ctx)
	if err != nil {
		return nil, err
	}
	for _, t := range tips {
		if n := min(t.Seq, have[t.Epoch]); n > 0 {
			here, err := s.Book.Rows(ctx, t.Epoch, n-1, 1)
			if err != nil {
				return nil, err
			}
			there, err := s.Room.Hash(ctx, t.Epoch, n)
			if err != nil {
				return nil, err
			}
			if len(here) != 1 || !bytes.Equal(here[0].Hash, there) {
				add("bench %s, %s: row %d is another one here than in the room", t.Bench, t.Epoch, n)
			}
		}
		if n := t.Seq - have[t.Epoch]; n > 0 {
			add("bench %s, %s: %d rows of the room are not in this book; pullcard room sync fetches them", t.Bench, t.Epoch, n)
		}
		delete(have, t.Epoch)
		for _, m := range t.Lack {
			add("bench %s has not said that it has all of bench %s, %s: %d rows are to come", m.Bench, t.Bench, t.Epoch, m.Rows)
		}
	}
	missing, err := s.Missing(ctx)
	if err != nil {
		return nil, err
	}
	for _, epoch := range slices.Sorted(maps.Keys(missing)) {
		whose := "of a bench that is not here, " + epoch + ": the owner of the room puts them back with pullcard room repair"
		if slices.Contains(own, epoch) {
			whose = "of this bench: pullcard room sync gives them"
		}
		add("the room has lost or not yet got %d rows %s", missing[epoch], whose)
	}
	return list, nil
}

// TellRoom tells of a room that its owner made, or brought up to date, how benches come into it.
func TellRoom(t *postgres.Target, url string, made bool) []report.Section {
	stands := "the room is up to date"
	if made {
		stands = "a room is made"
	}
	var room, benches report.Section
	room.Say("%s: %s", stands, t)
	room.Say("the way to it: %s", t.Way())
	benches.Say("at each bench, K being a letter of its own:")
	benches.Say("    pullcard room join '%s' --as K", url)
	benches.Say("benches that come as %s are not kept apart; for logins of their own, let the server's administrator look through and run", t.Login())
	benches.Say("    pullcard room rights '%s' | psql --dbname='%s'", url, t.Database())
	return []report.Section{room, benches}
}
