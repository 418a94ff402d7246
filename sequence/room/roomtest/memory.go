// Package roomtest is a room without a server, for tests and simulations. Call NewMemory, and As for what a bench has of it.
package roomtest

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"sync"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/room"
)

// Memory is a room without a server, for tests and simulations.
type Memory struct {
	mu      sync.Mutex
	now     func() time.Time
	rows    []book.Row // as they arrived
	epochs  map[string]*epoch
	members map[string]*room.Member
	claims  map[string]room.HeldError
	stir    chan struct{} // closed when something is new
}

// epoch is what a memory has of one.
type epoch struct {
	bench, word string
	at          []int // where its rows are
}

// NewMemory makes an empty room.
func NewMemory(now func() time.Time) *Memory {
	return &Memory{now: now, epochs: map[string]*epoch{}, members: map[string]*room.Member{}, claims: map[string]room.HeldError{}, stir: make(chan struct{})}
}

// As is the room as a bench has it.
func (m *Memory) As(bench string) room.Room { return &seat{Memory: m, bench: bench} }

// Copy is the room as it is now, as a server is put back from a copy.
func (m *Memory) Copy() *Memory {
	m.mu.Lock()
	defer m.mu.Unlock()
	c := NewMemory(m.now)
	c.rows, c.claims = slices.Clone(m.rows), maps.Clone(m.claims)
	for name, e := range m.epochs {
		c.epochs[name] = &epoch{e.bench, e.word, slices.Clone(e.at)}
	}
	for name, member := range m.members {
		c.members[name] = &room.Member{Bench: member.Bench, Seen: member.Seen, Has: maps.Clone(member.Has)}
	}
	return c
}

// seat is a bench in a memory.
type seat struct {
	*Memory
	bench string
	seen  int // rows when it fetched last
}

// here is called first by all that a bench does, with the lock held.
func (s *seat) here() *room.Member {
	m := s.members[s.bench]
	if m == nil {
		m = &room.Member{Bench: s.bench, Has: book.Vector{}}
		s.members[s.bench] = m
	}
	m.Seen = s.now()
	return m
}

// Enter implements Room.
func (s *seat) Enter(ctx context.Context, name, last, next string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.here()
	e := s.epochs[name]
	switch {
	case e == nil:
		s.epochs[name] = &epoch{bench: s.bench, word: next}
		return nil
	case e.bench != s.bench:
		return &room.CopyError{Bench: e.bench, Epoch: name}
	case e.word != "" && e.word != last && e.word != next:
		return &room.CopyError{Bench: s.bench, Epoch: name, Word: e.word}
	}
	e.word = next
	return nil
}

// Vector implements Room.
func (s *seat) Vector(context.Context) (book.Vector, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	v := book.Vector{}
	for name, e := range s.epochs {
		v[name] = int64(len(e.at))
	}
	return v, nil
}

// Append implements Room.
func (s *seat) Append(_ context.Context, rows []book.Row) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.here()
	return s.add(rows, func(r book.Row, e *epoch) string { return s.bench })
}

// Repair implements Room.
func (s *seat) Repair(_ context.Context, rows []book.Row) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.here()
	return s.add(rows, func(r book.Row, e *epoch) string { return cmp.Or(e.bench, r.Bench) })
}

