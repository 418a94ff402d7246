package tui

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/tui/bench"
	"pullcard/tui/frame"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

// Walks from screen to screen, each on a shop of its own.
func TestWalks(t *testing.T) {
	c := newCupboard(t)
	for _, w := range []struct {
		name string
		walk func(t *testing.T, r *rig)
	}{
		{"rack, bench and back", rackBenchRack},
		{"park from the rack", parkFromTheRack},
		{"park from the bench", parkFromTheBench},
		{"book, bench and back to the book", bookBenchBook},
		{"what is not on the rack is looked for in the book", lookInTheBook},
		{"new frame", newFrame},
		{"numbers", numbersAndBack},
		{"lot of the book", lotAndBack},
		{"charts", chartsAndBack},
		{"sheet", sheetAndBack},
		{"leaving", leaving},
	} {
		t.Run(w.name, func(t *testing.T) {
			inBubble(t, func(t *testing.T) { w.walk(t, newRig(t, newShop(c))) })
		})
	}
}

func rackBenchRack(t *testing.T, r *rig) {
	r.shows("which racket", "▶ Ada Winter (invented) · blue dot").hides("in progress")
	r.press("enter").shows("1/64", "Ada Winter (invented) · blue dot").press("space", "space").shows("3/64")
	assert.Len(t, r.shop.racket("job-1").events, 2)
	r.press("q").shows("in progress", "3/64, left 3 min ago")
	r.press("down", "enter").shows("1/64", "Ben Sommer (invented) · green tape", "in work too: Ada Winter (invented) 3/64")
	r.press("q").shows("▶ Ben Sommer")
	r.press("up", "enter").hides("3/64").press("enter").shows("3/64")
	assert.Equal(t, progress.Resume, r.shop.racket("job-1").events[2].Kind)
}

func parkFromTheRack(t *testing.T, r *rig) {
	r.press("p").hides("parked")
	r.press("enter", "space", "q").shows("p park").press("p").shows("parked", "p take up").hides("in progress")
	assert.True(t, r.shop.racket("job-1").parked)
	r.press("p").shows("in progress", "p park")
	assert.False(t, r.shop.racket("job-1").parked)
}

func parkFromTheBench(t *testing.T, r *rig) {
	r.press("enter", "p").shows("1/64")
	assert.False(t, r.shop.racket("job-1").parked, "nothing is done yet")
	r.press("space", "p").shows("which racket", "parked; it waits where it was", "2/64, left")
	assert.True(t, r.shop.racket("job-1").parked)
	r.press("enter", "enter").shows("2/64").press("space", "q").hides("parked").shows("in progress")
}

func lookInTheBook(t *testing.T, r *rig) {
	r.press("/", "z").shows("in the book, by enter").press("enter").shows("[jobs]", "find  z").press("esc", "esc").shows("which racket", "Ada Winter")
}

func bookBenchBook(t *testing.T, r *rig) {
	r.press("b").shows("Ada Winter (invented)", "Ben Sommer (invented)").hides("which racket")
	r.press("left", "enter").shows("JOB").press("o").shows("1/64", "blue dot")
	r.press("space").shows("2/64").press("q").shows("JOB", "o on the bench")
	r.press("esc", "esc").shows("which racket", "in progress")
	r.press("enter", "enter").shows("2/64").press("q").shows("which racket")
}

func newFrame(t *testing.T, r *rig) {
	r.press("f").shows("NEW FRAME").press("esc").shows("which racket")
	assert.Empty(t, r.shop.kept)
	fill := func() { // takes the usual value of every field that has one
		r.press("f").write("Walk sixteen")
		for i := 0; i < 40 && strings.Contains(r.screen(), "NEW FRAME") && !strings.Contains(r.screen(), "another name"); i++ { // also past what comes next
			r.press("enter")
		}
	}
	fill()
	r.shows("which racket", "kept as walk-sixteen.toml")
	assert.Contains(t, r.shop.kept["walk-sixteen"], "Walk sixteen")
	fill()
	r.shows("NEW FRAME", "give the frame another name")
}

func numbersAndBack(t *testing.T, r *rig) {
	r.press("enter", "space", "b").shows("NUMBERS", "Ada Winter").hides("2/64")
	r.press("q").shows("2/64").press("space").shows("3/64")
}

func lotAndBack(t *testing.T, r *rig) {
	r.press("b", "left", "left", "enter").shows("six for the summer").press("v").shows("MOVES DOWN", "red dot     in work").hides("which racket")
	r.press("v", "3", "enter").shows("kept: blue dot").press("enter", "enter").shows("decided: 23.5 kg / 22.5 kg")
	r.press("q").shows("LOT  six for the summer", "v verdicts").press("esc", "esc").shows("which racket")
}

