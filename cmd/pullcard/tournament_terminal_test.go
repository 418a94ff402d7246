package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
)

// smallFrame is invented, and strung in few steps.
const smallFrame = `name    = "Invented small"
sport   = "tennis"
mains   = 6
crosses = 5
start   = "throat"
[tie]
mains   = ["1H"]
crosses = ["1H", "5T"]
[hoop]
length = "330 mm"
width  = "250 mm"
[tension]
min = "20 kg"
max = "27 kg"
`

const smallSteps = 26

// tournament is a room of one: two machines, each with a terminal and a book.
type tournament struct {
	*desk
	bin, book, frame string
	tickets          []string // whose were printed
}

// TestTournament is a tournament of two days in real terminals, by keys: three stringers at two machines with a book each, twelve players with
// forty rackets, seven of them a lot whose first verdict moves the others; a reel ends, a stringer falls ill, what was strung on paper
// is entered, tickets are printed, and the books are merged. All is invented. What the program says in the end is counted anew from its export and from what the frame's layout says, by nothing of the shop's.
func TestTournament(t *testing.T) {
	sweep.Only(t)
	if _, err := exec.LookPath("tmux"); err != nil {
		t.Skip("NOT TESTED: A TOURNAMENT IN TERMINALS. This takes tmux, which is not installed.")
	}
	t.Parallel()
	bin, dir := build(t), t.TempDir()
	paper, frame := filepath.Join(dir, "paper"), files(t, "small.toml", smallFrame)
	env := []string{"HOME=" + dir, "PULLCARD_BOOK=", "PULLCARD_SETTINGS=" + files(t, "settings.toml", fmt.Sprintf("print = %q\n", "cat >> "+paper))}
	machine := func(book string) *tournament {
		return &tournament{desk: newDesk(t, [2]int{100, 60}, env, "cat"), bin: bin, book: filepath.Join(dir, book), frame: frame}
	}
	window, door := machine("window.db"), machine("door.db")

	players := strings.Fields("Ada Bo Cleo Dov Eve Fay Gus Hal Ida Jon Kim Lea")
	window.opens("")
	window.entry(players)
	door.command("book", "import", window.book)

	// The first day: Ada's seven by Cy, whom the verdict on the first one tells what the others get, and Bo's by Di.
	window.opens("Cy (invented)")
	window.strings("Ada (invented) · blue 1", func() {
		window.count = 0
		window.press("g")
		window.untilSays("NEW READING")
		window.types("679 Hz")
		window.press("C-s")
		window.untilSays("679 Hz is in the book")
		assert.LessOrEqual(t, window.count, 3, "a reading: beside its value")
	})
	theVerdict(t, window.desk)
	for n := 2; n <= 7; n++ {
		window.strings(fmt.Sprintf("Ada (invented) · blue %d", n), nil)
	}
	window.opens("Di (invented)")
	window.each("Bo")
	for _, mark := range []string{"red", "white"} {
		window.correct("jobs", "bo "+mark, "paid", "y", "handed over", time.Now().Add(time.Minute).Format("2006-01-02 15:04"), "to", "her brother")
	}

	// The second: Di is ill, and the reel is not long enough for all of Cleo's.
	window.correct("stringers", "Di (invented)", "away until", time.Now().AddDate(0, 0, 2).Format("2006-01-02 15:04"))
	screen := window.untilSays("which racket")
	assert.NotContains(t, screen, "likely Di", "who is ill gets nothing")
	assert.Contains(t, screen, "string runs short")
	window.opens("Cy (invented)")
	window.strings("Cleo (invented) · red", nil)
	for _, mark := range []string{"white", "green"} {
		window.correct("jobs", "cleo "+mark, "mains from", "second\r")
	}
	window.strings("Cleo (invented) · white", nil)
	window.strings("Cleo (invented) · green", nil)
	window.each("Dov")
	for _, player := range []string{"Eve", "Fay"} {
		for range 3 {
			window.choose(player + " (invented)")
			window.press("e")
			window.untilSays("written down on paper (p)")
			if player == "Fay" {
				window.press("Left")
				window.untilSays(time.Now().AddDate(0, 0, -1).Format("Monday, 2 January") + ": was it")
			}
			window.press("p")
			window.untilSays("is entered as strung")
		}
	}
	window.press("q")
	window.over()

	door.opens("Ed (invented)")
	for _, name := range players[6:] {
		door.each(name)
	}
	door.press("q")
	assert.Equal(t, 0, door.over())
	window.command("book", "import", door.book)
	window.countedAnew(paper, door)
}

// opens starts the program for a stringer in place of what ran there.
func (d *tournament) opens(stringer string) {
	d.t.Helper()
	args := []string{d.bin, "--book", d.book, "--hold", "0s"}
	if stringer != "" {
		args = append(args, "--stringer", stringer)
	}
	d.run(args...)
	d.untilSays("which racket goes on the bench?")
}

