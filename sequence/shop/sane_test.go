package shop

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// doubtful is a till with a second player, a strung and judged job of the first racket and one that waits of the second.
func doubtful(t *testing.T) (c *till, bo book.Record, strung book.Record) {
	t.Helper()
	c = newTill(t)
	now := time.Date(2031, 5, 4, 12, 0, 0, 0, time.Local)
	bo, err := c.Add(context.Background(), records.KindPlayer, records.Fields{"name": "Bo (invented)"}, now)
	require.NoError(t, err)
	strung, err = c.Keep(context.Background(), records.KindJob, "", records.Fields{"racket": c.racket, "technique": "two-piece-skip", "tension": "24 kg", "mains": c.round}, "")
	require.NoError(t, err)
	finish(t, c.Shop, strung.UID, now.Add(-2*time.Hour), time.Second)
	_, err = c.Keep(context.Background(), records.KindVerdict, "", records.Fields{"job": strung.UID, "answer": "too tight, a bit"}, "")
	require.NoError(t, err)
	_, err = c.Keep(context.Background(), records.KindJob, "", records.Fields{"racket": c.another, "technique": "two-piece-skip", "tension": "24 kg", "frame": "club-sixteen"}, "")
	require.NoError(t, err)
	c.Now = func() time.Time { return now }
	return c, bo, strung
}

// Each rule of what goes into the book: what is asked, whether it takes a reason, and that it is kept with what was said.
func TestDoubts(t *testing.T) {
	c, _, strung := doubtful(t)
	job := func(pairs ...string) records.Fields {
		f := records.Fields{"racket": c.racket, "technique": "two-piece-skip", "mains": c.round, "tension": "23 kg"}
		for i := 0; i < len(pairs); i += 2 {
			f[pairs[i]] = pairs[i+1]
		}
		return f
	}
	for _, of := range []struct {
		kind   records.Name
		fields records.Fields
		says   string
		reason bool
	}{
		{records.KindJob, job("tension", "28 kg"), "tension: mains at 28 kg lie above the frame's printed range, 22 kg to 27 kg", true},
		{records.KindJob, job("tension", "21 kg"), "tension: mains at 21 kg lie below", true},
		{records.KindJob, job("tension", "25 kg"), "tension: boosted mains are pulled at 27.5 kg, above the frame's printed range", true},
		{records.KindJob, job("tension", "23 lb"), "tension: mains at 23 lb: the unit looks wrong for tennis; is 23 kg meant?", true},
		{records.KindJob, job("tension", "24.5 kg"), fmt.Sprintf(`tension: 24.5 kg goes against the player's word: "too tight, a bit" of job %d at 24 kg`, strung.ID), true},
		{records.KindJob, job("tension", "24 kg"), fmt.Sprintf(`tension: 24 kg goes against the player's word: "too tight, a bit" of job %d at 24 kg`, strung.ID), true},
		{records.KindJob, job("tension", ""), "tension: 24 kg goes against the player's word", true}, // as last time
		{records.KindJob, job("promised", "2031-05-04 11:00"), "promised: 2031-05-04 11:00 is over", false},
		{records.KindJob, job("promised", "2131-05-04"), "promised: 2131-05-04 is 36523 days ahead", false},
		{records.KindJob, job("racket", c.another, "frame", "club-sixteen"), "racket: job 2 of this racket waits already", false},
		{records.KindJob, job("promised", "2031-08-04"), "days ahead", false},
		{records.KindJob, job("promised", "2031-05-05"), "promised: 2031-05-05 00:00 is the midnight before that day", false},
		{records.KindCut, records.Fields{"stock": c.round, "length": "40 m", "for": "job", "job": strung.UID, "piece": "mains"}, "length: 40 m is more than one racket takes, some 12 m", false},
		{records.KindReading, records.Fields{"job": strung.UID, "value": "1400 Hz"}, "value: 1400 Hz is", false},
		{records.KindReading, records.Fields{"job": strung.UID, "value": "300 Hz"}, "times what the bed computes to", false},
		{records.KindGauge, records.Fields{"machine": c.window, "set": "24 kg", "read": "8 kg"}, "read: 8 kg where 24 kg was set is 0.33 times as much", false},
		{records.KindCut, records.Fields{"stock": c.rough, "length": "16 m", "for": "offcut"}, "length: 16 m is more than there is: Invented rough has 15.0 m left", false},
		{records.KindStocktaking, records.Fields{"stock": c.rough, "left": "16 m"}, "left: 16 m is more than was bought, 15.0 m", false},
		{records.KindStock, records.Fields{"name": "Invented soft", "form": "reel", "length": "200 m", "bought": "2131-05-04"}, "bought: 2131-05-04 has not come yet", false},
		{records.KindStock, records.Fields{"name": "Invented soft", "form": "reel", "length": "200 m", "bought": "1931-05-04"}, "bought: 1931-05-04 is 100 years ago", false},
		{records.KindStock, records.Fields{"name": "Invented soft", "form": "reel", "length": "1200 m"}, "length: a reel of 1200.0 m is longer than any", false},
		{records.KindStock, records.Fields{"name": "Invented soft", "form": "sets", "sets": "10", "length": "200 m"}, "length: one set of 200.0 m is no usual one", false},
		{records.KindPlayer, records.Fields{"name": "BO (invented)"}, `name: player 2, added 2031-05-04, is called "Bo (invented)" already`, false},
		{records.KindMachine, records.Fields{"name": "By the window"}, "name: machine 1", false},
		{records.KindRacket, records.Fields{"player": c.player, "mark": "Red dot"}, "mark: racket 2", false},
	} {
		t.Run(of.says, func(t *testing.T) {
			ctx := context.Background()
			k, _ := records.Find(of.kind)
			reason, ok := k.Reason()
			require.True(t, ok)
			before, err := c.Book.Find(ctx, of.kind, "", 0)
			require.NoError(t, err)
			_, err = c.Keep(ctx, of.kind, "", of.fields, "")
			doubts, ok := Doubted(err)
			require.True(t, ok, "%v", err)
			assert.ErrorContains(t, err, of.says)
			assert.Equal(t, of.reason, doubts.Reason())
			after, err := c.Book.Find(ctx, of.kind, "", 0)
			require.NoError(t, err)
			assert.Len(t, after, len(before), "nothing was written")

			of.fields[reason.Key] = records.ItIsSo
			r, err := c.Keep(ctx, of.kind, "", of.fields, "")
			if of.reason {
				require.ErrorContains(t, err, of.says, "it takes more than to say that it is so")
				of.fields[reason.Key] = "asked for by the player"
				r, err = c.Keep(ctx, of.kind, "", of.fields, "")
			}
			require.NoError(t, err)
			assert.Equal(t, of.fields[reason.Key], r.Fields[reason.Key], "the reason is kept")
			require.NoError(t, c.Remove(ctx, r.UID, true))
		})
	}
	for name, of := range map[string]struct {
		kind   records.Name
		fields records.Fields
	}{
		"the way the player wants it": {records.KindJob, job()},
		"the pull before a knot":      {records.KindJob, job("tension", "23.5 kg")},
		"as last time, other string":  {records.KindJob, job("tension", "", "mains", c.rough)},
		"another player's mark":       {records.KindRacket, records.Fields{"player": "", "mark": "red dot"}},
		"a reading after the losses":  {records.KindReading, records.Fields{"job": strung.UID, "value": "590 Hz"}},
		"a gauge's own unit":          {records.KindReading, records.Fields{"job": strung.UID, "value": "3 marks"}},
		"all that there is":           {records.KindCut, records.Fields{"stock": c.rough, "length": "15 m", "for": "broken"}},
	} {
		if of.kind == records.KindRacket {
			list, err := c.Book.Find(context.Background(), records.KindPlayer, "bo", 0)
			require.NoError(t, err)
			of.fields["player"] = list[0].UID
		}
		r, err := c.Keep(context.Background(), of.kind, "", of.fields, "")
		if assert.NoError(t, err, name) {
			require.NoError(t, c.Remove(context.Background(), r.UID, true))
		}
	}
}

