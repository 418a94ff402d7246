package shop

import (
	"context"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// till is a shop with a player, her racket, two reels and a machine in its book, all of them invented.
type till struct {
	*Shop
	player, racket, round, rough, window, another string
}

func newTill(t *testing.T) *till {
	t.Helper()
	c := &till{Shop: newShop(t)}
	put := func(kind records.Name, fields records.Fields) string {
		r, err := c.Add(context.Background(), kind, fields, time.Now())
		require.NoError(t, err)
		return r.UID
	}
	c.player = put(records.KindPlayer, records.Fields{"name": `Ada "the wall" Winter (invented)`})
	c.racket = put(records.KindRacket, records.Fields{"player": c.player, "mark": `blue 'dot' \ 1`, "frame": "club-sixteen"})
	c.another = put(records.KindRacket, records.Fields{"player": c.player, "mark": "red dot"})
	c.round = put(records.KindStock, records.Fields{"name": "Invented round", "form": "reel", "length": "200 m", "diameter": "1.25 mm", "material": "polyester"})
	c.rough = put(records.KindStock, records.Fields{"name": "Invented rough", "form": "reel", "length": "15 m", "diameter": "1.30 mm", "mass": "1.8 g/m"})
	c.window = put(records.KindMachine, records.Fields{"name": "by the window", "pull": "constant pull", "reach": "400 mm"})
	put(records.KindGauge, records.Fields{"machine": c.window, "set": "24 kg", "read": "23.7 kg"})
	_, err := c.Correct(context.Background(), c.window, book.Change{Fields: records.Fields{"offset": "0.3 kg"}, At: time.Now()})
	require.NoError(t, err)
	return c
}

// job adds a job of the first racket.
func (c *till) job(fields records.Fields) (book.Record, error) {
	fields["racket"] = c.racket
	if fields["reason"] == "" {
		fields["reason"] = "whatever is doubted of it"
	}
	return c.Keep(context.Background(), records.KindJob, "", fields, "")
}

// read is the job that a record's text says.
func read(t *testing.T, r book.Record) *sequence.Job {
	t.Helper()
	j, warnings, err := sequence.ReadJob("", []byte(r.Fields["text"]))
	require.NoError(t, err)
	require.Empty(t, warnings)
	return j
}

func TestComposedTextSaysTheSame(t *testing.T) {
	c := newTill(t)
	r, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24kg/23 kg", "mains": c.round, "crosses": c.rough})
	require.NoError(t, err)
	j := read(t, r)
	assert.Equal(t, `Ada "the wall" Winter (invented)`, j.Player)
	assert.Equal(t, `blue 'dot' \ 1`, j.Racket)
	assert.Equal(t, "club-sixteen", j.Frame.Value, "that of the racket")
	assert.Equal(t, "two-piece-skip", j.Technique.Value)
	assert.Equal(t, "24 kg / 23 kg", string(records.Bed(j.Mains.String(), j.Crosses.String())))
	assert.Equal(t, sequence.String{Name: "Invented round", DiameterMM: 1.25, Material: "polyester"}, j.StringMains)
	assert.Equal(t, sequence.String{Name: "Invented rough", DiameterMM: 1.3, GramsPerMetre: 1.8}, j.StringCrosses)
	assert.Equal(t, sequence.Machine{Name: "by the window", ReachMM: 400, Kind: sequence.ConstantPull}, j.Machine, "the only one of the book")
	assert.Equal(t, c.player, r.Fields["player"], "whose racket it is")
	assert.Equal(t, "24 kg / 23 kg", r.Fields["tension"])
	assert.Empty(t, r.Fields["file"])
	b, err := c.Open(context.Background(), r.UID)
	require.NoError(t, err)
	assert.Equal(t, "24 kg", b.Plan.Terms.PullMains.Ordered)
	assert.Equal(t, "0.3 kg", b.Offset.String())
}

// Player, racket, enter: all else is as last time, as far as it is still there.
func TestComposedAsLastTime(t *testing.T) {
	c := newTill(t)
	first, err := c.job(records.Fields{"technique": "two-piece-knot", "tension": "24 kg / 23 kg", "mains": c.round, "crosses": c.rough})
	require.NoError(t, err)
	_, err = c.job(records.Fields{"player": c.player, "technique": "two-piece-skip"})
	require.ErrorContains(t, err, `tension: write it, as "24 kg" or "24 kg / 23 kg"; there is no last time`, "what waits was not strung yet")
	finish(t, c.Shop, first.UID, time.Now().Add(-time.Hour), time.Second)

	again, err := c.job(records.Fields{"player": c.player})
	require.NoError(t, err)
	for _, key := range []string{"frame", "technique", "tension", "mains", "crosses", "machine"} {
		assert.Equal(t, first.Fields[key], again.Fields[key], key)
	}
	assert.Equal(t, first.Fields["text"], again.Fields["text"])

	other, err := c.job(records.Fields{"tension": "25 kg", "mains": c.round})
	require.NoError(t, err)
	assert.Equal(t, "two-piece-knot", read(t, other).Technique.Value)
	assert.Equal(t, "25 kg", read(t, other).Crosses.String())
	assert.Equal(t, "Invented round", read(t, other).StringCrosses.Name, "with other mains the crosses are theirs")

	_, err = c.Add(context.Background(), records.KindCut, records.Fields{"stock": c.rough, "length": "14 m", "for": "count", "because": "counted"}, time.Now())
	require.NoError(t, err)
	short, err := c.job(records.Fields{})
	require.NoError(t, err)
	assert.Empty(t, short.Fields["crosses"], "the reel is used up")
	assert.Equal(t, "Invented rough", read(t, short).StringCrosses.Name, "the string stays")

	_, err = c.Keep(context.Background(), records.KindJob, "", records.Fields{"racket": c.another}, "")
	require.ErrorContains(t, err, "technique: write it, as", "another racket has no last time, and what cannot be strung is no job")
}

// A job with a job file can be done again from another folder: what it names is found by its whole path.
func TestComposedFromAJobFile(t *testing.T) {
	c := newTill(t)
	data, _ := library.Layout("club-sixteen")
	layout := files(t, "frame.toml", string(data))
	path := filepath.Join(filepath.Dir(layout), "job.toml")
	require.NoError(t, os.WriteFile(path, []byte("frame = \"frame.toml\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\" # hers\n"+
		"[string.mains]\nname = \"Invented bulk\"\nprestretch = \"10 %\"\nreel = \"200 m\"\nleft = \"50 m\"\n"), 0o600))
	first, err := c.job(records.Fields{"file": path, "tension": "25 kg / 24 kg"})
	require.NoError(t, err)
	assert.Equal(t, layout, first.Fields["frame"])
	assert.Contains(t, first.Fields["text"], `mains = "25 kg"`)
	assert.Contains(t, first.Fields["text"], "# hers")
	_, err = c.job(records.Fields{"file": path, "technique": "one-piece"})
	require.ErrorContains(t, err, "file: a job file says frame and technique itself")

	finish(t, c.Shop, first.UID, time.Now().Add(-time.Hour), time.Second)
	require.NoError(t, c.Book.Remove(context.Background(), c.window))
	again, err := c.job(records.Fields{"frame": layout})
	require.NoError(t, err)
	j := read(t, again)
	assert.Equal(t, layout, j.Frame.Value)
	assert.Equal(t, "25 kg / 24 kg", again.Fields["tension"])
	assert.InDelta(t, 10, j.StringMains.StretchPercent, 0)
	assert.Zero(t, j.StringMains.Supply.Stock().MM, "what was left that day is no longer true")
	assert.Empty(t, again.Fields["machine"], "there is none any more")
}

func TestCorrectingAJob(t *testing.T) {
	c := newTill(t)
	correct := func(r book.Record, fields records.Fields) (book.Record, error) {
		return c.Keep(context.Background(), records.KindJob, r.UID, fields, "")
	}
	r, err := c.Book.Add(context.Background(), records.KindJob, records.Fields{"racket": c.racket, "player": c.player}, time.Now())
	require.NoError(t, err)
	r, err = correct(r, records.Fields{"technique": "two-piece-skip", "tension": "24 kg", "mains": c.round})
	require.NoError(t, err)
	assert.Equal(t, "24 kg", read(t, r).Mains.String(), "what was missing in an older book is said later")

	r, err = correct(r, records.Fields{"tension": "24 kg / 23kg"})
	require.NoError(t, err)
	assert.Equal(t, "23 kg", read(t, r).Crosses.String())
	assert.Equal(t, "24 kg / 23 kg", r.Fields["tension"])
	r, err = correct(r, records.Fields{"technique": "two-piece-knot", "crosses": c.rough})
	require.NoError(t, err)
	assert.Equal(t, "two-piece-knot", read(t, r).Technique.Value)
	assert.Equal(t, "Invented rough", read(t, r).StringCrosses.Name)
	r, err = correct(r, records.Fields{"crosses": "", "tension": ""})
	require.NoError(t, err)
	assert.Equal(t, "Invented round", read(t, r).StringCrosses.Name)
	assert.Equal(t, "24 kg / 23 kg", r.Fields["tension"], "a tension cannot be taken off")
	r, err = correct(r, records.Fields{"racket": c.another})
	require.NoError(t, err)
	assert.Equal(t, "red dot", read(t, r).Racket)
	before := r.Fields["text"]
	_, err = correct(r, records.Fields{"tension": "24"})
	require.ErrorContains(t, err, `tension: "24" has no unit`)
	r, err = correct(r, records.Fields{"promised": "17:30", "reason": "or it is over"})
	require.NoError(t, err)
	assert.Equal(t, before, r.Fields["text"])

	finish(t, c.Shop, r.UID, time.Now().Add(-time.Hour), time.Second)
	_, err = correct(r, records.Fields{"tension": "30 kg"})
	require.ErrorContains(t, err, "tension: the job has been begun")
	r, err = correct(r, records.Fields{"notes": "fetched", "mains": c.rough})
	require.NoError(t, err)
	assert.Equal(t, before, r.Fields["text"], "what was begun stays as it is")
}

// What the stringer decided for a lot is the tension of its jobs.
func TestDecidingSetsTheTension(t *testing.T) {
	c := newTill(t)
	lot, err := c.Add(context.Background(), records.KindLot, records.Fields{"player": c.player, "name": "two"}, time.Now())
	require.NoError(t, err)
	r, err := c.job(records.Fields{"lot": lot.UID, "technique": "two-piece-skip", "tension": "24 kg"})
	require.NoError(t, err)
	a, err := c.Advise(context.Background(), lot)
	require.NoError(t, err)
	list, err := c.Decide(context.Background(), a, read(t, r).Mains.Percent(-2), read(t, r).Mains, "softer")
	require.NoError(t, err)
	assert.Equal(t, "23.52 kg / 24 kg", list[0].Fields["tension"])
	assert.Equal(t, "23.52 kg", read(t, list[0]).Mains.String())
}

// A further racket of a lot has its strings and its promise, where nothing else is said.
func TestAFurtherOfALotIsStrungAlike(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	lot, err := c.Keep(ctx, records.KindLot, "", records.Fields{"player": c.player, "name": "two"}, "")
	require.NoError(t, err)
	_, err = c.job(records.Fields{"lot": lot.UID, "technique": "two-piece-skip", "tension": "24 kg", "mains": c.rough, "crosses": c.round, "promised": "2091-05-04 17:30"})
	require.NoError(t, err)
	for _, say := range []struct{ mains, wantMains, wantCrosses string }{{"", c.rough, c.round}, {c.round, c.round, ""}} {
		r, err := c.job(records.Fields{"racket": c.another, "frame": "club-sixteen", "lot": lot.UID, "technique": "two-piece-skip", "tension": "24 kg", "mains": say.mains})
		require.NoError(t, err)
		j := records.As[records.Job](r.Fields)
		assert.Equal(t, say.wantMains, j.Mains)
		assert.Equal(t, say.wantCrosses, j.Crosses)
		assert.Equal(t, say.mains == "", j.Promised != "")
	}
}

func TestComposeNamesTheField(t *testing.T) {
	c := newTill(t)
	bad := files(t, "bad.toml", "mains = 16\n")
	for name, of := range map[string]struct {
		fields records.Fields
		want   string
	}{
		"no technique":    {records.Fields{"tension": "24 kg"}, `technique: write it, as "two-piece-skip"`},
		"frame":           {records.Fields{"frame": "club-sixten", "technique": "two-piece-skip", "tension": "24 kg"}, `frame: "club-sixten" is neither a built-in layout`},
		"frame alone":     {records.Fields{"frame": "club-sixten"}, `did you mean "club-sixteen"?`},
		"layout":          {records.Fields{"frame": bad, "technique": "two-piece-skip", "tension": "24 kg"}, "frame: " + bad + ":"},
		"technique":       {records.Fields{"technique": "two-piece-skp", "tension": "24 kg"}, `technique: "two-piece-skp" is neither a built-in technique sheet`},
		"sheet":           {records.Fields{"technique": bad, "tension": "24 kg"}, "technique: " + bad + ":"},
		"does not fit":    {records.Fields{"technique": "one-piece-around", "frame": "club-sixteen", "tension": "24 kg", "mains": c.round, "crosses": c.rough}, "crosses: one piece is strung with one string"},
		"tension":         {records.Fields{"technique": "two-piece-skip", "tension": "24 kg / 23"}, `tension: "23" has no unit; write "23 kg"`},
		"far too tight":   {records.Fields{"technique": "two-piece-skip", "tension": "24 kg / 240 kg"}, "tension: tension.crosses is 240 kg; no racket is pulled above 1000 N"},
		"all of it wrong": {records.Fields{"promised": "soon", "tension": "24"}, `promised: "soon" is no time`},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := c.job(of.fields)
			assert.ErrorContains(t, err, of.want)
		})
	}
	jobs, err := c.Book.Find(context.Background(), records.KindJob, "", 0)
	require.NoError(t, err)
	assert.Empty(t, jobs)
}