// command types a command, which has to end well.
func (d *tournament) command(args ...string) {
	d.t.Helper()
	d.run(append(append([]string{d.bin}, args...), "--book", d.book)...)
	require.Equal(d.t, 0, d.over(), "%v: %s", args, d.screen())
}

// moves presses a key until the chosen line says a text; where no key is named the one that leads there, by what the screen shows then.
func (d *tournament) moves(key, text string) {
	d.t.Helper()
	for range 60 {
		screen := d.shown()
		row, towards := chosenRow(screen), key
		if strings.Contains(row, text) {
			return
		}
		if key == "" {
			towards = "Down"
			if strings.Index(screen, text) < strings.Index(screen, "▶") {
				towards = "Up"
			}
		}
		d.press(towards)
		for end := time.Now().Add(patience / 20); chosenRow(d.screen()) == row && time.Now().Before(end); {
			time.Sleep(3 * time.Millisecond)
		}
	}
	require.Fail(d.t, "no line "+text, d.screen())
}

// types types a text, after which the next key is no part of it.
func (d *tournament) types(text string) {
	d.t.Helper()
	d.write(text)
	time.Sleep(120 * time.Millisecond)
}

// fill writes into fields of a form, in their order, and keeps it. A return picks what the letters found, a letter alone one of several words.
func (d *tournament) fill(fields ...string) {
	d.t.Helper()
	for i := 0; i < len(fields); i += 2 {
		d.moves("Down", "▶ "+fields[i])
		if len(fields[i+1]) == 1 {
			row := chosenRow(d.shown())
			d.press(fields[i+1])
			d.until("what was chosen", func(s string) bool { return chosenRow(s) != row })
			continue
		}
		value, picked := strings.CutSuffix(fields[i+1], "\r")
		d.types(value)
		d.until(value, func(s string) bool { return strings.Contains(chosenRow(s), value) })
		if picked {
			d.press("Enter")
		}
	}
	d.press("C-s")
}

// kind turns the record book's list to a kind.
func (d *tournament) kind(name string) {
	d.t.Helper()
	d.untilSays("RECORD BOOK")
	for range 9 {
		screen := d.shown()
		if strings.Contains(screen, "["+name+"]") {
			return
		}
		d.press("Right")
		d.until("another kind", func(s string) bool { return !strings.Contains(s, regexp.MustCompile(`\[\w+\]`).FindString(screen)) })
	}
	require.Fail(d.t, "no kind "+name)
}

// adds a record from the book's list, and comes back to that.
func (d *tournament) adds(kind string, fields ...string) {
	d.t.Helper()
	d.kind(kind)
	d.press("C-n")
	d.untilSays("NEW ")
	d.fill(fields...)
	d.untilSays("is in the book")
	d.press("Escape")
	d.untilSays("[" + kind + "]")
}

// entry is what the desk enters before the tournament, from the rack and back to it.
func (d *tournament) entry(players []string) {
	d.t.Helper()
	d.press("b")
	for _, reel := range [][]string{{"Invented first", "60 m"}, {"Invented second", "200 m"}} {
		d.adds("stock", "string", reel[0], "form", "r", "length", reel[1])
	}
	for _, name := range []string{"window", "door"} {
		d.adds("machines", "name", name)
	}
	for _, name := range []string{"Cy", "Di", "Ed"} {
		d.adds("stringers", "name", name+" (invented)")
	}
	for i, name := range players {
		d.kind("players")
		reel := "first\r"
		if i > 2 {
			reel = "second\r"
		}
		d.press("C-n")
		d.untilSays("NEW PLAYER")
		d.fill("name", name+" (invented)", "tension", "24 kg / 23 kg", "technique", "two-piece-skip", "string", reel)
		d.untilSays("is in the book")
		if i == 0 {
			d.press("a", "l")
			d.untilSays("NEW LOT")
			d.fill("name", "Saturday's seven")
			d.untilSays("is in the book")
		}
		for _, mark := range marksOf(i) {
			d.press("a", "r")
			d.untilSays("NEW RACKET")
			d.fill("mark", mark, "frame", d.frame)
			d.untilSays(mark + " is in the book")
			d.moves("Down", "▶ "+mark)
			d.press("Enter")
			d.untilSays("RACKET  " + mark)
			d.count = 0
			d.press("a")
			d.untilSays("NEW JOB")
			if i == 0 {
				d.fill("lot", "saturday\r")
			} else {
				d.fill("price", "18 EUR")
			}
			d.untilSays("is in the book")
			assert.LessOrEqual(d.t, d.count, 20, "the first job of a racket: beside its price")
			d.press("Escape")
			d.untilSays("PLAYER  " + name)
		}
		d.press("Escape")
		d.untilSays("[players]")
	}
	d.press("Escape")
	d.untilSays("which racket")
}

// marksOf are the rackets of a player: the first has seven, the others three.
func marksOf(player int) []string {
	if player == 0 {
		return strings.Split("blue 1,blue 2,blue 3,blue 4,blue 5,blue 6,blue 7", ",")
	}
	return []string{"red", "white", "green"}
}

