package shop

import (
	"context"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/measure"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// From an empty book to a strung racket, without a terminal.
func TestARacketGoesThroughTheShop(t *testing.T) {
	s, ctx := newShop(t), context.Background()
	list, open, err := s.Rack(ctx, []string{"none.toml"})
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Contains(t, list[0].Trouble, "none.toml: no such file")
	_, err = open[0](ctx)
	require.ErrorContains(t, err, "no such file")
	assert.Equal(t, "Demo player (invented) · first racket", list[1].Title)

	demo, err := open[1](ctx)
	require.NoError(t, err)
	assert.True(t, demo.Demo)
	at := time.Now().Add(-5 * time.Minute)
	require.NoError(t, demo.Recorder.Record(ctx, progress.Event{At: at, Kind: progress.Done, Step: 1}))
	list, open, err = s.Rack(ctx, nil)
	require.NoError(t, err)
	require.Len(t, list, 1, "what is in progress is not offered again")
	assert.Equal(t, "in progress", list[0].Group)
	assert.Contains(t, list[0].Mark, "2/")
	assert.Contains(t, list[0].Mark, "left 5 min ago")

	require.NoError(t, demo.Recorder.Park(ctx, s.Now()))
	list, _, err = s.Rack(ctx, nil)
	require.NoError(t, err)
	assert.True(t, list[0].Parked)
	again, err := open[0](ctx)
	require.NoError(t, err)
	require.Len(t, again.Events, 1)
	for n := 2; n <= len(again.Plan.Steps); n++ {
		require.NoError(t, again.Recorder.Record(ctx, progress.Event{At: at.Add(time.Duration(n) * time.Second), Kind: progress.Done, Step: n}))
	}
	jobs, err := s.Find(ctx, records.KindJob, "", "demo")
	require.NoError(t, err)
	require.Len(t, jobs, 1)
	assert.Equal(t, "strung 24 kg / 23 kg", jobs[0].Mark)
	assert.False(t, jobs[0].Bench)

	_, err = s.Keep(ctx, records.KindReading, "", records.Texts(records.Reading{Job: jobs[0].UID, Value: "590 Hz", Error: "0.3 N/mm"}), "")
	require.ErrorContains(t, err, "error: it is in N/mm, and the reading in Hz")
	_, err = s.Keep(ctx, records.KindReading, "", records.Texts(records.Reading{Job: jobs[0].UID, Value: "590 Hz", Error: "0.3 Hz"}), "")
	require.NoError(t, err)
	p, err := s.Page(ctx, jobs[0].UID)
	require.NoError(t, err)
	require.Len(t, p.Below, 2)
	assert.Equal(t, "work", p.Below[0].Title)
	assert.Regexp(t, "590 Hz, computed .* · ± 0.3 Hz", p.Below[1].Lines[0].Text)
	player := records.As[records.Job](p.Fields).Player
	p, err = s.Page(ctx, player)
	require.NoError(t, err)
	require.Len(t, p.Below, 2, "its racket and its job")
	assert.Contains(t, p.Below[1].Lines[0].Text, "first racket · Club sixteen · 24 kg / 23 kg · strung · read 590 Hz")
	_, err = s.Strung(ctx, "job.toml")
	require.ErrorContains(t, err, "no finished job of this file")
	j, err := s.Strung(ctx, DemoFile)
	require.NoError(t, err)
	facts := s.Ticket(ctx, j)
	assert.Equal(t, "Demo player (invented)", facts.Player)
	assert.Equal(t, "Cy (invented)", facts.Stringer)
	assert.InDelta(t, 590, facts.Reading.Value, 0)
}

// What lies on the machine comes first, then what is promised first; the records that a list names are all named.
func TestQueueInOrder(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	var uids []string
	for _, promised := range []string{"2031-05-06", "2031-05-04", ""} {
		r, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg", "promised": promised})
		require.NoError(t, err)
		uids = append(uids, r.UID)
	}
	list, err := c.Queue(ctx)
	require.NoError(t, err)
	var got []string
	for _, w := range list {
		got = append(got, w.UID)
		assert.Equal(t, `Ada "the wall" Winter (invented) · blue 'dot' \ 1`, w.Title)
		assert.Equal(t, "Club sixteen · Two pieces, skip start · mains 24 kg, crosses 24 kg", w.Detail)
	}
	assert.Equal(t, []string{uids[1], uids[0], uids[2]}, got)
	b, err := c.Open(ctx, uids[2])
	require.NoError(t, err)
	require.NoError(t, b.Recorder.Record(ctx, progress.Event{At: time.Now(), Kind: progress.Done, Step: 1}))
	list, err = c.Queue(ctx)
	require.NoError(t, err)
	assert.Equal(t, uids[2], list[0].UID)
	require.NoError(t, c.Park(ctx, uids[2], true))
	r, err := c.Book.Record(ctx, uids[2])
	require.NoError(t, err)
	assert.Equal(t, records.Parked, records.As[records.Job](r.Fields).Parked)
}

// A correction's page tells what was there, by name.
func TestPageNamesWhatWasThere(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	r, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg", "mains": c.round})
	require.NoError(t, err)
	_, err = c.Keep(ctx, records.KindJob, r.UID, records.Fields{"mains": c.rough}, "the other reel")
	require.NoError(t, err)
	p, err := c.Page(ctx, r.UID)
	require.NoError(t, err)
	assert.Equal(t, "Invented round", p.Names[c.round])
	assert.Equal(t, "Invented rough", p.Names[c.rough])
	assert.Equal(t, "waits", p.Mark)
	assert.True(t, p.Bench)
	require.Len(t, p.Corrections, 1)
	assert.Equal(t, "the other reel", p.Corrections[0].Why)
	assert.True(t, p.Unstrung)
	require.NoError(t, c.EnterStrung(ctx, r.UID, "elsewhere", time.Now()))
	p, err = c.Page(ctx, r.UID)
	require.NoError(t, err)
	assert.False(t, p.Unstrung)
}

// A lot's first verdict sets the rackets that wait, and the suggestion may be overruled.
func TestLotDesk(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	lot, err := c.Add(ctx, records.KindLot, records.Texts(records.Lot{Player: c.player, Name: "two"}), time.Now())
	require.NoError(t, err)
	path := files(t, "job.toml", "frame = \"club-sixteen\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\n")
	rackets, err := c.RacketsOf(ctx, lot, "")
	require.NoError(t, err)
	jobs, err := c.Fill(ctx, lot, path, rackets, "", "")
	require.NoError(t, err)
	require.Len(t, jobs, 2)
	finish(t, c.Shop, jobs[0].UID, time.Now().Add(-time.Hour), time.Second)
	next, err := c.NextOfLot(ctx, jobs[0].UID)
	require.NoError(t, err)
	assert.Equal(t, jobs[1].UID, next)
	d := LotDesk{Shop: c.Shop, UID: lot.UID}
	sheet, err := d.Judge(ctx, jobs[0].UID, "too tight, plainly", "")
	require.NoError(t, err)
	assert.Equal(t, "23 kg", sheet.Suggestion.Mains.String())
	assert.Equal(t, 1, sheet.Waiting)
	assert.Equal(t, "too tight, plainly", sheet.Rackets[0].Said)
	undecided := func(want string) {
		t.Helper()
		_, says, err := c.Undecided(ctx, jobs[1].UID)
		require.NoError(t, err)
		assert.Equal(t, want, says)
		rack, _, err := c.Rack(ctx, nil)
		require.NoError(t, err)
		assert.Equal(t, want != "", strings.HasPrefix(rack[0].Short, "undecided"), rack[0].Short)
		assert.Equal(t, want != "", strings.Contains(rack[0].Mark, "its lot is undecided"), rack[0].Mark)
	}
	undecided("the player's word suggests 23 kg for those that wait, and 24 kg is still set: decide first")
	of, _, err := c.Undecided(ctx, jobs[0].UID)
	require.NoError(t, err)
	assert.Empty(t, of, "it is strung")
	a, err := c.Advise(ctx, lot)
	require.NoError(t, err)
	m, x, err := a.Choose(a.Mains.Percent(-10), measure.Tension{})
	require.NoError(t, err)
	assert.Equal(t, "20.7 kg / 20.7 kg", m.String()+" / "+x.String(), "the same change of the crosses")
	_, err = d.Decide(ctx, m, x, "")
	doubts, ok := Doubted(err)
	require.True(t, ok)
	assert.Equal(t, "tension: mains at 20.7 kg lie below the frame's printed range, 22 kg to 27 kg\n"+
		"tension: crosses at 20.7 kg lie below the frame's printed range, 22 kg to 27 kg", doubts.Error(), "the same of each racket once")
	sheet, err = d.Decide(ctx, m, x, "softer still")
	require.NoError(t, err)
	assert.Equal(t, "waits, decided 20.7 kg", sheet.Rackets[1].State)
	undecided("")
	_, err = d.Judge(ctx, jobs[1].UID, "meh", "")
	require.Error(t, err)
}

// The context comes with each call and lies in no struct; the clock is asked in one place.
func TestContextAndClock(t *testing.T) {
	for _, dir := range []string{".", filepath.Join("..", "..", "cmd", "pullcard")} {
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		clocks := 0
		for _, e := range entries {
			if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
				continue
			}
			file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(dir, e.Name()), nil, 0)
			require.NoError(t, err)
			ast.Inspect(file, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.StructType:
					for _, f := range n.Fields.List {
						if dir != "." {
							continue // a reader of a command has its context, as it has no other way to it
						}
						assert.NotEqual(t, "context.Context", fmt.Sprint(selector(f.Type)), "%s holds a context", e.Name())
					}
				case *ast.SelectorExpr:
					if selector(n) == "time.Now" {
						clocks++
					}
				}
				return true
			})
		}
		assert.LessOrEqual(t, clocks, 1, dir)
	}
}

func selector(e ast.Expr) string {
	if s, ok := e.(*ast.SelectorExpr); ok {
		if x, ok := s.X.(*ast.Ident); ok {
			return x.Name + "." + s.Sel.Name
		}
	}
	return ""
}
