package tui

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/sequence/book"
	"pullcard/sequence/calc"
	"pullcard/sequence/contrast"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
	"pullcard/tui/bed"
	"pullcard/tui/bench"
	"pullcard/tui/chart"
	"pullcard/tui/rack"
)

// shopJob is the job of all rackets here, below frame and technique. Its player and all others in these tests are invented.
const shopJob = `player = "Ada Winter (invented)"
[tension]
mains = "24 kg"
crosses = "23 kg"
[string.mains]
diameter = "1.25 mm"
material = "polyester"
length = "12 m"
`

// cupboard is what takes time to work out, once for all houses of a test; nothing changes it.
type cupboard struct {
	plan   *plan.Plan
	sheet  bed.Sheet
	lot    shop.LotSheet
	charts []chart.Series
}

func newCupboard(t testing.TB) cupboard {
	w := calc.Work(sequencetest.Of(t, "club-sixteen", "two-piece-skip", shopJob))
	b, err := w.Bed(calc.Options{LossPercent: 30, Map: true})
	require.NoError(t, err)
	l, err := w.Lengths()
	require.NoError(t, err)
	return cupboard{w.Plan, bed.Sheet{Title: "Ada Winter (invented) · blue dot", Lengths: l, Bed: b}, lotOfSix(t), readings(t)}
}

// racket is a job in the shop, and its own recorder.
type racket struct {
	uid, player, mark, ready string
	late, parked             bool
	events                   []progress.Event
	shop                     *house
}

// Record keeps an event.
func (r *racket) Record(_ context.Context, e progress.Event) error {
	time.Sleep(r.shop.slow["record"])
	if err := r.shop.trouble(); err != nil {
		return err
	}
	r.events, r.parked = append(r.events, e), false
	return nil
}

// house is a House in memory.
type house struct {
	cupboard
	rackets   []*racket
	files     []rack.Item // cannot be opened
	records   []book.Record
	undecided string                   // the lot of every job, where its verdict waits to be decided
	kept      map[string]string        // layouts by name
	fail      error                    // what the next question answers with
	slow      map[string]time.Duration // how long "numbers" and "record" take
}

func (s *house) trouble() error {
	err := s.fail
	s.fail = nil
	return err
}

// newShop has three rackets and a job file that is wrong.
func newShop(c cupboard) *house {
	s := &house{cupboard: c, kept: map[string]string{}}
	for _, r := range []racket{
		{uid: "job-1", player: "Ada Winter (invented)", mark: "blue dot", ready: "ready about 15:05 (14:55 to 15:20), promised 17:30: in time"},
		{uid: "job-2", player: "Ben Sommer (invented)", mark: "green tape", ready: "ready about 15:50 (15:35 to 16:10), promised 15:30: will be late by 20 min", late: true},
		{uid: "job-3", player: "Cleo Herbst (invented)", mark: "no mark", ready: "ready about 16:35 (16:15 to 17:00)"},
	} {
		r.shop = s
		s.rackets = append(s.rackets, &r)
	}
	s.files = []rack.Item{{Group: "job files", Title: "broken.toml", Trouble: `broken.toml:3:13: there is no frame "club-sixten"; did you mean "club-sixteen"?`}}
	s.put(records.KindPlayer, "name", "Ben Sommer (invented)", "contact", "ben@example.invalid")
	s.put(records.KindPlayer, "name", "Ada Winter (invented)", "contact", "ada@example.invalid", "plays", "3", "notes", "wants it softer in winter")
	s.put(records.KindRacket, "player", "player-2", "mark", "blue dot", "frame", "club-sixteen", "mass", "302 g", "balance", "320 mm")
	s.put(records.KindRacket, "player", "player-2", "mark", "red dot", "frame", "club-sixteen", "mass", "305 g")
	s.put(records.KindJob, "player", "player-2", "racket", "racket-1", "promised", "2026-11-20T17:30:00Z", "text", "frame = \"club-sixteen\"\ntechnique = \"two-piece-skip\"\n"+shopJob)
	s.put(records.KindLot, "player", "player-2", "name", "six for the summer")
	return s
}

