package bench

import (
	"errors"
	"fmt"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/measure"
	"pullcard/tui/draw"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

// house is a bench in a house that knows its machines and wants signals.
type house struct {
	t     testing.TB
	m     Model
	clock time.Time
	rings int
	title string
	said  []tea.Msg // what came out for others
	turns []draw.View
	parks int
	wrong error // of the house
}

func newShop(t testing.TB, change func(*Job)) *house {
	s := &house{t: t, clock: time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC)}
	job := Job{Player: "Ada Example", Racket: "blue", Plan: planOf(t, "club-sixteen", "two-piece-skip"), Recorder: &shelf{},
		Park:   func() error { s.parks++; return s.wrong },
		Turned: func(v draw.View) error { s.turns = append(s.turns, v); return s.wrong }}
	if change != nil {
		change(&job)
	}
	m, err := New(job, Settings{Hold: 700 * time.Millisecond, Now: func() time.Time { return s.clock }, Theme: golden.Plain(t),
		Ring: func() { s.rings++ }, Title: true})
	require.NoError(t, err)
	s.m = m.SetSize(120, 40)
	return s
}

// send gives the bench a message and carries out all that comes of it.
func (s *house) send(msg tea.Msg) {
	switch msg := msg.(type) {
	case nil:
	case tea.BatchMsg:
		for _, cmd := range msg {
			if cmd != nil {
				s.send(cmd())
			}
		}
	case tea.KeyMsg, recordedMsg, parkedMsg, turnedMsg:
		s.update(msg)
	case screen.LeaveMsg, screen.OpenMsg:
		s.said = append(s.said, msg)
	default: // bubbletea's own, of which only the title is one here
		s.title = fmt.Sprint(msg)
	}
}

func (s *house) update(msg tea.Msg) {
	var cmd tea.Cmd
	if s.m, cmd = s.m.Update(msg); cmd != nil {
		s.send(cmd())
	}
}

func (s *house) press(names ...string) {
	for _, name := range names {
		s.clock = s.clock.Add(time.Second)
		s.send(golden.Key(name))
	}
}

// to works on until a step.
func (s *house) to(step int) {
	for s.m.state.Current() < step {
		s.press("space")
	}
}

func (s *house) view() string { return ansi.Strip(s.m.View()) }

func TestBellBeforeABoostedPull(t *testing.T) {
	s := newShop(t, nil)
	boosted := 0
	for i := range s.m.state.Plan().Steps {
		if p := s.m.state.Plan().Steps[i].Pull(); p != nil && p.BoostPercent > 0 && boosted == 0 {
			boosted = i + 1
		}
	}
	s.to(boosted - 1)
	assert.Zero(t, s.rings)
	s.press("space")
	assert.Equal(t, 1, s.rings)
	s.press("n", "esc")
	assert.Equal(t, 1, s.rings, "a note does not ring")
}

// The minutes' tick is driven by hand here; nothing waits.
func TestBellWhenMainsStandBare(t *testing.T) {
	s := newShop(t, nil)
	last := 0
	for i := range s.m.state.Plan().Steps {
		if p := s.m.state.Plan().Steps[i].Pull(); p != nil && p.Strand[0] == 'M' {
			last = i + 1
		}
	}
	s.to(last + 1)
	rung, since := s.rings, s.clock
	for minute := 1; minute <= 45; minute++ {
		s.m, _ = s.m.Update(tickMsg(since.Add(time.Duration(minute) * time.Minute)))
	}
	assert.Contains(t, s.view(), "mains without crosses for 45 min")
	ring := func(from, to time.Duration) bool {
		m := s.m
		m.now = since.Add(from)
		before := s.rings
		_, cmd := m.Update(tickMsg(since.Add(to)))
		for _, c := range cmd().(tea.BatchMsg) {
			done := make(chan tea.Msg, 1)
			go func() { done <- c() }()
			select {
			case <-done:
			case <-time.After(50 * time.Millisecond): // the next minute, for which nobody waits
			}
		}
		return s.rings > before
	}
	assert.Equal(t, rung, s.rings, "the tick's commands were not carried out so far")
	assert.True(t, ring(19*time.Minute, 20*time.Minute))
	assert.True(t, ring(29*time.Minute, 30*time.Minute))
}

func TestTitle(t *testing.T) {
	s := newShop(t, func(j *Job) { j.Player = "e\x1bvil" })
	s.to(5)
	assert.Equal(t, "5/64 M1R 1HR 24 kg · e<U+001B>vil", s.title)
}

func TestPark(t *testing.T) {
	s := newShop(t, nil)
	s.press("p")
	assert.Zero(t, s.parks, "what was not begun cannot be parked")
	s.press("space", "p")
	assert.Equal(t, 1, s.parks)
	assert.Equal(t, []tea.Msg{screen.LeaveMsg{Said: "parked; it waits where it was"}}, s.said)
	s.wrong = errors.New("the disk is full")
	s.press("p")
	assert.Contains(t, s.view(), "not parked: the disk is full")
}

func TestTurnIsRememberedOnceOneWorksOn(t *testing.T) {
	left := draw.View{Turn: draw.HeadLeft}
	s := newShop(t, func(j *Job) { j.Turn = &left })
	assert.Equal(t, left, s.m.view)
	s.press("v", "v", "space")
	require.Len(t, s.turns, 1, "not every turn on the way")
	assert.Equal(t, left.Next().Next(), s.turns[0])
	s.press("space")
	assert.Len(t, s.turns, 1)
	s.wrong = errors.New("the disk is full")
	s.press("v", "space")
	assert.Contains(t, s.view(), "turned here, but not remembered: the disk is full")
}

func TestOffsetAndOthersAreShown(t *testing.T) {
	s := newShop(t, func(j *Job) {
		offset, err := measure.ParseTension("0.3 kg")
		require.NoError(t, err)
		j.Offset, j.Others = offset, []string{"Ben Lake (invented) · red 5/64"}
	})
	assert.Contains(t, s.view(), "in work too: Ben Lake (invented) · red 5/64")
	s.to(5)
	assert.Contains(t, s.view(), "set 24.3 kg")
	assert.Contains(t, s.view(), "5/64  M1R  1TR → 1HR  24 kg", "what was ordered stays")
	assert.Contains(t, s.view(), "in work too")
	s.press("f")
	assert.Contains(t, s.view(), "set 24.3 kg on this machine")
	assert.Contains(t, s.view(), "in work too: Ben Lake (invented) · red 5/64")
}

func TestLesson(t *testing.T) {
	s := newShop(t, func(j *Job) { j.Lesson = true })
	seen := map[string]bool{}
	for n := 1; n < 64; n++ {
		if text := s.m.lessons[n]; text != "" {
			s.to(n)
			assert.Contains(t, s.view(), "» "+text[:20])
			assert.False(t, seen[text], "each thing is said once")
			seen[text] = true
		}
	}
	assert.GreaterOrEqual(t, len(seen), 8)
	assert.NotContains(t, newShop(t, nil).view(), "»")
}

func TestReadView(t *testing.T) {
	v := draw.View{}
	for i := range 8 {
		got, ok := draw.ReadView(v.String())
		assert.True(t, ok)
		assert.Equal(t, v, got)
		if v = v.Next(); i == 3 {
			assert.Equal(t, draw.View{}, v, "four turns lead home")
			v.Mirror = true
		}
	}
	_, ok := draw.ReadView("sideways")
	assert.False(t, ok)
}
