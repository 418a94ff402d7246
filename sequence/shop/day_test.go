package shop

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/schedule"
)

// A racket that was strung on paper is strung, handed over, paid, and due when its player's rule says.
func TestADayAtTheDesk(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	_, err := c.Correct(ctx, c.player, book.Change{At: time.Now(), Fields: records.Fields{"plays": "5", "contact": "555 0100"}})
	require.NoError(t, err)
	r, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg", "mains": c.round, "price": "18 EUR"})
	require.NoError(t, err)
	_, err = c.HandOver(ctx, r.UID, "her brother", true, time.Now())
	require.ErrorContains(t, err, "job 1 waits; what is handed over is strung")
	at := time.Date(2026, 3, 4, 12, 0, 0, 0, time.Local)
	require.NoError(t, c.EnterStrung(ctx, r.UID, "elsewhere", at))
	require.ErrorContains(t, c.EnterStrung(ctx, r.UID, "", at), "has been begun")
	p, err := c.Pace(ctx)
	require.NoError(t, err)
	assert.Zero(t, p.Jobs, "it says nothing of the pace")
	_, err = c.HandOver(ctx, r.UID, "her brother", true, at.Add(time.Hour))
	require.NoError(t, err)
	second, err := c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.another, "frame": "club-sixteen", "technique": "two-piece-skip", "tension": "24 kg", "price": "20.50 EUR"}, "")
	require.NoError(t, err)
	require.NoError(t, c.EnterStrung(ctx, second.UID, "", at))
	_, err = c.HandOver(ctx, second.UID, "", false, at.Add(2*time.Hour))
	require.NoError(t, err)

	d, err := c.Day(ctx, at)
	require.NoError(t, err)
	assert.Equal(t, "2026-03-04", d.Day)
	require.Len(t, d.Strung, 2)
	require.Len(t, d.Handed, 2)
	assert.Equal(t, "her brother", d.Handed[0].To)
	assert.Equal(t, "38.50 EUR", Money(d.Price))
	assert.Equal(t, "18.00 EUR", Money(d.Paid))
	other, err := c.Day(ctx, at.AddDate(0, 0, 1))
	require.NoError(t, err)
	assert.Empty(t, other.Strung)
	assert.Equal(t, "nothing", Money(other.Price))

	// Five times a week is five times a year: 73 days.
	early, err := c.Due(ctx, at.AddDate(0, 0, 72))
	require.NoError(t, err)
	assert.Empty(t, early)
	due, err := c.Due(ctx, at.AddDate(0, 0, 73))
	require.NoError(t, err)
	require.Len(t, due, 2)
	assert.Equal(t, "555 0100", due[0].Contact)
	assert.Equal(t, at.AddDate(0, 0, 73).Format(time.DateOnly), due[0].Due.Format(time.DateOnly))
	_, err = c.job(records.Fields{})
	require.NoError(t, err)
	due, err = c.Due(ctx, at.AddDate(1, 0, 0))
	require.NoError(t, err)
	assert.Len(t, due, 1, "what waits is seen to")

	page, err := c.Page(ctx, c.player)
	require.NoError(t, err)
	assert.Contains(t, page.Below[0].Lines[1].Text, `blue 'dot' \ 1 · club-sixteen · 2026-03-04 · 24 kg · Invented round · waits again`, "what waits is not due")
	assert.Contains(t, page.Below[0].Lines[0].Text, "24 kg · due 2026-05-16")
	told, err := c.TellDue(ctx, at)
	require.NoError(t, err)
	assert.Equal(t, "none is due by then; what waits already or is in work is not asked for", told[0].Lines[0].Text)
}