// work has been done on a racket up to a step, from 13:00 on, a minute a step.
func (s *house) work(uid string, steps int) *house {
	r := s.racket(uid)
	for n := range steps {
		r.events = append(r.events, progress.Event{Kind: progress.Done, Step: n + 1, At: time.Date(2026, 11, 20, 13, n, 0, 0, time.UTC)})
	}
	return s
}

func (s *house) racket(uid string) *racket {
	i := slices.IndexFunc(s.rackets, func(r *racket) bool { return r.uid == uid })
	return s.rackets[i]
}

func (s *house) Items() (items []rack.Item, err error) {
	if err := s.trouble(); err != nil {
		return nil, err
	}
	for _, group := range []string{"in progress", "parked", "queue, in the order to string them"} {
		for _, r := range s.rackets {
			if r.group() != group {
				continue
			}
			item := rack.Item{Group: group, Key: r.uid, UID: r.uid, Title: r.player + " · " + r.mark, Detail: "Club sixteen (invented) · two-piece-skip · mains 24 kg, crosses 23 kg",
				Mark: r.ready, Late: r.late, Begun: len(r.events) > 0, Parked: r.parked}
			if item.Begun {
				item.Mark = fmt.Sprintf("%s, left 3 min ago; %s", s.where(r), r.ready)
			}
			items = append(items, item)
		}
	}
	return append(items, s.files...), nil
}

func (r *racket) group() string {
	switch {
	case r.parked:
		return "parked"
	case len(r.events) > 0:
		return "in progress"
	}
	return "queue, in the order to string them"
}

// where is the step a racket is at.
func (s *house) where(r *racket) string {
	state, err := progress.Fold(s.plan, r.events)
	if err != nil {
		return err.Error()
	}
	return fmt.Sprintf("%d/%d", state.Current(), state.Steps())
}

func (s *house) Open(key string, _ bool) (bench.Job, error) { return s.OpenJob(key) }

func (s *house) OpenJob(uid string) (bench.Job, error) {
	if err := s.trouble(); err != nil {
		return bench.Job{}, err
	}
	r := s.racket(uid)
	job := bench.Job{Player: r.player, Racket: r.mark, Plan: s.plan, Events: slices.Clone(r.events), Recorder: r,
		Numbers: s.numbers, Park: func() error { return s.Park(context.Background(), uid, true) }}
	for _, o := range s.rackets {
		if o != r && len(o.events) > 0 {
			job.Others = append(job.Others, o.player+" "+s.where(o))
		}
	}
	return job, nil
}

func (s *house) numbers(*plan.Plan) bed.Sheet {
	time.Sleep(s.slow["numbers"])
	return s.sheet
}

func (s *house) Park(_ context.Context, uid string, parked bool) error {
	err := s.trouble()
	if err == nil {
		s.racket(uid).parked = parked
	}
	return err
}

// Trial tries the built-in sheet on the racket of all jobs.
func (s *house) Trial(context.Context, string) (shop.Trial, error) {
	text, _ := library.Technique("two-piece-skip")
	return shop.Trial{Name: "house-two", Kept: true, Text: text, On: []string{"club-sixteen"}, Beside: []string{"as it was"},
		Try: func([]byte, string, string) (shop.Tried, error) {
			way := contrast.Way{Plan: s.plan}
			return shop.Tried{Plan: s.plan, Totals: []string{"64 steps"}, Warnings: s.plan.Warnings, Contrast: contrast.Of(way, way)}, s.trouble()
		},
		Keep: func(_ context.Context, name string, text []byte, _ string) error {
			s.kept[name] = string(text)
			return s.trouble()
		}}, s.trouble()
}

func (s *house) SaveFrame(name string, text []byte) (string, error) {
	if err := s.trouble(); err != nil {
		return "", err
	}
	if s.kept[name] != "" {
		return "", errors.New(name + ".toml is there already; give the frame another name")
	}
	s.kept[name] = string(text)
	return name + ".toml", nil
}