func chartsAndBack(t *testing.T, r *rig) {
	r.press("c").shows("all readings", "33 stringings, limits").hides("which racket").press("right").shows("machine by the window")
	r.press("left", "b").shows("NEW BASELINE", "read with   tap", "name").hides("all readings")
	r.press("esc").shows("all readings", "33 stringings").press("b").write("spring").press("enter").write("Cy").press("ctrl+s")
	r.shows("all readings", "is in the book").press("up").hides("in the book").press("q").shows("which racket")
}

func sheetAndBack(t *testing.T, r *rig) {
	r.press("b", "left", "enter").shows("JOB", "w sheet").press("w").shows("TECHNIQUE SHEET  house-two", "proven: 64 steps").press("esc").shows("JOB")
	r.press("w", "end").write("7").shows("something is wrong").press("backspace").write(" # one knot less").press("ctrl+s").shows("JOB", "kept as house-two")
	assert.Contains(t, r.shop.kept["house-two"], "pieces = 2  # one knot less")
}

func leaving(t *testing.T, r *rig) {
	for _, keys := range [][]string{{"b"}, {"f"}, {"enter"}, {"enter", "b"}, {"c"}, {"b", "left", "left", "enter", "v"}, {"b", "left", "enter", "w"}} {
		again := newRig(t, newShop(r.shop.cupboard)).press(keys...)
		require.False(t, again.quit)
		assert.True(t, again.press("ctrl+c").quit, "%v", keys)
	}
	assert.True(t, r.press("q").quit)
}

// A program that was started for one thing ends with it.
func TestStraight(t *testing.T) {
	inBubble(t, func(t *testing.T) {
		s := newShop(newCupboard(t))
		job, err := s.OpenJob("job-1")
		require.NoError(t, err)
		set := bench.Settings{Hold: hold, Now: time.Now, Theme: golden.Plain(t)}
		first, err := Bench(job, set)
		require.NoError(t, err)
		r := rigOn(t, s, first, set).shows("1/64").press("space", "b").shows("NUMBERS").press("q")
		assert.True(t, r.shows("2/64").press("q").quit)

		form := screen.Of(frame.New(frame.Settings{Theme: set.Theme}))
		r = rigOn(t, s, form, set).shows("NEW FRAME")
		assert.True(t, r.press("esc").quit)

		job.Events = []progress.Event{{Kind: progress.Done, Step: 9}}
		_, err = Bench(job, set)
		assert.ErrorContains(t, err, "9")
	})
}

// What the house cannot do is told on the screen, and the next key goes on; what the bench could not save stands until it
// was acknowledged.
func TestTrouble(t *testing.T) {
	c := newCupboard(t)
	for _, w := range []struct {
		name   string
		before []string
		key    string
		after  []string // what the screen still says
		next   string   // the key that does it when nothing fails
		then   string
	}{
		{"open", nil, "enter", []string{"which racket", "▶ Ada Winter"}, "enter", "1/64"},
		{"park from the rack", []string{"enter", "space", "q"}, "p", []string{"which racket", "▶ Ada Winter", "in progress"}, "p", "p take up"},
		{"park from the bench", []string{"enter", "space"}, "p", []string{"2/64"}, "p", "parked; it waits"},
		{"record", []string{"enter", "space"}, "space", []string{"2/64"}, "space", "3/64"},
		{"list", []string{"enter", "space"}, "q", []string{"which racket"}, "b", "players"},
		{"book", nil, "b", nil, "right", "blue dot"},
		{"page", []string{"b"}, "enter", nil, "enter", "PLAYER"},
		{"charts", nil, "c", []string{"which racket", "▶ Ada Winter"}, "c", "33 stringings"},
		{"lot", []string{"b", "left", "left", "enter"}, "v", []string{"LOT"}, "v", "MOVES DOWN"},
		{"verdict", []string{"b", "left", "left", "enter", "v", "v", "3"}, "enter", nil, "enter", "kept: blue dot"},
		{"sheet", []string{"b", "left", "enter"}, "w", []string{"JOB"}, "w", "TECHNIQUE SHEET"},
		{"open from the book", []string{"b", "left", "enter"}, "o", []string{"JOB"}, "o", "1/64"},
	} {
		t.Run(w.name, func(t *testing.T) {
			inBubble(t, func(t *testing.T) {
				r := newRig(t, newShop(c)).press(w.before...)
				r.shop.fail = errors.New("the shelf fell over")
				r.press(w.key).shows("the shelf fell over")
				require.NoError(t, r.shop.fail, "the house was asked")
				if r.shows(w.after...); strings.Contains(r.screen(), "space: seen") {
					r.sleep(time.Second).shows("the shelf fell over").press("enter")
				}
				r.press(w.next).shows(w.then).hides("the shelf fell over")
			})
		})
	}
}