// A reason goes with what was doubted, stands in the history, and stays with any other change.
func TestReasonGoesWithItsDoubt(t *testing.T) {
	c, bo, _ := doubtful(t)
	ctx := context.Background()
	k, _ := records.Find(records.KindJob)
	reason, _ := k.Reason()
	r, err := c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket, "technique": "two-piece-skip", "mains": c.round, "tension": "28 kg", reason.Key: "his own frame"}, "")
	require.NoError(t, err)
	for _, of := range []struct {
		change records.Fields
		says   string
	}{
		{records.Fields{"price": "18 EUR"}, "his own frame"},
		{records.Fields{"tension": "28.5 kg", reason.Key: "and harder"}, "and harder"},
		{records.Fields{"promised": "2031-05-05 17:00"}, "and harder"},
		{records.Fields{"tension": "23 kg"}, ""},
	} {
		r, err = c.Correct(ctx, r.UID, book.Change{At: c.Now(), Fields: of.change})
		require.NoError(t, err, of.change)
		assert.Equal(t, of.says, r.Fields[reason.Key], of.change)
	}
	said, err := c.Book.Corrections(ctx, r.UID)
	require.NoError(t, err)
	assert.Equal(t, "and harder", said[len(said)-1].Before[reason.Key])
	twin, err := c.Keep(ctx, records.KindPlayer, "", records.Fields{"name": "BO (invented)", "because": records.ItIsSo}, "")
	require.NoError(t, err)
	assert.NotEqual(t, bo.UID, twin.UID)
	twin, err = c.Correct(ctx, twin.UID, book.Change{At: c.Now(), Fields: records.Fields{"name": "Bob (invented)"}})
	require.NoError(t, err)
	assert.Empty(t, twin.Fields["because"])
}