// add takes all rows or none.
func (m *Memory) add(rows []book.Row, of func(book.Row, *epoch) string) error {
	before, had := len(m.rows), map[string]int{}
	undo := func(err error) error {
		m.rows = m.rows[:before]
		for name, n := range had {
			m.epochs[name].at = m.epochs[name].at[:n]
		}
		return err
	}
	for _, r := range rows {
		e := m.epochs[r.Epoch]
		if e == nil {
			e = &epoch{bench: of(r, &epoch{})}
			m.epochs[r.Epoch] = e
		}
		if _, ok := had[r.Epoch]; !ok {
			had[r.Epoch] = len(e.at)
		}
		if r.Seq >= 1 && r.Seq <= int64(len(e.at)) {
			if !bytes.Equal(m.rows[e.at[r.Seq-1]].Hash, r.Hash) {
				return undo(&book.ForkError{Epoch: r.Epoch, Seq: r.Seq})
			}
			continue
		}
		hash := make([]byte, 32)
		if n := len(e.at); n > 0 {
			hash = m.rows[e.at[n-1]].Hash
		}
		if e.bench != of(r, e) {
			return undo(&room.RefusedError{Why: fmt.Sprintf("%s is an epoch of bench %s", r.Epoch, e.bench)})
		}
		if err := next(e.bench, int64(len(e.at)), hash, r); err != nil {
			return undo(err)
		}
		e.at = append(e.at, len(m.rows))
		m.rows = append(m.rows, r)
	}
	if len(m.rows) > before {
		close(m.stir)
		m.stir = make(chan struct{})
	}
	return nil
}

// Fetch implements Room.
func (s *seat) Fetch(_ context.Context, after book.Vector, limit int) (list []book.Row, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.seen = len(s.rows)
	for _, r := range s.rows {
		if r.Seq > after[r.Epoch] && len(list) < limit {
			list = append(list, r)
		}
	}
	return list, nil
}

// Forget implements Room.
func (s *seat) Forget(_ context.Context, rows []book.Place) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, p := range rows {
		if e := s.epochs[p.Epoch]; e != nil && p.Seq >= 1 && p.Seq <= int64(len(e.at)) {
			s.rows[e.at[p.Seq-1]].Body = nil
		}
	}
	return nil
}

// Acknowledge implements Room.
func (s *seat) Acknowledge(_ context.Context, have book.Vector) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.here().Has = maps.Clone(have)
	return nil
}

// Members implements Room.
func (s *seat) Members(context.Context) (list []room.Member, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, name := range slices.Sorted(maps.Keys(s.members)) {
		m := *s.members[name]
		m.Has = maps.Clone(m.Has)
		list = append(list, m)
	}
	return list, nil
}

// Claim implements Room.
func (s *seat) Claim(_ context.Context, job string, over int) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.here()
	held, ok := s.claims[job]
	if ok && held.Number > over {
		return 0, &held
	}
	held.Number = over // the room was put back from an older copy, or a bench was alone when it took the job over
	s.claims[job] = room.HeldError{Job: job, Bench: s.bench, Number: held.Number + 1, At: s.now()}
	return held.Number + 1, nil
}

// Wait implements Room.
func (s *seat) Wait(ctx context.Context) error {
	s.mu.Lock()
	stir, news := s.stir, len(s.rows) > s.seen
	s.mu.Unlock()
	if news {
		return nil
	}
	select {
	case <-stir:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// next says why a row is not the one that comes after a number and hash in the log of a bench.
func next(bench string, seq int64, hash []byte, r book.Row) error {
	switch {
	case r.Bench != bench:
		return &room.RefusedError{Why: fmt.Sprintf("bench %s has a row of bench %.40q", bench, r.Bench)}
	case r.Seq != seq+1:
		return &room.RefusedError{Why: fmt.Sprintf("row %d of %.40q comes after row %d", r.Seq, r.Epoch, seq)}
	case len(r.Body) > room.Largest:
		return &room.RefusedError{Why: fmt.Sprintf("row %d of %.40q has %d bytes; %d are the most", r.Seq, r.Epoch, len(r.Body), room.Largest)}
	case len(r.Kind) == 0 || len(r.Kind) > 20 || len(r.Digest) != 32:
		return &room.RefusedError{Why: fmt.Sprintf("row %d of %.40q has no kind or digest", r.Seq, r.Epoch)}
	case r.Body != nil && !r.Whole():
		return &room.RefusedError{Why: fmt.Sprintf("row %d of %.40q has not the body that its digest says", r.Seq, r.Epoch)}
	case string(r.Chain(hash)) != string(r.Hash):
		return &book.ForkError{Epoch: r.Epoch, Seq: r.Seq}
	}
	return nil
}