func TestARacketsFrameIsALayout(t *testing.T) {
	c := newTill(t)
	_, err := c.Keep(context.Background(), records.KindRacket, "", records.Fields{"player": c.player, "mark": "green", "frame": "xx"}, "")
	require.ErrorContains(t, err, `frame: "xx" is neither a built-in layout nor a file that can be read (no such file); there are `+library.Layouts()[0])
	_, err = c.Keep(context.Background(), records.KindRacket, c.racket, records.Fields{"frame": "club-sixten"}, "")
	require.ErrorContains(t, err, `did you mean "club-sixteen"?`)
	_, err = c.Keep(context.Background(), records.KindRacket, c.racket, records.Fields{"frame": files(t, "bad.toml", "mains = 16\n")}, "")
	require.ErrorContains(t, err, "frame: ")
	data, _ := library.Layout("dense-eighteen")
	path := files(t, "mine.toml", string(data))
	t.Chdir(filepath.Dir(path))
	r, err := c.Keep(context.Background(), records.KindRacket, c.racket, records.Fields{"frame": "mine.toml"}, "")
	require.NoError(t, err)
	assert.Equal(t, path, r.Fields["frame"], "found from any folder")
	r, err = c.Keep(context.Background(), records.KindRacket, c.racket, records.Fields{"frame": ""}, "")
	require.NoError(t, err)
	assert.Empty(t, r.Fields["frame"])
}

