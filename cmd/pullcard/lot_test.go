package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

// lotJob is invented. The machine's offset is none.
const lotJob = `frame     = "club-sixteen"
technique = "two-piece-skip"
[tension]
mains   = "24 kg"
crosses = "23 kg"
[string.mains]
name     = "Invented round"
diameter = "1.25 mm"
material = "polyester"
[machine]
name  = "by the window"
reach = "400 mm"
`

// bookAt makes the commands of a test use a book of their own, and returns what runs one and decodes what it prints.
func bookAt(t *testing.T) (path string, tell func(args ...string) string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "book.db")
	b, err := book.Open(context.Background(), path)
	require.NoError(t, err)
	require.NoError(t, b.Close())
	return path, func(args ...string) string { return said(t, append([]string{"--book", path}, args...)...) }
}

// refused is what a command says that is refused.
func refused(t *testing.T, path string, args ...string) string {
	t.Helper()
	var out, wrong bytes.Buffer
	require.Equal(t, exitInput, run(append([]string{"--book", path}, args...), strings.NewReader(""), &out, &wrong), "%s", out.String())
	return wrong.String()
}

// stringJob strings a job of the book to its end, from a beginning and with some time for each step.
func stringJob(t *testing.T, path, uid string, from time.Time, step time.Duration) {
	t.Helper()
	s, err := openShop(context.Background(), path, book.Open)
	require.NoError(t, err)
	defer s.Book.Close()
	s.Stringer = "Cy (invented)"
	job, err := s.Open(context.Background(), uid)
	require.NoError(t, err)
	for n := range job.Plan.Steps {
		require.NoError(t, job.Recorder.Record(context.Background(), progress.Event{At: from.Add(time.Duration(n) * step), Kind: progress.Done, Step: n + 1}))
	}
}

// recordOf is a record as scripts read it.
type recordOf struct {
	UID    string
	ID     int64
	Fields map[string]string
	Names  map[string]string
}

// A lot of seven: the first one is strung and judged, the other six are adjusted from the tension that was really used.
func TestALotOfSeven(t *testing.T) {
	sweep.Only(t)
	path, tell := bookAt(t)
	job := files(t, "job.toml", lotJob)
	tell("book", "player", "add", "--name", "Ada Winter (invented)")
	for n := range 7 {
		tell("book", "racket", "add", "--player", "ada", "--mark", fmt.Sprintf("blue %d", n+1))
	}
	tell("book", "stock", "add", "--name", "Invented round", "--form", "reel", "--length", "200 m", "--diameter", "1.25 mm")
	tell("book", "lot", "add", "--player", "ada", "--name", "Saturday's seven")
	jobs := decode[[]recordOf](t, tell("book", "lot", "fill", "saturday", "--from", job, "--json"))
	require.Len(t, jobs, 7)

	none := decode[shop.AdviceJSON](t, tell("book", "lot", "suggest", "1", "--json"))
	assert.Equal(t, "unjudged", string(none.Outcome))
	assert.Len(t, none.Waiting, 7)

	start := time.Now().Add(-6 * time.Hour)
	stringJob(t, path, jobs[0].UID, start, 30*time.Second)
	tell("book", "verdict", "add", "--job", "1", "--answer", "too tight, plainly", "--notes", "the player's own words")
	got := decode[shop.AdviceJSON](t, tell("book", "lot", "suggest", "saturday", "--json"))
	assert.Equal(t, "moved", string(got.Outcome))
	assert.Equal(t, "23 kg / 22 kg", got.Mains+" / "+got.Crosses, "plainly is one kg: common practice of the trade")
	assert.Equal(t, []int64{2, 3, 4, 5, 6, 7}, got.Waiting)
	text := tell("book", "lot", "suggest", "saturday")
	assert.Contains(t, text, "Bower", "the literature stands beside it")
	assert.Contains(t, text, "N/mm")

	six := decode[[]recordOf](t, tell("book", "lot", "decide", "saturday", "--mains", "23.5 kg", "--reason", "she likes small steps", "--json"))
	require.Len(t, six, 6)
	for _, r := range six {
		assert.Equal(t, "23 kg / 22 kg", r.Fields["suggested"], "both are kept")
		assert.Equal(t, "23.5 kg / 22.5 kg", r.Fields["decided"])
		assert.Equal(t, "she likes small steps", r.Fields["reason"])
	}
	again := decode[shop.AdviceJSON](t, tell("book", "lot", "suggest", "saturday", "--json"))
	assert.Equal(t, got.Mains, again.Mains, "asking again moves nothing further")

	for i, r := range six {
		stringJob(t, path, r.UID, start.Add(time.Duration(i+1)*45*time.Minute), 30*time.Second)
	}
	again = decode[shop.AdviceJSON](t, tell("book", "lot", "suggest", "saturday", "--json"))
	assert.Equal(t, got.Mains, again.Mains, "rackets that nobody judged do not compound")

	lengths := decode[lengthsOf](t, tell("cut", "--json", job))
	each := lengths.Pieces[0].CutMM + lengths.Pieces[1].CutMM
	shelf := onlyShelf(t, path)
	assert.InDelta(t, 200000-7*each, shelf.Left(), 7*1.001, "the reel is down by what seven rackets take, each piece to the millimetre")
	assert.Len(t, shelf.Cuts, 14)

	history := decode[struct{ Below []shop.Section }](t, tell("book", "player", "show", "ada", "--json"))
	lines := fmt.Sprint(history.Below)
	assert.Equal(t, 12, strings.Count(lines, "23.5 kg / 22.5 kg"), "as the rackets, and as the jobs")
	assert.Equal(t, 2, strings.Count(lines, "24 kg / 23 kg"))
	assert.Contains(t, tell("book", "queue"), "from 7 rackets", "the pace is measured now")
}

