package main

import (
	"fmt"
	"math/rand/v2"
	"os/exec"
	"pullcard/patterns/sweep"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestStormInATerminal: somebody pulls at the window while a racket is strung: forty sizes come as fast as tmux takes them, and a key whenever
// there is room for the screen. In the end every key was counted, and the screen is the one of a program that has had that size from the start.
func TestStormInATerminal(t *testing.T) {
	sweep.Only(t)
	if _, err := exec.LookPath("tmux"); err != nil {
		t.Skip("NOT TESTED: A STORM OF SIZES IN A TERMINAL. This takes tmux, which is not installed.")
	}
	t.Parallel()
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	b := newStand(t, build(t), "--hold", hold)
	b.untilStep(1)
	const gusts = 40
	last := [2]int{60 + random.IntN(141), 20 + random.IntN(41)}
	n := 1
	for i := range gusts {
		size := [2]int{1 + random.IntN(200), 1 + random.IntN(60)}
		press := i%4 == 0
		if press { // a smaller terminal takes no key
			size = [2]int{max(size[0], 60), max(size[1], 20)}
		}
		b.tmux("resize-window", "-x", fmt.Sprint(size[0]), "-y", fmt.Sprint(size[1]))
		if press { // another key than the last, so that it is none that is held
			b.untilStep(n)
			b.press([]string{"Space", "Enter"}[i/4%2])
			b.did("done", n)
			n++
		}
	}
	b.tmux("resize-window", "-x", fmt.Sprint(last[0]), "-y", fmt.Sprint(last[1]))
	b.untilStep(n)

	fresh := newDesk(t, last, nil, b.command...)
	fresh.untilSays("TAKE UP AGAIN")
	fresh.press("Enter")
	b.resumed(n)
	want, before := "", ""
	fresh.until("a step that stands still", func(screen string) bool {
		want, before = screen, want
		return want == before && stepOn(want) == n
	})
	assert.Equal(t, last[1], strings.Count(want, "\n")+1, "the frame fills the terminal")
	b.until(fmt.Sprintf("screen as a fresh program has it at %v", last), func(screen string) bool { return screen == want })
	b.requireExport("open")
}
