package room_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/room"
	"pullcard/sequence/room/roomtest"
)

// fact is what a screen showed as done. What it was said over is what its bench knew of the same thing then.
type fact struct {
	what       string // event, field, cut, count, claim or forgotten
	by         string // which bench's screen
	uid, value string
	at         time.Time
	over       map[int]bool
}

// world is a venue: benches, a room, and beside them who knows which fact, kept without asking any book or room.
type world struct {
	t       testing.TB
	r       *rand.Rand
	now     int
	venue   venue
	benches []*seatOf
	facts   []fact
	inRoom  map[int]bool
	copies  []roomCopy
	stock   string
	given   int // things that were given a name
	steps   int // how often a clock was set, −1 where none is
}

// venue is a room with seats for all, which can be put back as it was.
type venue interface {
	As(bench string) room.Room
	// Save gives what puts the room back.
	Save() (back func())
}

// inMemory is a venue without a server.
type inMemory struct{ *roomtest.Memory }

func (m *inMemory) Save() func() {
	c := m.Copy()
	return func() { m.Memory = c.Copy() }
}

type roomCopy struct {
	back  func()
	knows map[int]bool
}

// seatOf is a bench at work.
type seatOf struct {
	name   string
	b      *book.Book
	off    time.Duration // how far its clock is off
	away   bool
	knows  map[int]bool
	backup string
	saved  map[int]bool
}

func (w *world) at(s *seatOf) time.Time {
	w.now++
	if w.steps >= 0 && w.r.IntN(2) == 0 {
		s.off = time.Duration(w.r.IntN(49)-24) * time.Hour
		w.steps++
	}
	return clock(w.now).Add(s.off)
}

func (w *world) name(what string) string {
	w.given++
	return fmt.Sprint(what, " ", w.given)
}

func (w *world) add(s *seatOf, f fact) {
	f.by, f.over = s.name, map[int]bool{}
	for id := range s.knows {
		if o := w.facts[id]; o.what == f.what && o.uid == f.uid {
			f.over[id] = true
		}
	}
	s.knows[len(w.facts)] = true
	w.facts = append(w.facts, f)
}

func (w *world) syncer(s *seatOf) *room.Syncer {
	return &room.Syncer{Book: s.b, Room: w.venue.As(s.name), Now: func() time.Time { return clock(w.now).Add(s.off) }, Portion: 1 + w.r.IntN(9)}
}

// one is some record of a kind that a bench has, empty where there is none.
func (w *world) one(s *seatOf, kind records.Name) (r book.Record) {
	list, err := s.b.Find(context.Background(), kind, "", 0)
	require.NoError(w.t, err)
	if len(list) > 0 {
		r = list[w.r.IntN(len(list))]
	}
	return r
}

// act has a bench do something.
func (w *world) act(s *seatOf) {
	ctx, t := context.Background(), w.t
	switch w.r.IntN(16) {
	case 0:
		if w.r.IntN(3) == 0 {
			_, err := s.b.Add(ctx, records.KindStringer, records.Fields{"name": w.name("secret"), "notes": w.name("secret")}, w.at(s))
			require.NoError(t, err)
			return
		}
		player(t, s.b, w.name("Player"), w.at(s))
	case 1:
		if p := w.one(s, records.KindPlayer); p.UID != "" {
			_, err := s.b.Add(ctx, records.KindRacket, records.Fields{"player": p.UID, "mark": w.name("mark"), "notes": w.name("secret")}, w.at(s))
			require.NoError(t, err)
		}
	case 2, 3:
		if r := w.one(s, records.KindRacket); r.UID != "" {
			w.given++
			value := fmt.Sprintf("%d g", 1+w.given%999)
			_, err := s.b.Correct(ctx, r.UID, book.Change{Fields: records.Fields{"mass": value}, Why: w.name("secret"), At: w.at(s)})
			require.NoError(t, err)
			w.add(s, fact{what: "field", uid: r.UID, value: value})
		}
	case 4:
		if r := w.one(s, records.KindRacket); r.UID != "" {
			require.NoError(t, s.b.Remove(ctx, r.UID))
			if w.r.IntN(2) == 0 {
				require.NoError(t, s.b.Recall(ctx, r.UID))
			}
		}
	case 5:
		d := book.Draft{At: w.at(s), Plan: invented(3 + w.r.IntN(4)), File: w.name("secret")}
		if r := w.one(s, records.KindRacket); r.UID != "" && r.Fields["player"] != "" {
			d.Job = records.Job{Player: r.Fields["player"], Racket: r.UID, Notes: w.name("secret")}
		}
		_, err := s.b.NewJob(ctx, d)
		require.NoError(t, err)
	case 6, 7, 8, 9:
		w.work(s)
	case 10:
		w.given++
		mm := 1000 + w.given
		if _, err := s.b.Record(ctx, w.stock); err != nil {
			return // it has not come here yet
		}
		if w.r.IntN(4) == 0 {
			w.count(s, 100*mm)
			return
		}
		r, err := s.b.Add(ctx, records.KindCut, records.Fields{"stock": w.stock, "length": fmt.Sprint(mm, " mm"), "for": "offcut"}, w.at(s))
		require.NoError(t, err)
		w.add(s, fact{what: "cut", uid: r.UID, value: fmt.Sprint(mm)})
	case 11:
		w.claim(s)
	case 12:
		w.disaster(s)
	default:
		w.round(s)
	}
}