// What cannot be is refused whatever is said, with what would do.
func TestRefused(t *testing.T) {
	c, bo, _ := doubtful(t)
	ctx := context.Background()
	lot, err := c.Keep(ctx, records.KindLot, "", records.Fields{"player": bo.UID, "name": "two"}, "")
	require.NoError(t, err)
	waiting, err := c.Book.Queue(ctx)
	require.NoError(t, err)
	for _, of := range []struct {
		kind   records.Name
		fields records.Fields
		says   string
	}{
		{records.KindJob, records.Fields{"player": bo.UID}, "frame: write it, as \"club-sixteen\""},
		{records.KindJob, records.Fields{"player": bo.UID, "racket": c.racket, "technique": "two-piece-skip", "tension": "23 kg"},
			`is Ada "the wall" Winter (invented)'s, and the job for Bo (invented); name one of Bo (invented)'s, or correct the racket's player first if it changed hands`},
		{records.KindJob, records.Fields{"lot": lot.UID, "racket": c.racket, "technique": "two-piece-skip", "tension": "23 kg"}, "lot: lot 1 (two) is Bo"},
		{records.KindVerdict, records.Fields{"job": waiting[0].UID, "answer": "right"}, "job: job 2 has not been strung yet; a verdict is of a strung racket"},
		{records.KindReading, records.Fields{"job": waiting[0].UID, "value": "590 Hz"}, "job: that job has not been strung yet"},
	} {
		k, _ := records.Find(of.kind)
		if reason, ok := k.Reason(); ok {
			of.fields[reason.Key] = "all the same"
		}
		_, err := c.Keep(ctx, of.kind, "", of.fields, "")
		_, doubted := Doubted(err)
		assert.ErrorContains(t, err, of.says)
		assert.False(t, doubted)
	}
}

// A correction is doubted as what is new, and only in what it changes.
func TestDoubtsOfACorrection(t *testing.T) {
	c, _, strung := doubtful(t)
	ctx := context.Background()
	_, err := c.Keep(ctx, records.KindJob, strung.UID, records.Fields{"handed": "2031-05-04 12:30"}, "")
	require.ErrorContains(t, err, "2031-05-04 12:30 has not come yet; was it handed over then?")
	_, err = c.Keep(ctx, records.KindJob, strung.UID, records.Fields{"handed": "2031-05-04 11:30"}, "")
	require.NoError(t, err)
	waiting, err := c.Book.Queue(ctx)
	require.NoError(t, err)
	_, err = c.Keep(ctx, records.KindJob, waiting[0].UID, records.Fields{"tension": "29 kg"}, "")
	require.ErrorContains(t, err, "above the frame's printed range")
	r, err := c.Keep(ctx, records.KindJob, waiting[0].UID, records.Fields{"tension": "29 kg", "reason": "a new frame"}, "")
	require.NoError(t, err)
	assert.Equal(t, "29 kg", r.Fields["tension"])
	_, err = c.Keep(ctx, records.KindJob, r.UID, records.Fields{"notes": "fetched by her brother"}, "")
	require.NoError(t, err)
	_, err = c.Keep(ctx, records.KindJob, r.UID, records.Fields{"tension": "30 kg"}, "")
	require.ErrorContains(t, err, "above the frame's printed range", "the reason was for what was doubted then")
	_, err = c.Keep(ctx, records.KindPlayer, c.player, records.Fields{"name": "bo (invented)"}, "")
	require.ErrorContains(t, err, "is this another one?")
}

// The player's word on a racket counts for it on whichever machine nobody named, and not on another one.
func TestTheWordWhereNoMachineIsNamed(t *testing.T) {
	c, _, _ := doubtful(t)
	door, err := c.Keep(context.Background(), records.KindMachine, "", records.Fields{"name": "door"}, "")
	require.NoError(t, err)
	again := func(machine string) error {
		_, err := c.Keep(context.Background(), records.KindJob, "", records.Fields{"racket": c.racket, "technique": "two-piece-skip", "mains": c.round, "tension": "24 kg", "machine": machine}, "")
		return err
	}
	require.ErrorContains(t, again(c.window), "goes against the player's word")
	require.ErrorContains(t, again(""), "goes against the player's word", "either may be meant")
	require.NoError(t, again(door.UID))
}