// screens leads to every screen that there is.
func screens() map[string][]string {
	return map[string][]string{
		"rack": nil, "bench": {"enter"}, "numbers": {"enter", "b"}, "frame": {"f"}, "book": {"b"}, "page": {"b", "enter"}, "form": {"b", "ctrl+n"},
		"lot": {"b", "left", "left", "enter", "v"}, "chart": {"c"}, "baseline": {"c", "b"}, "day": {"d"}, "sheet": {"b", "left", "enter", "w"},
	}
}

// Every package of a screen is among screens, so that it is tried with other themes, hostile names and held keys, and has a picture.
func TestEveryScreenIsLookedAt(t *testing.T) {
	elsewhere := map[string]string{"board": "a command shows it", "ear": "the bench opens it on a machine with a microphone", "hoop": "the numbers open it where files are at hand"}
	c := newCupboard(t)
	reached := func(keys []string) (name string) {
		inBubble(t, func(t *testing.T) {
			name = fmt.Sprintf("%T", newRig(t, newShop(c)).press(keys...).m.(Model).up().Screen)
		})
		return name
	}
	walked, painted := map[string]bool{}, map[string]bool{}
	for _, keys := range screens() {
		walked[reached(keys)] = true
	}
	for _, p := range portraits() {
		painted[reached(p.keys)] = true
	}
	files, err := filepath.Glob("*/*.go")
	require.NoError(t, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		name := filepath.Base(filepath.Dir(file))
		if !strings.Contains(string(text), "type Model struct {\n\tscreen.Look\n") || elsewhere[name] != "" {
			continue
		}
		of := "screen.of[pullcard/tui/" + name + ".Model]"
		assert.True(t, walked[of], "%s is missing in screens: %v", name, walked)
		assert.True(t, painted[of], "%s is missing in portraits: %v", name, painted)
	}
}

// A theme that comes while any screen is up paints it, and all others that come later; it changes no word.
func TestTheme(t *testing.T) {
	c := newCupboard(t)
	const background = "48;2;250;248;243" // the light theme's
	for name, keys := range screens() {
		inBubble(t, func(t *testing.T) {
			r := newRig(t, newShop(c), func(o *bench.Settings) { o.Theme = golden.Theme(t, "dark", termenv.TrueColor) }).press(keys...)
			require.NotContains(t, r.m.View(), background)
			before := r.screen()
			r.send(ThemeMsg{golden.Theme(t, "light", termenv.TrueColor)})
			assert.Equal(t, before, r.screen(), name)
			light := func() {
				for _, line := range strings.Split(r.m.View(), "\n") {
					require.Contains(t, line, background, "%s: %q", name, ansi.Strip(line))
				}
			}
			light()
			back := map[string]string{"bench": "q", "numbers": "q"}[name]
			for i := 0; i < 4 && !strings.Contains(r.screen(), "which racket"); i++ {
				r.press(cmp.Or(back, "esc"))
				light()
			}
			r.shows("which racket")
		})
	}
}

// What the bench waits for reaches it while its numbers are up: the minutes, and the answer to a key that came before them.
func TestBenchGoesOnBehindNumbers(t *testing.T) {
	c := newCupboard(t)
	t.Run("minutes", func(t *testing.T) {
		inBubble(t, func(t *testing.T) {
			r := newRig(t, newShop(c)).press("enter", "space").shows("0 min").press("b").sleep(2 * time.Minute).shows("NUMBERS")
			r.press("q").sleep(2 * time.Minute).shows("3 min") // a tick comes with every whole minute of the clock
		})
	})
	t.Run("an event on its way", func(t *testing.T) {
		inBubble(t, func(t *testing.T) {
			r := newRig(t, newShop(c)).press("enter", "space")
			r.shop.slow = map[string]time.Duration{"numbers": time.Second, "record": 2 * time.Second}
			r.press("b", "space").sleep(time.Second).shows("NUMBERS").sleep(time.Second)
			r.press("q").shows("3/64").press("backspace").sleep(3 * time.Second).shows("2/64")
		})
	})
}