// count has somebody count the stock. It counts over all cuts and counts that the bench knows.
func (w *world) count(s *seatOf, mm int) {
	ctx := context.Background()
	shelf, err := s.b.Shelf(ctx, w.stock)
	require.NoError(w.t, err)
	r, err := s.b.Add(ctx, records.KindStocktaking, records.Fields{"stock": w.stock, "left": fmt.Sprint(mm, " mm"), "known": shelf.Known(), "by": w.one(s, records.KindStringer).UID}, w.at(s))
	require.NoError(w.t, err)
	over := maps.Clone(s.knows)
	w.add(s, fact{what: "count", uid: r.UID, value: fmt.Sprint(mm), at: r.At})
	for id := range over {
		if w.facts[id].what == "cut" || w.facts[id].what == "count" {
			w.facts[len(w.facts)-1].over[id] = true
		}
	}
}

// work does something at a job.
func (w *world) work(s *seatOf) {
	ctx, t := context.Background(), w.t
	list, err := s.b.Jobs(ctx, book.Filter{State: progress.Open})
	require.NoError(t, err)
	if len(list) == 0 {
		return
	}
	j, err := s.b.Job(ctx, list[w.r.IntN(len(list))].ID)
	require.NoError(t, err)
	st, err := progress.Fold(j.Plan, j.Events)
	require.NoError(t, err)
	e := progress.Event{At: w.at(s), Step: st.Current()}
	switch w.r.IntN(6) {
	case 0:
		e.Kind, e.Why = progress.Note, w.name("secret")
	case 1:
		e.Kind, e.What = progress.Mishap, "misweave"
		next := *st.Plan()
		next.Plan = w.name("way-back-")[:5] + fmt.Sprint(w.given)
		next.Steps = slices.Concat(next.Steps[:st.Last()], invented(1+w.r.IntN(2)).Steps, next.Steps[st.Last():])
		e.Plan = &next
	default:
		e.Kind = progress.Done
	}
	err = s.b.Append(ctx, j.ID, len(j.Events), e)
	if over := (*book.TakenError)(nil); errors.As(err, &over) {
		return
	}
	require.NoError(t, err)
	uid, _, _ := strings.Cut(j.UID, "+")
	w.add(s, fact{what: "event", uid: uid, value: e.At.UTC().Format(time.RFC3339Nano)})
}

func (w *world) claim(s *seatOf) {
	list, err := s.b.Jobs(context.Background(), book.Filter{State: progress.Open})
	require.NoError(w.t, err)
	if len(list) == 0 || s.away {
		return
	}
	uid, _, _ := strings.Cut(list[w.r.IntN(len(list))].UID, "+")
	w.at(s)
	err = w.syncer(s).Claim(context.Background(), s.name, uid, w.r.IntN(2) == 0)
	if held := (*room.HeldError)(nil); errors.As(err, &held) {
		return
	}
	require.NoError(w.t, err)
	claims, err := s.b.Claims(context.Background())
	require.NoError(w.t, err)
	w.add(s, fact{what: "claim", uid: uid, value: fmt.Sprint(claims[uid].Number, " ", s.name)})
}