// What a lot is filled with is doubted too, once for all of its rackets; the reason stands with each.
func TestDoubtsOfALot(t *testing.T) {
	c, _, _ := doubtful(t)
	ctx := context.Background()
	lot, err := c.Keep(ctx, records.KindLot, "", records.Fields{"player": c.player, "name": "two"}, "")
	require.NoError(t, err)
	path := files(t, "job.toml", "frame = \"club-sixteen\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"26 kg\"\n")
	rackets, err := c.RacketsOf(ctx, lot, "")
	require.NoError(t, err)
	_, err = c.Fill(ctx, lot, path, rackets, "", records.ItIsSo)
	require.ErrorContains(t, err, "tension: boosted mains are pulled at 28.6 kg, above the frame's printed range, 22 kg to 27 kg\ntension: boosted crosses")
	jobs, err := c.Fill(ctx, lot, path, rackets, "", "a new frame")
	require.NoError(t, err)
	for _, j := range jobs {
		assert.Equal(t, "a new frame", j.Fields["reason"])
	}
	require.NoError(t, c.Remove(ctx, jobs[0].UID, false), "nothing hangs on it")
	err = c.Remove(ctx, lot.UID, false)
	_, ok := Doubted(err)
	assert.True(t, ok)
	assert.ErrorContains(t, err, "lot 1 (two) is named by 1 job, which stay in the book")
	require.NoError(t, c.Remove(ctx, lot.UID, true))
}

// Of two benches that begin one job file the second is told, and has marked nothing.
func TestTwoBenchesBeginOneFile(t *testing.T) {
	s, ctx := newShop(t), context.Background()
	path := files(t, "job.toml", "frame = \"club-sixteen\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\n")
	w, err := s.Load(path)
	require.NoError(t, err)
	first, err := s.OpenFile(ctx, path, w)
	require.NoError(t, err)
	second, err := s.OpenFile(ctx, path, w)
	require.NoError(t, err)
	require.NoError(t, first.Recorder.Record(ctx, progress.Event{At: s.Now(), Kind: progress.Done, Step: 1}))
	err = second.Recorder.Record(ctx, progress.Event{At: s.Now(), Kind: progress.Done, Step: 1})
	require.ErrorContains(t, err, "was begun meanwhile at another bench, as job 1; leave this one and take that up from the rack")
	jobs, err := s.Book.Jobs(ctx, book.Filter{})
	require.NoError(t, err)
	assert.Len(t, jobs, 1)
}

// What was cut for a job at the desk is not cut again at the bench, but where a piece comes out and begins anew.
func TestCutAtTheDesk(t *testing.T) {
	c, _, _ := doubtful(t)
	ctx := context.Background()
	green, err := c.Book.Add(ctx, records.KindRacket, records.Fields{"player": c.player, "mark": "green", "frame": "club-sixteen"}, c.Now())
	require.NoError(t, err)
	job, err := c.Add(ctx, records.KindJob, records.Fields{"racket": green.UID, "technique": "two-piece-skip", "mains": c.round, "tension": "24 kg", "reason": "asked for"}, c.Now())
	require.NoError(t, err)
	cuts := func() (mains, crosses int) {
		list, err := c.Book.Of(ctx, records.KindCut, c.round)
		require.NoError(t, err)
		for _, r := range list {
			switch cut := records.As[records.Cut](r.Fields); {
			case cut.Job != job.UID:
			case cut.Piece == string(plan.PieceMains):
				mains++
			default:
				crosses++
			}
		}
		return mains, crosses
	}
	_, err = c.Add(ctx, records.KindCut, records.Fields{"stock": c.round, "length": "6.2 m", "for": "job", "job": job.UID, "piece": "mains"}, c.Now())
	require.NoError(t, err)
	finish(t, c.Shop, job.UID, c.Now(), time.Second)
	mains, crosses := cuts()
	assert.Equal(t, []int{1, 1}, []int{mains, crosses})
}

// A racket that is looked for among a player's is never another's.
func TestNoneOfHersIsCalledSo(t *testing.T) {
	c, _, _ := doubtful(t)
	ctx := context.Background()
	other, err := c.Book.Add(ctx, records.KindPlayer, records.Fields{"name": "Fay (invented)"}, c.Now())
	require.NoError(t, err)
	_, err = c.Book.Add(ctx, records.KindRacket, records.Fields{"player": other.UID, "mark": "yellow"}, c.Now())
	require.NoError(t, err)
	_, err = c.Meant(ctx, records.KindRacket, c.player, "yellow")
	assert.ErrorContains(t, err, `none of this player's rackets is called "yellow"; there are `)
	assert.NotContains(t, err.Error(), "Fay")
	r, err := c.Meant(ctx, records.KindRacket, other.UID, "yellow")
	require.NoError(t, err)
	assert.Equal(t, "yellow", r.Label())
}