// choose chooses a racket on the rack.
func (d *tournament) choose(title string) {
	d.t.Helper()
	d.untilSays("which racket goes on the bench?")
	d.untilSays(title) // all of them have room
	d.moves("", title)
}

// strings strings a racket of the rack, does something when it is strung, prints its ticket and comes back.
func (d *tournament) strings(title string, then func()) {
	d.t.Helper()
	d.choose(title)
	d.press("Enter")
	for n := 1; n <= smallSteps; n++ {
		d.untilStep(n)
		d.press("Space")
	}
	d.untilSays("This racket is strung.")
	if then != nil {
		then()
	}
	d.press("l")
	d.untilSays("printed")
	d.tickets = append(d.tickets, title)
	d.press("q")
	d.until("the rack without it", func(s string) bool {
		return strings.Contains(s, "which racket goes on the bench?") && !strings.Contains(s, title)
	})
}

// each strings what a player has.
func (d *tournament) each(player string) {
	d.t.Helper()
	for _, mark := range marksOf(1) {
		d.strings(player+" (invented) · "+mark, nil)
	}
}

// correct changes fields of a record that letters find, from the rack and back to it.
func (d *tournament) correct(kind, letters string, fields ...string) {
	d.t.Helper()
	d.press("b")
	d.kind(kind)
	d.types(letters)
	d.untilSays("find  " + letters)
	d.press("Enter")
	d.untilSays("e correct")
	d.press("e")
	d.untilSays("ctrl+s keep")
	d.fill(fields...)
	d.untilSays("is in the book")
	for range 5 {
		if strings.Contains(d.screen(), "which racket") {
			return
		}
		d.press("Escape")
		time.Sleep(50 * time.Millisecond)
	}
}

// countedAnew holds what the program says after the merge against its export and what was typed, added up here.
func (d *tournament) countedAnew(paper string, door *tournament) {
	t := d.t
	t.Helper()
	tell := func(args ...string) string { return said(t, append(args, "--book", d.book)...) }
	at, names := map[string]string{}, decode[[]recordOf](t, tell("book", "job", "--json"))
	strung := map[string]int{}
	for _, j := range decode[[]struct {
		Player, Racket, State string
		Events                []struct {
			At   time.Time
			Kind string
		}
	}](t, tell("book", "export", "--json")) {
		assert.Equal(t, "done", j.State)
		done := 0
		for _, e := range j.Events {
			if e.Kind == "done" {
				done++
			}
		}
		assert.Equal(t, smallSteps, done, j)
		day := j.Events[len(j.Events)-1].At.Local().Format(time.DateOnly)
		at[j.Player+" · "+j.Racket] = day
		strung[day]++
	}
	assert.Len(t, at, 40, "each once")
	assert.Len(t, names, 40)
	for day, n := range strung {
		assert.Regexp(t, fmt.Sprintf("%s +strung %d ", day, n), tell("book", "day", day))
	}
	yesterday := time.Now().AddDate(0, 0, -1).Format(time.DateOnly)
	assert.Equal(t, 3, strung[yesterday])
	assert.Contains(t, tell("book", "day"), "handed over 2")
	assert.Regexp(t, `price +36(\.00)? EUR`, tell("book", "day"))

	by, from := map[string]int{}, map[string]int{}
	for _, j := range names {
		by[j.Names["stringer"]]++
		from[j.Names["mains"]]++
		lot := j.Names["player"] == "Ada (invented)" && j.Names["racket"] != "blue 1"
		assert.Equal(t, lot, j.Fields["decided"] == "23 kg / 22 kg", j.Names)
	}
	assert.Equal(t, map[string]int{"Cy (invented)": 7 + 3 + 3 + 3 + 3, "Di (invented)": 3, "Ed (invented)": 6 * 3}, by)
	assert.Equal(t, map[string]int{"Invented first": 7 + 3 + 1, "Invented second": 2 + 9*3}, from)
	mains, crosses := smallCuts()
	each := (mains + crosses) / 1000
	stock := tell("book", "stock")
	assert.Regexp(t, fmt.Sprintf(" %.1f m left +Invented first", 60-each*float64(from["Invented first"])), stock)
	assert.Regexp(t, fmt.Sprintf(" %.1f m left +Invented second", 200-each*float64(from["Invented second"])), stock)

	data, err := os.ReadFile(paper)
	require.NoError(t, err)
	printed, titles := string(data), append(d.tickets, door.tickets...)
	assert.Len(t, titles, 40-6, "all but what was strung on paper")
	assert.Equal(t, len(titles), strings.Count(printed, "RACKET TICKET"))
	for _, title := range titles {
		assert.Equal(t, 1, strings.Count(printed, strings.ReplaceAll(title, " · ", "\n")+"\n"), title)
	}
	assert.Equal(t, 6, strings.Count(printed, "mains      23 kg"), "the lot's, after the verdict")
	assert.Equal(t, 34-6, strings.Count(printed, "mains      24 kg"))
}