// Whatever people, strings and machines are called, the text says the same.
func TestComposedNames(t *testing.T) {
	c := newTill(t)
	text := rapid.OneOf(rapid.StringMatching(`[ -~]{0,20}`), rapid.StringOfN(rapid.SampledFrom([]rune("'\"\\#=[]\n\té松👍")), 0, 12, -1))
	rapid.Check(t, sweep.Some(5, func(rt *rapid.T) {
		name := func(key string) string { return "x" + text.Draw(rt, key) + "x" }
		want := map[string]string{c.player: name("player"), c.racket: name("mark"), c.round: name("string"), c.window: name("machine")}
		for uid, name := range want {
			key := "name"
			if uid == c.racket {
				key = "mark"
			}
			_, err := c.Book.Correct(context.Background(), uid, book.Change{Fields: records.Fields{key: name}, At: time.Now()})
			require.NoError(rt, err)
		}
		job := records.Job{Racket: c.racket, Technique: "two-piece-skip", Tension: "24 kg", Mains: c.round}
		require.NoError(rt, c.compose(context.Background(), &job))
		j, _, err := sequence.ReadJob("", []byte(job.Text))
		require.NoError(rt, err)
		require.Equal(rt, []string{want[c.player], want[c.racket], want[c.round], want[c.window]}, []string{j.Player, j.Racket, j.StringMains.Name, j.Machine.Name})
	}))
}