// The opposite verdict on the same set-up changes nothing and says so.
func TestOppositeVerdictsChangeNothing(t *testing.T) {
	path, tell := bookAt(t)
	job := files(t, "job.toml", lotJob)
	tell("book", "player", "add", "--name", "Ada Winter (invented)")
	for n := range 3 {
		tell("book", "racket", "add", "--player", "ada", "--mark", fmt.Sprintf("blue %d", n+1))
	}
	tell("book", "lot", "add", "--player", "ada", "--name", "three")
	jobs := decode[[]recordOf](t, tell("book", "lot", "fill", "three", "--from", job, "--json"))
	for i, answer := range []string{"too tight, a bit", "too loose, far"} {
		stringJob(t, path, jobs[i].UID, time.Now().Add(-time.Hour), time.Second)
		tell("book", "verdict", "add", "--job", fmt.Sprint(i+1), "--answer", answer)
	}
	got := decode[shop.AdviceJSON](t, tell("book", "lot", "suggest", "three", "--json"))
	assert.Equal(t, "contradictory", string(got.Outcome))
	assert.Equal(t, "24 kg / 23 kg", got.Mains+" / "+got.Crosses)
	assert.Contains(t, tell("book", "lot", "suggest", "three"), "the verdicts do not go together, so nothing changes")
}

// A step taken back and done again, and a break, each count the string that was really cut.
func TestStringIsCountedWhenItIsCut(t *testing.T) {
	path, tell := bookAt(t)
	job := files(t, "job.toml", lotJob)
	tell("book", "stock", "add", "--name", "Invented round", "--form", "reel", "--length", "20 m", "--diameter", "1.25 mm")
	s, err := openShop(context.Background(), path, book.Open)
	require.NoError(t, err)
	defer s.Book.Close()
	w, err := disk.Files().Load(job)
	require.NoError(t, err)
	b, err := s.OpenFile(context.Background(), job, w)
	require.NoError(t, err)
	first := 0
	for n := 1; first == 0; n++ {
		if len(w.Plan.NewPieces(n)) > 0 {
			first = n
		}
	}
	at := time.Now()
	event := func(k progress.Kind, step int) {
		require.NoError(t, b.Recorder.Record(context.Background(), progress.Event{At: at, Kind: k, Step: step}))
	}
	for n := 1; n < first; n++ {
		event(progress.Done, n)
	}
	assert.InDelta(t, 20000, onlyShelf(t, path).Left(), 0, "looking and mounting cuts nothing")
	event(progress.Done, first)
	left := onlyShelf(t, path).Left()
	assert.Less(t, left, 15000.0)
	event(progress.Back, first+1)
	event(progress.Done, first)
	assert.InDelta(t, left, onlyShelf(t, path).Left(), 0)

	tell("book", "cut", "add", "--stock", "round", "--length", "10 m", "--for", "broken", "--notes", "it snapped at the knot")
	warned, err := s.OpenFile(context.Background(), job, w)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(warned.Warnings, "\n"), "before you cut: Invented round has ")
}