// disaster is what happens seldom: somebody is forgotten, files are copied and put back, the server is, a cable is pulled.
func (w *world) disaster(s *seatOf) {
	ctx, t := context.Background(), w.t
	switch w.r.IntN(7) {
	case 0:
		if p := w.one(s, []records.Name{records.KindPlayer, records.KindPlayer, records.KindStringer}[w.r.IntN(3)]); p.UID != "" {
			_, err := s.b.Forget(ctx, p.UID)
			require.NoError(t, err)
			w.add(s, fact{what: "forgotten", uid: p.UID})
		}
	case 1:
		s.backup, s.saved = filepath.Join(folder(t), "copy"), maps.Clone(s.knows)
		require.NoError(t, s.b.Backup(ctx, s.backup, nil))
	case 2:
		if s.backup != "" {
			_, err := book.Restore(ctx, s.b.Path(), s.backup, clock(w.now))
			require.NoError(t, err)
			lost := s.knows
			s.knows = maps.Clone(s.saved)
			for id := range lost { // who was forgotten is forgotten again
				if w.facts[id].what == "forgotten" {
					s.knows[id] = true
				}
			}
		}
	case 3:
		if len(w.benches) < 8 {
			path := filepath.Join(folder(t), "book")
			require.NoError(t, s.b.Backup(ctx, path, nil))
			b := openBook(t, path)
			err := (&room.Syncer{Book: b, Room: w.venue.As(s.name), Now: func() time.Time { return clock(w.now) }}).Enter(ctx)
			if copied := (*room.CopyError)(nil); !errors.As(err, &copied) {
				require.NoError(t, err)
			}
			require.NoError(t, b.Renew(ctx)) // somebody read the message, or nobody has synced it yet
			w.benches = append(w.benches, &seatOf{name: s.name, b: b, knows: maps.Clone(s.knows)})
		}
	case 4:
		w.copies = append(w.copies, roomCopy{w.venue.Save(), maps.Clone(w.inRoom)})
	case 5:
		if n := len(w.copies); n > 0 {
			c := w.copies[w.r.IntN(n)]
			c.back()
			w.inRoom = maps.Clone(c.knows)
		}
	default:
		s.away = !s.away
	}
}

// round syncs a bench, after which it knows what the room knows and the other way round.
func (w *world) round(s *seatOf) room.Round {
	if s.away {
		return room.Round{}
	}
	r, err := w.syncer(s).Round(context.Background())
	if copied := (*room.CopyError)(nil); errors.As(err, &copied) { // the room was put back: it knows the book by an older word
		require.NoError(w.t, s.b.Renew(context.Background()))
		r, err = w.syncer(s).Round(context.Background())
	}
	require.NoError(w.t, err)
	maps.Copy(s.knows, w.inRoom)
	for id := range s.knows {
		if w.facts[id].by == s.name { // what others wrote, and the room lost when it was put back, a bench does not give it
			w.inRoom[id] = true
		}
	}
	return r
}

// heal has all benches come back, each with what it has.
func (w *world) heal() {
	for _, s := range w.benches {
		s.away = false
	}
	for quiet, n := 0, 0; quiet < 2; n++ {
		require.Less(w.t, n, 20, "it comes to no end")
		quiet++
		for _, s := range w.benches {
			r := w.round(s)
			n, err := w.syncer(s).Repair(context.Background())
			require.NoError(w.t, err)
			maps.Copy(w.inRoom, s.knows)
			if r.Given+r.Taken+n > 0 {
				quiet = 0
			}
		}
	}
}

// check holds what the books say against what the screens showed.
func (w *world) check() {
	ctx, t := context.Background(), w.t
	known := map[int]bool{}
	for _, s := range w.benches {
		maps.Copy(known, s.knows)
	}
	first := whole(t, w.benches[0].b)
	for _, s := range w.benches {
		requireSound(t, s.b)
		left := maps.Clone(first)
		for uid, text := range whole(t, s.b) {
			require.Equal(t, first[uid], text, "%s in the book of bench %s", uid, s.name)
			delete(left, uid)
		}
		require.Empty(t, left, "not in the book of bench %s", s.name)
		unfit, err := s.b.Unfit(ctx)
		require.NoError(t, err)
		require.Empty(t, unfit)
	}
	w.checkEvents(first, known)
	w.checkFields(known)
	w.checkClaims(known)
	shelf, err := w.benches[0].b.Shelf(ctx, w.stock)
	require.NoError(t, err)
	require.InDelta(t, w.left(known), shelf.Left(), 1e-6)
	w.checkForgotten(known)
}