func TestReadingsInWords(t *testing.T) {
	for _, c := range []struct{ value, expected, want string }{
		{"590 Hz", "694.6 Hz", "read 590 Hz, computed 694.6 Hz, 85 %"},
		{"590 Hz", "", "read 590 Hz"},
		{"28 kN/m", "35.00 N/mm", "read 28 kN/m, computed 35.00 N/mm at the middle, 80 %"},
		{"62 points", "35.00 N/mm", "read 62 points, computed 35.00 N/mm at the middle"},
	} {
		assert.Equal(t, c.want, readingWords(records.Reading{Value: records.Amount(c.value), Expected: records.Amount(c.expected)}))
	}
}

// Who counts says what there is; what is cut afterwards goes off that, and so does what another bench cut that was alone meanwhile.
func TestStocktaking(t *testing.T) {
	ctx, c := context.Background(), newTill(t)
	left := func() float64 {
		shelf, err := c.Book.Shelf(ctx, c.rough)
		require.NoError(t, err)
		return shelf.Left() / 1000
	}
	cut := func(length string) {
		_, err := c.Book.Add(ctx, records.KindCut, records.Fields{"stock": c.rough, "length": length, "for": "offcut"}, time.Now())
		require.NoError(t, err)
	}
	assert.InDelta(t, 15, left(), 1e-9)
	cut("2 m")
	_, err := c.Add(ctx, records.KindStocktaking, records.Fields{"stock": c.rough, "left": "12.5 m"}, time.Now())
	require.NoError(t, err)
	assert.InDelta(t, 12.5, left(), 1e-9)
	cut("3 m")
	assert.InDelta(t, 9.5, left(), 1e-9)
	_, err = c.Add(ctx, records.KindStocktaking, records.Fields{"stock": c.rough, "left": "9 m"}, time.Now())
	require.NoError(t, err)
	cut("1 m")
	assert.InDelta(t, 8, left(), 1e-9)
}