func onlyShelf(t *testing.T, path string) book.Shelf {
	t.Helper()
	b, err := book.Open(context.Background(), path)
	require.NoError(t, err)
	defer b.Close()
	list, err := b.Shelves(context.Background(), "")
	require.NoError(t, err)
	require.Len(t, list, 1)
	return list[0]
}

// offset keeps an offset of a machine with the gauge check that bears it out.
func offset(tell func(...string) string, kg string) {
	tell("book", "machine", "add", "--name", "By the window")
	tell("book", "gauge", "add", "--machine", "window", "--set", "24 kg", "--read", "23.7 kg")
	tell("book", "machine", "correct", "window", "--offset", kg, "--accepted", "Cy (invented)")
}

// The offset of a machine is shown and never applied by itself.
func TestMachineOffsetIsShown(t *testing.T) {
	path, tell := bookAt(t)
	job := files(t, "job.toml", lotJob)
	offset(tell, "0.3 kg")
	s, err := openShop(context.Background(), path, book.Open)
	require.NoError(t, err)
	defer s.Book.Close()
	w, err := disk.Files().Load(job)
	require.NoError(t, err)
	b, err := s.OpenFile(context.Background(), job, w)
	require.NoError(t, err)
	assert.Equal(t, "0.3 kg", b.Offset.String())
	assert.Equal(t, "24 kg", b.Plan.Terms.PullMains.Ordered, "the plan is as ordered")
	assert.Contains(t, strings.Join(b.Warnings, "\n"), "set 24.3 kg for the mains and 23.3 kg for the crosses: its offset is 0.3 kg, accepted by Cy (invented)")
	require.NoError(t, b.Recorder.Record(context.Background(), progress.Event{At: time.Now(), Kind: progress.Done, Step: 1}))
	card, err := s.Book.Find(context.Background(), records.KindJob, "", 0)
	require.NoError(t, err)
	assert.Equal(t, "24.3 kg / 23.3 kg", card[0].Fields["set"])
}

// strungOn strings so many jobs on machines in turn, each read the same time after, and returns when the first was begun.
func strungOn(t *testing.T, path string, tell func(...string) string, jobs int, machines ...string) time.Time {
	start := time.Now().Add(-100 * time.Hour)
	for i := range jobs {
		job := files(t, "job.toml", strings.Replace(lotJob, "by the window", machines[i%len(machines)], 1))
		list := decode[[]recordOf](t, tell("book", "job", "add", "--from", job, "--json"))
		stringJob(t, path, list[0].UID, start.Add(time.Duration(i)*time.Hour), 20*time.Second)
		for tap := range 2 { // two taps are one stringing
			tell("book", "reading", "add", "--job", fmt.Sprint(i+1), "--value", fmt.Sprintf("%d Hz", 600+i%3+8*(i%2)+tap), "--temperature", "21 C",
				"--after", "30 min", "--at", start.Add(time.Duration(i)*time.Hour+40*time.Minute).Format("2006-01-02 15:04"))
		}
	}
	return start
}