// A time in a list or on a page says what was then: a job was added or begun, a player added, a gauge check happened.
func TestSince(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	now := time.Date(2031, 5, 4, 14, 0, 0, 0, time.Local)
	c.Now = func() time.Time { return now }
	first, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg"})
	require.NoError(t, err)
	_, err = c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.another, "frame": "club-sixteen", "technique": "two-piece-skip", "tension": "24 kg"}, "")
	require.NoError(t, err)
	b, err := c.Open(ctx, first.UID)
	require.NoError(t, err)
	require.NoError(t, b.Recorder.Record(ctx, progress.Event{At: now.Add(time.Hour), Kind: progress.Done, Step: 1}))
	dates := func(kind records.Name) (string, []string) {
		list, err := c.Find(ctx, kind, "", "")
		require.NoError(t, err)
		return Dates(list, minute)
	}
	head, jobs := dates(records.KindJob)
	assert.Equal(t, "since", head)
	assert.Equal(t, []string{"begun 2031-05-04 15:00", "added 2031-05-04 14:00"}, jobs)
	head, _ = dates(records.KindGauge)
	assert.Equal(t, "at", head)
	head, players := dates(records.KindPlayer)
	assert.Equal(t, "added", head)
	assert.NotContains(t, players[0], "added", "the heading says it of all")
	page, err := c.Page(ctx, first.UID)
	require.NoError(t, err)
	assert.Contains(t, page.Tell()[0].Lines[1].Text, "begun")
	now = now.Add(2 * time.Hour)
	queue, err := c.Queue(ctx)
	require.NoError(t, err)
	var lines []string
	for _, l := range TellQueue(schedule.Pace{}, queue, nil).Lines {
		lines = append(lines, l.Text)
	}
	assert.Regexp(t, `in work, begun 15:00 .*\n.*waits, added 14:00 `, strings.Join(lines, "\n"))
}

// What a player wants fills a new job, for the racket before what is for all; what is written goes first.
func TestWishesFillANewJob(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	_, err := c.Correct(ctx, c.player, book.Change{At: time.Now(), Fields: records.Fields{"tension": "23 kg", "technique": "two-piece-knot", "string": c.round, "remarks": "ends left long"}})
	require.NoError(t, err)
	r, err := c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket}, "")
	require.NoError(t, err)
	assert.Equal(t, []string{"23 kg", "two-piece-knot", c.round, "ends left long"}, []string{r.Fields["tension"], r.Fields["technique"], r.Fields["mains"], r.Fields["notes"]})
	require.NoError(t, c.Remove(ctx, r.UID, true))
	_, err = c.Correct(ctx, c.racket, book.Change{At: time.Now(), Fields: records.Fields{"tension": "24 kg / 23 kg", "string": c.rough, "remarks": "mind the grommet at 5T"}})
	require.NoError(t, err)
	r, err = c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket}, "")
	require.NoError(t, err)
	assert.Equal(t, []string{"24 kg / 23 kg", "two-piece-knot", c.rough, "ends left long; mind the grommet at 5T"},
		[]string{r.Fields["tension"], r.Fields["technique"], r.Fields["mains"], r.Fields["notes"]})
	require.NoError(t, c.Remove(ctx, r.UID, true))
	r, err = c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket, "tension": "23.5 kg"}, "")
	require.NoError(t, err)
	assert.Equal(t, "23.5 kg", r.Fields["tension"])
	b, err := c.Open(ctx, r.UID)
	require.NoError(t, err)
	require.NoError(t, b.Recorder.Record(ctx, progress.Event{At: time.Now(), Kind: progress.Done, Step: 1}))
}

// What is to be minded with a racket goes with it from a job that is another racket's now; what somebody wrote stays.
func TestRemarksGoWithTheRacket(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	for uid, says := range map[string]string{c.player: "ends left long", c.racket: "mind the grommet at 5T"} {
		_, err := c.Correct(ctx, uid, book.Change{At: time.Now(), Fields: records.Fields{"remarks": says}})
		require.NoError(t, err)
	}
	r, err := c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket, "technique": "two-piece-skip", "tension": "24 kg", "frame": "club-sixteen"}, "")
	require.NoError(t, err)
	for _, of := range []struct{ racket, notes, want string }{
		{c.another, "", "ends left long"}, {c.racket, "", "ends left long; mind the grommet at 5T"}, {c.another, "with care", "with care"}, {c.racket, "", "with care"},
	} {
		change := records.Fields{"racket": of.racket}
		if of.notes != "" {
			change["notes"] = of.notes
		}
		r, err = c.Correct(ctx, r.UID, book.Change{At: time.Now(), Fields: change})
		require.NoError(t, err)
		assert.Equal(t, of.want, r.Fields["notes"])
	}
}

