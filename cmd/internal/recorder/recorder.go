// Package recorder hears a recorder of the house, a program that writes sound to its standard output. Call Listen, or Watch
// to show how it goes.
package recorder

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"time"

	"pullcard/patterns/tap"
	"pullcard/tui/ear"
)

// Watch is Listen until enough taps agree, the recorder ends or the stringer stops it. How loud it is is shown on out.
func Watch(ctx context.Context, recorder string, out io.Writer, o tap.Options) (tap.Result, error) {
	fmt.Fprintln(out, "tap in the middle of the bed, a second apart; ctrl+c ends it")
	o.Heard = func(l tap.Live) bool {
		taps := fmt.Sprintf("%d taps", len(l.Result.Heard))
		if len(l.Result.Heard) == 1 {
			taps = "1 tap"
		}
		fmt.Fprintf(out, "\r%s %s", meter(l.LevelDB), taps)
		return !l.Result.Clear || l.Result.Taps < ear.Enough
	}
	r, err := Listen(ctx, recorder, o)
	fmt.Fprintln(out)
	return r, err
}

// meter is a level of -60 dB to full scale as twenty marks.
func meter(db float64) string {
	n := min(max(int((db+60)/3), 0), 20)
	return "[" + strings.Repeat("#", n) + strings.Repeat(".", 20-n) + "]"
}

// Listen hears what a recorder writes to its standard output, a WAV stream, and ends it when that is enough. A recorder that
// was ended by the stringer has said what it had to.
func Listen(ctx context.Context, recorder string, o tap.Options) (tap.Result, error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	cmd := exec.CommandContext(ctx, "sh", "-c", recorder)
	cmd.WaitDelay = time.Second
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	sound, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		return tap.Result{}, fmt.Errorf("the recorder %q does not start: %w; set recorder in the settings", recorder, err)
	}
	o.Stream = true
	last := tap.Result{Why: "no tap was heard"}
	heard := o.Heard
	o.Heard = func(l tap.Live) bool {
		last = l.Result
		return heard == nil || heard(l)
	}
	r, err := tap.Read(sound, o)
	ended := ctx.Err() != nil
	if err == nil {
		stop()
	} else { // it may be about to say what is wrong
		defer time.AfterFunc(time.Second, stop).Stop()
	}
	_ = cmd.Wait() // it was stopped here, or its own words say more
	switch words, _, _ := strings.Cut(strings.TrimSpace(complaint.String()), "\n"); {
	case err != nil && ended:
		return last, nil
	case err != nil && words != "":
		return r, fmt.Errorf("the recorder %q: %s; set recorder in the settings", recorder, words)
	case err != nil:
		return r, fmt.Errorf("the recorder %q: %w; or set another recorder in the settings", recorder, err)
	}
	return r, nil
}