// Charts and the comparison of machines over readings of strung jobs.
func TestChartsAndMachines(t *testing.T) {
	sweep.Only(t)
	path, tell := bookAt(t)
	strungOn(t, path, tell, 12, "by the window", "at the door")
	chart := decode[shop.ChartJSON](t, tell("book", "chart", "--json"))
	require.Len(t, chart.Points, 12)
	assert.Nil(t, chart.Baseline)
	assert.Equal(t, "tap", chart.Instrument)
	assert.Equal(t, "by the window", chart.Points[0].Machine)
	assert.Equal(t, 2, chart.Points[0].Readings)
	assert.Positive(t, chart.Points[0].SD)
	expected := decode[[]recordOf](t, tell("book", "reading", "--json"))[0].Fields["expected"]
	var hz float64
	_, err := fmt.Sscanf(expected, "%f Hz", &hz)
	require.NoError(t, err)
	// A frequency goes as the root of the tension: textbook. The value is the mean of two taps.
	assert.InDelta(t, (600*600+601*601)/(2*hz*hz), chart.Points[0].Value, 1e-9)
	text := tell("book", "chart", "--machine", "window", "--ascii")
	assert.Contains(t, text, "readings · by the window · read with tap\n6 stringings")
	assert.Contains(t, text, "limits come with a baseline of 20 stringings, until then nothing is judged")

	svg := filepath.Join(t.TempDir(), "chart.svg")
	tell("book", "chart", "--svg", svg)
	picture, err := os.ReadFile(svg)
	require.NoError(t, err)
	assert.Contains(t, string(picture), "<svg")

	compare := func() shop.ComparedPair {
		all := decode[shop.Compared](t, tell("book", "machine", "compare", "window", "door", "--json"))
		require.Len(t, all.Pairs, 1)
		assert.Equal(t, "at equal age", all.Age)
		assert.Positive(t, all.NeededEach)
		return all.Pairs[0]
	}
	got := compare()
	assert.Equal(t, []int{6, 6}, []int{got.NA, got.NB}, "stringings, not taps")
	assert.Negative(t, got.DifferenceKg)
	assert.True(t, got.Apart)
	assert.Contains(t, got.Refused, "check by the window with a gauge at its working tension first")
	for _, m := range []struct{ name, read string }{{"window", "23.4 kg"}, {"door", "24 kg"}} {
		tell("book", "gauge", "add", "--machine", m.name, "--set", "24 kg", "--read", m.read)
	}
	got = compare()
	require.NotNil(t, got.Proposed, got.Refused)
	assert.InDelta(t, -0.6, got.Proposed.GaugeKg, .02)
	assert.Greater(t, got.Proposed.OffsetKg, 0.3)
	assert.True(t, got.Proposed.LowKg < got.Proposed.OffsetKg && got.Proposed.OffsetKg < got.Proposed.HighKg)
	text = tell("book", "machine", "compare", "window", "door")
	assert.Contains(t, text, "p < 0.001)")
	assert.Contains(t, text, " kg as ordered, 95 % between ")
	machines := decode[[]recordOf](t, tell("book", "machine", "--json"))
	for _, m := range machines {
		assert.Empty(t, m.Fields["offset"], "nothing is applied by itself")
	}

	// What was proposed can be kept; what the gauge does not bear out cannot, and a large one is asked for twice.
	keep := func(args ...string) string {
		return refused(t, path, append([]string{"book", "machine", "correct", "window", "--accepted", "Cy (invented)"}, args...)...)
	}
	assert.Contains(t, keep("--offset", "-0.6 kg"), "offset: an offset of −0.60 kg is not what the gauge says: by the window pulls −0.60 kg (95 % between")
	assert.Contains(t, keep("--offset", "1.2 kg"), "+1.20 kg is more than 1 kg; is it meant? Say it twice")
	tell("book", "machine", "correct", "window", "--offset", fmt.Sprintf("%.1f kg", got.Proposed.OffsetKg), "--accepted", "Cy (invented)", "--why", "gauge check")
	assert.Contains(t, tell("book", "machine", "show", "window"), "set to 24.0 kg the gauge read 23.40 kg, ")
	tell("book", "gauge", "add", "--machine", "door", "--set", "24 kg", "--read", "22.8 kg", "--at", time.Now().Add(-8*24*time.Hour).Format("2006-01-02 15:04"))
	tell("book", "machine", "add", "--name", "In the cellar")
	assert.Contains(t, refused(t, path, "book", "machine", "correct", "cellar", "--offset", "0.2 kg", "--accepted", "Cy (invented)"), "check In the cellar with a gauge")
	tell("book", "gauge", "add", "--machine", "cellar", "--set", "24 kg", "--read", "22.8 kg")
	assert.Contains(t, refused(t, path, "book", "machine", "correct", "cellar", "--offset", "1.2 kg", "--accepted", "Cy (invented)"), "Say it twice")
	tell("book", "machine", "correct", "cellar", "--offset", "1.2 kg", "--again", "1.2 kg", "--accepted", "Cy (invented)")
	cellar := decode[[]recordOf](t, tell("book", "machine", "cellar", "--json"))[0].Fields
	assert.Equal(t, "1.2 kg", cellar["offset"])
	assert.NotContains(t, cellar, "again")
}