// A sheet that a player wants is one that there is, when it is said and not when a job is made of it; letters that begin words of one alone are
// that one, and of several they say which.
func TestWantedSheets(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	data, _ := library.Technique("two-piece-skip")
	_, err := c.Keep(ctx, records.KindSheet, "", records.Fields{"name": "House two-piece", "file": files(t, "house.toml", string(data))}, "")
	require.NoError(t, err)
	for _, r := range []struct {
		kind   records.Name
		fields records.Fields
		uid    string
	}{
		{records.KindPlayer, records.Fields{}, ""},
		{records.KindPlayer, records.Fields{}, c.player},
		{records.KindRacket, records.Fields{"player": c.player}, ""},
		{records.KindJob, records.Fields{"racket": c.racket, "tension": "24 kg", "reason": "asked for"}, ""},
	} {
		for typed, wrong := range map[string]string{
			"skp":       `technique: "skp" is neither`,
			"kip":       `technique: "kip" is neither a built-in technique sheet nor a file that can be read (no such file); there are one-piece-around, one-piece, `,
			"one":       "it may be one-piece or one-piece-around; write more of it",
			"tw":        "it may be House two-piece or two-piece-clamp or two-piece-knot or two-piece-skip or two-piece-throat; write more of it",
			"./sk":      "is neither",
			"two, thro": "", "ONE PIECE ar": "", "sk": "", "one-piece": "", "ho": "",
		} {
			r.fields["technique"] = typed
			if r.uid == "" { // one of its own, of which nothing is asked
				r.fields[map[records.Name]string{records.KindPlayer: "name", records.KindRacket: "mark", records.KindJob: "notes"}[r.kind]] = "for " + typed
			}
			kept, err := c.Keep(ctx, r.kind, r.uid, maps.Clone(r.fields), "")
			if wrong != "" {
				require.ErrorContains(t, err, wrong, typed)
				continue
			}
			if r.kind == records.KindJob && typed == "one-piece" {
				require.ErrorContains(t, err, "technique: ", "which the frame does not take")
				continue
			}
			require.NoError(t, err, typed)
			assert.Equal(t, map[string]string{"two, thro": "two-piece-throat", "ONE PIECE ar": "one-piece-around", "sk": "two-piece-skip", "one-piece": "one-piece", "ho": "House two-piece"}[typed], kept.Fields["technique"])
		}
	}
}