// Every racket on the rack says who has it where and since when; whoever goes on with another's is asked, and it is noted.
func TestWhoHasWhat(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	now := time.Date(2031, 5, 4, 14, 0, 0, 0, time.Local)
	c.Now = func() time.Time { return now }
	r, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg", "promised": "2031-05-04 17:30", "mains": c.round, "machine": c.window})
	require.NoError(t, err)
	list, _, err := c.Rack(ctx, nil)
	require.NoError(t, err)
	assert.Equal(t, "by the window · 17:30", list[0].Short)
	assert.Equal(t, "by the window", list[0].Machine)
	assert.Equal(t, "job1", list[0].Name)
	assert.True(t, list[0].Mine)
	assert.True(t, list[0].Today)
	b, err := c.Open(ctx, r.UID)
	require.NoError(t, err)
	require.NoError(t, b.Recorder.Record(ctx, progress.Event{At: now.Add(-55 * time.Minute), Kind: progress.Done, Step: 1}))
	list, _, err = c.Rack(ctx, nil)
	require.NoError(t, err)
	assert.Equal(t, "2/64 Cy (invented), by the window, begun 13:05 · 17:30", list[0].Short)
	assert.Empty(t, list[0].Held)

	c.Stringer = "Di (invented)"
	list, _, err = c.Rack(ctx, nil)
	require.ErrorContains(t, err, `no stringer is called "Di (invented)", who would be added with`)
	assert.NotEmpty(t, list, "the rackets are shown all the same")
	require.ErrorContains(t, c.TakeOver(ctx, r.UID), "no stringer is called")
	_, err = c.Add(ctx, records.KindStringer, records.Fields{"name": "Di (invented)"}, now)
	require.NoError(t, err)
	list, open, err := c.Rack(ctx, nil)
	require.NoError(t, err)
	assert.Equal(t, "Cy (invented) has it, begun 13:05", list[0].Held)
	assert.False(t, list[0].Mine)
	require.NoError(t, c.TakeOver(ctx, r.UID))
	require.NoError(t, c.TakeOver(ctx, r.UID))
	_, err = open[0](ctx)
	require.NoError(t, err)
	p, err := c.Page(ctx, r.UID)
	require.NoError(t, err)
	assert.Equal(t, "Di (invented)", p.Names[p.Fields["stringer"]])
	require.NotEmpty(t, p.Corrections)
	assert.Equal(t, "taken over from Cy (invented)", p.Corrections[len(p.Corrections)-1].Why)
	list, _, err = c.Rack(ctx, nil)
	require.NoError(t, err)
	assert.Empty(t, list[0].Held)
}

// The queue says at which job a string runs short, piece by piece, before anybody cuts.
func TestTheQueueWarnsBeforeStringRunsShort(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	for _, racket := range []string{c.racket, c.another} {
		_, err := c.Keep(ctx, records.KindJob, "", records.Fields{"racket": racket, "frame": "club-sixteen", "technique": "two-piece-skip", "tension": "24 kg", "mains": c.rough}, "")
		require.NoError(t, err)
	}
	queue, err := c.Queue(ctx)
	require.NoError(t, err)
	assert.Empty(t, queue[0].Short)
	assert.Regexp(t, `^Invented rough runs short: \d\.\d m left then, and the mains take 6\.\d m$`, queue[1].Short, "15 m are for one racket")
	list, _, err := c.Rack(ctx, nil)
	require.NoError(t, err)
	assert.True(t, list[1].Late)
	assert.Contains(t, list[1].Short, "string runs short")
	_, err = c.Keep(ctx, records.KindStocktaking, "", records.Fields{"stock": c.rough, "left": "14 m"}, "")
	require.NoError(t, err)
	page, err := c.Page(ctx, c.rough)
	require.NoError(t, err)
	assert.Equal(t, "14.0 m left", page.Below[0].Lines[0].Text)
	assert.Equal(t, "stocktakings", page.Below[1].Title)
}