// left is what is left of the stock: what was counted last, without what was cut that nobody knew of who counted.
func (w *world) left(known map[int]bool) float64 {
	mm := func(f fact) (mm float64) {
		_, err := fmt.Sscan(f.value, &mm)
		require.NoError(w.t, err)
		return mm
	}
	left, last, counted := 200_000.0, fact{}, map[int]bool{}
	for id := range known {
		if f := w.facts[id]; f.what == "count" {
			maps.Copy(counted, f.over)
		}
	}
	for id := range known {
		if f := w.facts[id]; f.what == "count" && !counted[id] && f.at.After(last.at) {
			left, last = mm(f), f
		}
	}
	for id := range known {
		if f := w.facts[id]; f.what == "cut" && !counted[id] {
			left -= mm(f)
		}
	}
	return left
}

// checkEvents sees that everything done at a job is in one of its lines, none twice in one, and nothing else.
func (w *world) checkEvents(book map[string]string, known map[int]bool) {
	got, want := map[string]bool{}, map[string]bool{}
	for key, text := range book {
		uid, is := strings.CutPrefix(key, "job ")
		if !is {
			continue
		}
		uid, _, _ = strings.Cut(uid, "+")
		var j struct{ Events []struct{ At time.Time } }
		require.NoError(w.t, json.Unmarshal([]byte(text), &j))
		line := map[string]bool{}
		for _, e := range j.Events {
			at := uid + " " + e.At.UTC().Format(time.RFC3339Nano)
			require.False(w.t, line[at], "twice in one line")
			line[at], got[at] = true, true
		}
	}
	for id := range known {
		if f := w.facts[id]; f.what == "event" {
			want[f.uid+" "+f.value] = true
		}
	}
	require.Equal(w.t, want, got)
}

// checkFields sees that each field has a value over which nobody said another, and that it is in dispute where there are several.
func (w *world) checkFields(known map[int]bool) {
	ctx, b := context.Background(), w.benches[0].b
	over, standing := map[int]bool{}, map[string]map[string]bool{}
	for id := range known {
		maps.Copy(over, w.facts[id].over)
	}
	for id := range known {
		if f := w.facts[id]; f.what == "field" && !over[id] {
			if standing[f.uid] == nil {
				standing[f.uid] = map[string]bool{}
			}
			standing[f.uid][f.value] = true
		}
	}
	list, err := b.Disputes(ctx)
	require.NoError(w.t, err)
	disputed := map[string]map[string]bool{}
	for _, d := range list {
		require.Len(w.t, d.Fields, 1)
		disputed[d.UID] = map[string]bool{}
		for _, s := range d.Fields[0].Said {
			disputed[d.UID][s.Value] = true
		}
	}
	for uid, values := range standing {
		r, err := b.Record(ctx, uid)
		require.NoError(w.t, err)
		require.True(w.t, values[r.Fields["mass"]], "%s of %v", r.Fields["mass"], values)
		if len(values) > 1 {
			require.Equal(w.t, values, disputed[uid])
			delete(disputed, uid)
		}
	}
	require.Empty(w.t, disputed)
}

// checkClaims sees that all benches know the same one at each job, whatever their clocks said, and that it is none but the last that was made.
func (w *world) checkClaims(known map[int]bool) {
	last := map[string]int{}
	made := map[string]bool{}
	for id := range known {
		if f := w.facts[id]; f.what == "claim" {
			var number int
			_, err := fmt.Sscan(f.value, &number)
			require.NoError(w.t, err)
			last[f.uid] = max(last[f.uid], number)
			made[f.uid+" "+f.value] = true
		}
	}
	first, err := w.benches[0].b.Claims(context.Background())
	require.NoError(w.t, err)
	require.Len(w.t, first, len(last))
	for uid, number := range last {
		require.Equal(w.t, number, first[uid].Number)
		require.True(w.t, made[fmt.Sprint(uid, " ", number, " ", first[uid].Bench)])
	}
	for _, s := range w.benches {
		claims, err := s.b.Claims(context.Background())
		require.NoError(w.t, err)
		require.Equal(w.t, first, claims)
	}
}

