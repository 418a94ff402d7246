package main

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// lull is how long the keyboard is quiet after a burst at least; what comes before still belongs to it.
const lull = 100 * time.Millisecond

// stand is a bench with a job of 64 steps on it.
type stand struct {
	*desk
	command []string
	book    string
	bin     string
	typed   []typed
}

const steps = 64

func newStand(t *testing.T, bin string, flags ...string) *stand {
	t.Helper()
	b := &stand{bin: bin, book: filepath.Join(t.TempDir(), "book.db")}
	job := benchJob(t, "job.toml", "blue")
	b.command = append([]string{bin, "bench", "--book", b.book, job}, flags...)
	b.desk = newDesk(t, [2]int{120, 40}, nil, b.command...)
	return b
}

// did notes what was typed.
func (b *stand) did(kind string, step int) { b.typed = append(b.typed, typed{Kind: kind, Step: step}) }

// pressLine is the line of a step that hands answer; it comes with the step's number, before the rest of the screen.
var pressLine = regexp.MustCompile(`\d+/\d+ .* PRESS\b`)

// done marks the step shown as done.
func (b *stand) done() {
	b.t.Helper()
	n := stepOn(b.shown())
	if pressLine.MatchString(b.shown()) { // pressed before a clamp comes off: hands answer
		b.press("1")
		b.typed = append(b.typed, typed{Kind: "done", Step: n, What: "slack"})
	} else {
		b.press("Space")
		b.did("done", n)
	}
	b.until("another step", func(s string) bool {
		return stepOn(s) > 0 && stepOn(s) != n || strings.Contains(s, "STRUNG")
	})
}

// resume answers that all stands as it was left, at step n.
func (b *stand) resume(n int) {
	b.t.Helper()
	require.Zero(b.t, stepOn(b.untilSays("TAKE UP AGAIN")), "no count before the answer")
	b.press("Enter")
	b.untilStep(n)
	b.resumed(n)
}

func (b *stand) resumed(n int) {
	b.typed = append(b.typed, typed{Kind: "resume", Step: n, Why: "clamps stand as shown"})
}

// requireExport holds that the book has the one job with what was typed, and nothing else.
func (b *stand) requireExport(state string) {
	b.t.Helper()
	jobs := exported(b.t, b.bin, b.book)
	require.Len(b.t, jobs, 1)
	require.Equal(b.t, state, jobs[0].State)
	require.Equal(b.t, b.typed, jobs[0].Events)
}

var (
	slipLine   = regexp.MustCompile(`(?m)(\d)  (?:the gripper|clamp ([ABS])) slipped on \S+ at \S+`)
	feltLine   = regexp.MustCompile(`(?m)(\d)  it is (?:slack|tight)|Feel from \S+ on`) // beyond the centre loop, along the crosses
	notNowLine = regexp.MustCompile(`(?m)(\d), .*: not now, `)
	caseLine   = regexp.MustCompile(`(?m)(\d)  (?:before|after|it crept|its base|it let go)`)
)

// slip reports one of the things that the bench says can have slipped, in one of the ways in which it can.
func (b *stand) slip(random *rand.Rand) {
	b.t.Helper()
	b.press("s")
	list := slipLine.FindAllStringSubmatch(b.untilSays("What slipped?"), -1)
	require.NotEmpty(b.t, list, "nothing can have slipped")
	choice := list[random.IntN(len(list))]
	step := stepOn(b.shown())
	b.press(choice[1])
	const kept = ": kept in the journal"
	then := b.until("how it slipped", func(s string) bool {
		return strings.Contains(s, kept) || caseLine.MatchString(s) || feltLine.MatchString(s)
	})
	if ways := caseLine.FindAllStringSubmatch(then, -1); len(ways) > 0 && !strings.Contains(then, kept) {
		for _, i := range random.Perm(len(ways)) { // a way that this machine does not have says so and stays on the list
			b.press(ways[i][1])
			refused := func(s string) bool {
				no := notNowLine.FindStringSubmatch(s)
				return no != nil && no[1] == ways[i][1]
			}
			then = b.until("what else went slack", func(s string) bool {
				return strings.Contains(s, kept) || feltLine.MatchString(s) || refused(s)
			})
			if !refused(then) {
				break
			}
		}
	}
	for !strings.Contains(then, kept) { // along the crosses from one end, then from the other: the list is long, and its first serves
		asked := feltLine.FindString(then)
		felt := feltLine.FindAllStringSubmatch(then, -1)
		if key := felt[random.IntN(len(felt))][1]; key != "" {
			b.press(key)
		} else {
			b.press("Down")
			b.press("Enter")
		}
		then = b.until("the next question", func(s string) bool {
			return strings.Contains(s, kept) || strings.Contains(s, "this enter marks nothing") || feltLine.MatchString(s) && feltLine.FindString(s) != asked
		})
	}
	b.settled()
	what := choice[2]
	if what == "" {
		what = "gripper"
	}
	b.typed = append(b.typed, typed{Kind: "redo", Step: step, What: what})
}

// words types some words, and waits until what comes next is no part of it.
func (b *stand) words(text string) {
	b.t.Helper()
	b.write(text)
	b.untilSays("› " + text)
	time.Sleep(2 * lull)
}

var againLine = regexp.MustCompile(`AGAIN \((\d)\)`)

// back goes a step back, or takes back that the gripper slipped: then the step before is done as it was, with all slips but the last.
func (b *stand) back() {
	b.t.Helper()
	n := stepOn(b.shown())
	again := againLine.FindStringSubmatch(b.shown())
	b.press("BSpace")
	b.did("back", n)
	if again == nil {
		const asked = "Is this done: " // where string came out, or clamps moved in a way back
		other := func(s string) bool { return stepOn(s) > 0 && stepOn(s) != n }
		if s := b.until("another step", func(s string) bool { return other(s) || strings.Contains(s, asked) }); strings.Contains(s, asked) {
			b.press("1") // nothing of it
			b.until("another step", other)
		}
	} else {
		b.untilSays("taken back")
		b.did("done", n-1)
		for slips, _ := strconv.Atoi(again[1]); slips > 1; slips-- {
			b.typed = append(b.typed, typed{Kind: "redo", Step: n, What: "gripper"})
		}
	}
	b.settled()
}

// note writes a note.
func (b *stand) note(text string) {
	b.t.Helper()
	n := stepOn(b.shown())
	b.press("n")
	b.untilSays("› ")
	b.words(text)
	b.press("Enter")
	b.untilSays("noted: " + text)
	b.typed = append(b.typed, typed{Kind: "note", Step: n, Why: text})
}

// look looks at another step and comes back, which leaves nothing behind.
func (b *stand) look() {
	b.t.Helper()
	n := stepOn(b.shown())
	way := "Right"
	if total := counting.FindStringSubmatch(b.shown())[2]; total == fmt.Sprint(n) {
		way = "Left"
	}
	b.press(way)
	b.until("another step", func(s string) bool { return stepOn(s) > 0 && stepOn(s) != n })
	b.settled()
	b.press("Space")
	b.untilStep(n)
	b.settled()
}

// settled waits until a screen has been painted to its end.
func (b *stand) settled() {
	b.t.Helper()
	last := ""
	b.until("whole screen", func(s string) bool {
		was := last
		last = b.screen()
		return s == last && s == was
	})
}