// A job whose string is not in stock, or of which nobody has said the string, says so in the queue and on the rack; where no stock is kept, none does.
func TestTheQueueSaysWhatIsNotInStock(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	fields := records.Fields{"racket": c.racket, "frame": "club-sixteen", "technique": "two-piece-skip", "tension": "24 kg"}
	_, err := c.Keep(ctx, records.KindJob, "", fields, "")
	require.NoError(t, err)
	text := "frame = \"club-sixteen\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\n[string.mains]\nname = \"Invented %s\"\n[string.crosses]\nname = \"Invented %s\"\n"
	for _, named := range [][2]any{{"nowhere", "nowhere"}, {"round", "nowhere"}, {"round", "round"}} {
		_, err := c.Book.Add(ctx, records.KindJob, records.Fields{"player": c.player, "text": fmt.Sprintf(text, named[0], named[1]), "tension": "24 kg"}, c.Now())
		require.NoError(t, err)
	}
	queue, err := c.Queue(ctx)
	require.NoError(t, err)
	list, _, err := c.Rack(ctx, nil)
	require.NoError(t, err)
	for i, want := range []string{"nobody has said from which string", "Invented nowhere is not in stock", "Invented nowhere is not in stock", ""} {
		assert.Equal(t, want, queue[i].Short, "%d", i)
		assert.Contains(t, list[i].Mark, want)
		assert.Equal(t, want != "", list[i].Late)
		assert.Contains(t, list[i].Short, map[int]string{0: "no string yet", 1: "string missing", 2: "string missing"}[i])
	}
	assert.Contains(t, fmt.Sprint(TellQueue(schedule.Pace{}, queue, nil)), "at job 2 Invented nowhere is not in stock")

	for _, stock := range []string{c.round, c.rough} {
		require.NoError(t, c.Remove(ctx, stock, true))
	}
	queue, err = c.Queue(ctx)
	require.NoError(t, err)
	for _, w := range queue {
		assert.Empty(t, w.Short)
	}
}

// The crosses of another string than the mains' are not cut from the mains' stock: what is in stock under its name is, and else nothing.
func TestCrossesOfAnotherString(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	text := "frame = \"club-sixteen\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\n[string.mains]\nname = \"Invented round\"\n[string.crosses]\nname = \"Invented %s\"\n"
	for _, from := range []string{c.round, ""} { // the mains' stock as somebody said, or as the name says
		for crosses, want := range map[string]string{"nowhere": "before you cut: Invented nowhere is not in stock", "rough": "", "round": ""} {
			r, err := c.Book.Add(ctx, records.KindJob, records.Fields{"player": c.player, "text": fmt.Sprintf(text, crosses), "tension": "24 kg", "mains": from}, c.Now())
			require.NoError(t, err)
			b, err := c.Open(ctx, r.UID)
			require.NoError(t, err)
			assert.Equal(t, want != "", slices.Contains(b.Warnings, want), "%s: %v", crosses, b.Warnings)
			assert.NotContains(t, strings.Join(b.Warnings, " "), "round is not")
			require.NoError(t, c.EnterStrung(ctx, r.UID, "", c.Now()))
			for stock, pieces := range map[string][]string{c.round: {"mains"}, c.rough: nil} {
				if map[string]string{"round": c.round, "rough": c.rough}[crosses] == stock {
					pieces = append(pieces, "crosses")
				}
				cuts, err := c.Book.Of(ctx, records.KindCut, stock)
				require.NoError(t, err)
				var got []string
				for _, cut := range cuts {
					if records.As[records.Cut](cut.Fields).Job == r.UID {
						got = append(got, records.As[records.Cut](cut.Fields).Piece)
					}
				}
				assert.ElementsMatch(t, pieces, got, "crosses of %s, said %q", crosses, from)
			}
		}
	}
}