// checkForgotten sees that no body anywhere says what was said of somebody who is forgotten.
func (w *world) checkForgotten(known map[int]bool) {
	for id := range known {
		f := w.facts[id]
		if f.what != "forgotten" {
			continue
		}
		for _, s := range w.benches {
			r, err := s.b.Record(context.Background(), f.uid)
			require.NoError(w.t, err)
			require.Equal(w.t, book.Forgotten, r.State)
		}
		rows, err := w.venue.As("A").Fetch(context.Background(), nil, 1_000_000)
		require.NoError(w.t, err)
		for _, r := range rows {
			if bytes.Contains(r.Body, []byte(f.uid)) {
				require.NotContains(w.t, string(r.Body), "secret", "row %d of %s", r.Seq, r.Epoch)
			}
		}
	}
}

// history plays one random history of two to eight benches, whose books are of a shelf and go back to it. Their clocks may be set all the time.
func history(t testing.TB, seed uint64, v venue, books *shelf, set bool) (w *world) {
	w = &world{t: t, steps: -1, r: rand.New(rand.NewPCG(seed, 15)), inRoom: map[int]bool{}, venue: v}
	defer books.back(t)
	if set {
		w.steps = 0
	}
	for i := range 2 + w.r.IntN(4) {
		s := &seatOf{name: string(rune('A' + i)), b: books.take(t, string(rune('A'+i))), knows: map[int]bool{}}
		if w.r.IntN(4) == 0 {
			s.off = time.Duration(w.r.IntN(9)-4) * 24 * time.Hour
		}
		w.benches = append(w.benches, s)
	}
	r, err := w.benches[0].b.Add(context.Background(), records.KindStock, records.Fields{"name": "Invented", "form": "reel", "length": "200 m"}, w.at(w.benches[0]))
	require.NoError(t, err)
	w.stock = r.UID
	for range 20 + w.r.IntN(80) {
		w.act(w.benches[w.r.IntN(len(w.benches))])
	}
	w.heal()
	w.check()
	return w
}

// Clocks that are set by up to a day, forward and back, before any act of a bench lose no pull and no claim, and double none.
func TestClocksSetInARoom(t *testing.T) {
	sweep.Only(t)
	books, did := &shelf{t: t}, map[string]int{}
	for seed := range uint64(60) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			w := history(t, seed, &inMemory{roomtest.NewMemory(func() time.Time { return clock(0) })}, books, true)
			did["set"] += w.steps
			for _, f := range w.facts {
				did[f.what]++
			}
		})
	}
	t.Log("clocks were", did)
	require.Greater(t, did["set"], 500)
	require.Greater(t, did["claim"], 50)
}

// Whatever happens at several benches, and whatever becomes of files, server and cables: when all are back they have the same book,
// and in it everything that a screen showed as done.
func TestConvergence(t *testing.T) {
	histories(t, sweep.Share(200, 50), runtime.GOMAXPROCS(0), func() venue { return &inMemory{roomtest.NewMemory(func() time.Time { return clock(0) })} })
}

// histories plays so many histories, several at once, until one fails, or all of those from one to before another that
// PULLCARD_HISTORIES names, as 200 10000.
func histories(t *testing.T, n, beside int, in func() venue) {
	from, to := uint64(0), uint64(n)
	text := os.Getenv("PULLCARD_HISTORIES")
	if text != "" {
		_, err := fmt.Sscan(text, &from, &to)
		require.NoError(t, err)
	}
	var next atomic.Uint64
	next.Store(from)
	var all sync.WaitGroup
	for range beside {
		books := &shelf{t: t}
		all.Go(func() {
			for seed := next.Add(1) - 1; seed < to && (text != "" || !t.Failed()); seed = next.Add(1) - 1 {
				t.Run(fmt.Sprint(seed), func(t *testing.T) { history(t, seed, in(), books, false) })
			}
		})
	}
	all.Wait()
}