// A job of which nobody says the sheet gets the one that is usual: that of the newest job on its frame, or else of its player, of the shop, or of
// the settings, of those by which its frame can be strung.
func TestTheUsualSheet(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	house := House{}
	c.House = func() (House, error) { return house, nil }
	put := func(kind records.Name, fields records.Fields) string {
		r, err := c.Keep(ctx, kind, "", fields, "")
		require.NoError(t, err)
		return r.UID
	}
	bo := put(records.KindPlayer, records.Fields{"name": "Bo (invented)"})
	racket := func(player, mark, frame string) string {
		return put(records.KindRacket, records.Fields{"player": player, "mark": mark, "frame": frame})
	}
	says := func(racket, want string) {
		t.Helper()
		blank, err := c.Blank(ctx, records.KindJob, records.Fields{"racket": racket})
		require.NoError(t, err)
		assert.Equal(t, want, blank["technique"])
	}
	add := func(racket, sheet, want string) {
		t.Helper()
		r, err := c.Keep(ctx, records.KindJob, "", records.Fields{"racket": racket, "technique": sheet, "tension": "24 kg", "reason": "asked for"}, "")
		require.NoError(t, err)
		assert.Equal(t, want, r.Fields["technique"])
	}
	hers, another, his, long := racket(c.player, "one", "club-sixteen"), racket(c.player, "two", "court-sixteen"), racket(bo, "three", "club-sixteen"), racket(bo, "four", "long-twenty")
	says(hers, needed)
	house.Technique = "no such sheet"
	says(hers, needed)
	house.Technique = "two-piece-knot"
	says(hers, "two-piece-knot, as the settings say")
	add(his, "two-piece-clamp", "two-piece-clamp")
	says(hers, "two-piece-clamp, as this frame was last")
	says(another, "two-piece-clamp, as the last racket")
	says(long, "two-piece-clamp, as the player's last racket")
	add(hers, "one-piece-around", "one-piece-around")
	says(his, "one-piece-around, as this frame was last")
	says(long, "two-piece-clamp, as the player's last racket")
	says(racket(c.player, "five", "long-twenty"), "one-piece-around, as the player's last racket")
	says(another, "two-piece-clamp, as the last racket") // its mains end at the head, so it takes no way around
	add(another, "", "two-piece-clamp")
}

// A lot in which a racket was judged by another sheet than what waits says so.
func TestALotSaysWhatIsOtherwise(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	lot, err := c.Keep(ctx, records.KindLot, "", records.Fields{"player": c.player, "name": "two"}, "")
	require.NoError(t, err)
	first, err := c.job(records.Fields{"lot": lot.UID, "technique": "two-piece-skip", "tension": "24 kg", "mains": c.round})
	require.NoError(t, err)
	finish(t, c.Shop, first.UID, time.Now().Add(-2*time.Hour), time.Second)
	_, err = c.Keep(ctx, records.KindVerdict, "", records.Fields{"job": first.UID, "answer": "too tight, a bit"}, "")
	require.NoError(t, err)
	for sheet, want := range map[string]string{"two-piece-clamp": "job 1 was judged, but what waits has another technique sheet: nobody has said yet", "two-piece-skip": ""} {
		second, err := c.job(records.Fields{"racket": c.another, "frame": "club-sixteen", "lot": lot.UID, "technique": sheet, "tension": "24 kg", "reason": "asked for"})
		require.NoError(t, err)
		a, err := c.Advise(ctx, lot)
		require.NoError(t, err)
		if assert.Contains(t, a.None, want); want == "" {
			assert.Empty(t, a.None)
		}
		require.NoError(t, c.Remove(ctx, second.UID, true))
	}
}