// A baseline is decided on once: what is read later is judged by it and moves no limit.
func TestBaselineIsDecidedOn(t *testing.T) {
	sweep.Only(t)
	path, tell := bookAt(t)
	strungOn(t, path, tell, 22, "by the window")
	first := decode[shop.ChartJSON](t, tell("book", "chart", "--json"))
	require.NotNil(t, first.Baseline)
	assert.Empty(t, first.Baseline.Name)
	assert.Equal(t, 20, first.Baseline.Stringings)
	assert.Contains(t, tell("book", "chart", "--ascii"), "baseline the first 20, not decided on: 20 stringings until ")

	assert.Contains(t, refused(t, path, "book", "baseline", "add", "--name", "long", "--by", "Cy (invented)", "--stringings", "23"), "stringings: there are 22 of them, read with tap")
	tell("book", "baseline", "add", "--name", "spring", "--by", "Cy (invented)")
	spring := decode[shop.ChartJSON](t, tell("book", "chart", "--json")).Baseline
	assert.Equal(t, "spring", spring.Name)
	assert.Equal(t, 22, spring.Stringings)
	assert.Greater(t, spring.ShiftPower, first.Baseline.ShiftPower, "it grows as the baseline is extended")

	tell("book", "reading", "add", "--job", "1", "--value", "700 Hz", "--after", "40 min") // another age of a bed that was read
	tell("book", "reading", "add", "--job", "2", "--value", "700 Hz", "--with", "another gauge", "--after", "30 min")
	list := decode[[]recordOf](t, tell("book", "job", "add", "--from", files(t, "job.toml", lotJob), "--json"))
	stringJob(t, path, list[0].UID, time.Now().Add(-2*time.Hour), 20*time.Second)
	tell("book", "reading", "add", "--job", "23", "--value", "520 Hz", "--after", "30 min")
	later := decode[shop.ChartJSON](t, tell("book", "chart", "--json"))
	assert.Equal(t, spring, later.Baseline)
	require.Len(t, later.Points, 23)
	assert.Equal(t, 2, later.Others)
	assert.True(t, later.Points[22].Individual)
	assert.True(t, later.Points[22].Average)
	assert.Contains(t, tell("book", "chart", "--ascii"), "job 23, ")
	assert.Contains(t, refused(t, path, "book", "baseline", "correct", "spring", "--stringings", "20"), "a baseline that was decided on stays; decide on another")
	tell("book", "baseline", "correct", "spring", "--name", "spring, by the window")
	assert.Equal(t, "spring, by the window", decode[shop.ChartJSON](t, tell("book", "chart", "--json")).Baseline.Name)
}

// Another machine, string or frame than last time is told before the first pull, with what would feel the same.
func TestOtherwiseThanLastTime(t *testing.T) {
	sweep.Only(t)
	path, tell := bookAt(t)
	named := "player = \"Ada Winter (invented)\"\nracket = \"blue 1\"\n" + lotJob
	first := files(t, "job.toml", named)
	list := decode[[]recordOf](t, tell("book", "job", "add", "--from", first, "--json"))
	stringJob(t, path, list[0].UID, time.Now().Add(-time.Hour), time.Second)
	s, err := openShop(context.Background(), path, book.Open)
	require.NoError(t, err)
	defer s.Book.Close()
	warnings := func(file string) string {
		r, err := s.Keep(context.Background(), records.KindJob, "", records.Texts(records.Job{File: file, Reason: "one after the other"}), "")
		require.NoError(t, err)
		b, err := s.Open(context.Background(), r.UID)
		require.NoError(t, err)
		return strings.Join(b.Warnings, "\n")
	}
	assert.NotContains(t, warnings(first), "otherwise")
	other := files(t, "job.toml", strings.NewReplacer("by the window", "at the door", "club-sixteen", "dense-eighteen").Replace(named))
	told := warnings(other)
	assert.Contains(t, told, `otherwise than job 1: machine: "at the door" instead of "by the window"`)
	assert.Contains(t, told, "otherwise than job 1: frame:")
	assert.Contains(t, told, "for the feel of job 1 the bed computes ")

	got := decode[shop.SameFeel](t, tell("book", "feel", other, "--like", "1", "--json"))
	// The tensions that it gives make the bed as stiff as it was: said by the bed command, which knows nothing of this one.
	retuned := files(t, "job.toml", strings.NewReplacer("by the window", "at the door", "club-sixteen", "dense-eighteen", "24 kg", got.Mains, "23 kg", got.Crosses).Replace(named))
	type stiff struct {
		Assumed struct {
			Loaded struct {
				Stiffness float64 `json:"n_per_mm"`
			} `json:"loaded"`
		} `json:"assumed"`
	}
	was, is := decode[stiff](t, tell("bed", "--json", first)), decode[stiff](t, tell("bed", "--json", retuned))
	assert.InEpsilon(t, was.Assumed.Loaded.Stiffness, is.Assumed.Loaded.Stiffness, 0.005, "within what rounding to 0.1 kg makes of it")
	assert.NotEqual(t, "24 kg", got.Mains)
	assert.Contains(t, tell("book", "feel", other, "--like", "1", "--left", "day"), "left now: the plan played on the elastic hoop, a day later: mains keep ")
	assert.Contains(t, tell("book", "feel", other, "--like", "1", "--left", "day"), "what a clamp gives")
}

// The ticket tells what the book knows: who strung it, on which machine and at what it was set, the reading.
func TestTicketFromTheBook(t *testing.T) {
	path, tell := bookAt(t)
	offset(tell, "0.3 kg")
	tell("book", "player", "add", "--name", "Ada Winter (invented)", "--plays", "4")
	job := files(t, "job.toml", "player = \"Ada Winter (invented)\"\nracket = \"blue 1\"\n"+lotJob)
	list := decode[[]recordOf](t, tell("book", "job", "add", "--from", job, "--json"))
	stringJob(t, path, list[0].UID, time.Now().Add(-time.Hour), time.Second)
	tell("book", "reading", "add", "--job", "1", "--value", "612 Hz", "--temperature", "21 C", "--after", "30 min")
	text := strings.Join(strings.Fields(tell("ticket", "--id", "1", "--columns", "48")), " ")
	for _, want := range []string{"Ada Winter (invented)", "blue 1", "set to mains 24.3 kg, crosses 23.3 kg", "machine By the window",
		"stringer Cy (invented)", "reading 612 Hz, at 21 degC, 30 min after the job", "if played 4 times a week"} {
		assert.Contains(t, text, want)
	}
	assert.Contains(t, tell("ticket", "--id", "1", "--plays-a-week", "1"), "once a", "what is said goes before the book")
}

// A ticket printed again says what it said when the racket was strung, whatever was corrected since.
func TestAnOldTicketStaysAsItWas(t *testing.T) {
	path, tell := bookAt(t)
	tell("book", "player", "add", "--name", "Ada Winter (invented)", "--plays", "3")
	tell("book", "racket", "add", "--player", "Ada", "--mark", "blue 1")
	tell("book", "machine", "add", "--name", "by the window")
	list := decode[[]recordOf](t, tell("book", "job", "add", "--from", files(t, "job.toml", lotJob), "--player", "Ada", "--racket", "blue 1", "--machine", "by the window", "--json"))
	stringJob(t, path, list[0].UID, time.Now().Add(-time.Hour), time.Second)
	before := tell("ticket", "--id", "1")
	assert.Contains(t, before, "Ada Winter (invented)")
	tell("book", "player", "correct", "Ada", "--name", "Ada Summer (invented)", "--plays", "5")
	tell("book", "racket", "correct", "blue 1", "--mark", "red 1")
	tell("book", "machine", "correct", "by the window", "--name", "at the door")
	assert.Equal(t, before, tell("ticket", "--id", "1"))
	tell("book", "forget", "player 1", "--yes")
	assert.NotContains(t, tell("ticket", "--id", "1"), "Ada", "nothing of a player who was forgotten")
}