// What a form shows in a blank field is what is kept when it stays blank, and it says from where that is.
func TestBlankSaysWhatFillsIt(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	now := time.Date(2031, 5, 4, 9, 0, 0, 0, time.Local)
	c.Now = func() time.Time { return now }
	correct := func(uid string, fields records.Fields) {
		_, err := c.Correct(ctx, uid, book.Change{Fields: fields, At: c.Now()})
		require.NoError(t, err)
	}
	k, _ := records.Find(records.KindJob)
	check := func(of, want records.Fields) book.Record {
		blank, err := c.Blank(ctx, records.KindJob, of)
		require.NoError(t, err)
		for key, text := range want {
			assert.Equal(t, text, blank[key], key)
		}
		r, err := c.Keep(ctx, records.KindJob, "", of, "")
		require.NoError(t, err)
		items, err := c.named(ctx, []book.Record{r})
		require.NoError(t, err)
		for key, says := range blank {
			f, _ := k.Field(key)
			kept := items[0].Says(f)
			require.NotEmpty(t, kept, key)
			assert.True(t, strings.HasPrefix(says, kept+", "), "%s: %s is kept, and the form said %s", key, kept, says)
		}
		for _, f := range k.Fields {
			if r.Fields[f.Key] != "" && of[f.Key] == "" && !f.Derived {
				assert.NotEmpty(t, blank[f.Key], "%s is filled, and the form did not say so", f.Key)
			}
		}
		return r
	}
	for of, want := range map[string]map[string]string{c.racket: {"technique": "needed", "tension": "needed"}, "": {}} {
		blank, err := c.Blank(ctx, records.KindJob, records.Fields{"racket": of})
		require.NoError(t, err)
		for key := range want {
			assert.Equal(t, want[key], blank[key])
		}
		assert.Equal(t, len(want) > 0, slices.Contains(slices.Collect(maps.Values(blank)), "needed"), "which is not known before the racket is")
	}
	correct(c.player, records.Fields{"tension": "24 kg / 23 kg", "string": c.round, "remarks": "mind the pads"})
	correct(c.racket, records.Fields{"technique": "two-piece-clamp"})
	first := check(records.Fields{"racket": c.racket}, records.Fields{"tension": "24 kg / 23 kg, as wished for every racket", "technique": "two-piece-clamp, as wished for this racket",
		"mains": "Invented round, as wished for every racket", "frame": "club-sixteen, the racket's", "machine": "by the window, the only one", "notes": "mind the pads, to be minded"})
	finish(t, c.Shop, first.UID, c.Now(), time.Second)
	correct(c.player, records.Fields{"tension": "", "string": ""})
	again := check(records.Fields{"racket": c.racket}, records.Fields{"tension": "24 kg / 23 kg, as last time", "mains": "Invented round, as last time"})
	finish(t, c.Shop, again.UID, c.Now(), time.Second)
	lot, err := c.Add(ctx, records.KindLot, records.Fields{"player": c.player, "name": "two"}, c.Now())
	require.NoError(t, err)
	_, err = c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket, "lot": lot.UID, "mains": c.rough, "promised": "2031-05-04 17:30"}, "")
	require.NoError(t, err)
	correct(c.another, records.Fields{"frame": "club-sixteen", "tension": "23 kg", "technique": "two-piece-skip"})
	check(records.Fields{"racket": c.another, "lot": lot.UID}, records.Fields{"mains": "Invented rough, as the others of the lot", "promised": "2031-05-04 17:30, as the others of the lot"})
	blank, err := c.Blank(ctx, records.KindPlayer, nil)
	require.NoError(t, err)
	assert.Empty(t, blank)
}
