package main

import (
	"bytes"
	"context"
	"fmt"
	"os/exec"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pullcard/patterns/tap"
	"pullcard/sequence/records"
	"pullcard/tui/ear"
)

// watch records by the command of the settings until three taps agree, the recorder ends or the stringer stops it. The level
// is shown on standard error.
func watch(c *cobra.Command, o tap.Options) (tap.Result, error) {
	set, err := houseSettings()
	if err != nil {
		return tap.Result{}, err
	}
	out := c.ErrOrStderr()
	fmt.Fprintf(out, "tap in the middle of the bed, a second apart; %s ends it\n", "ctrl+c")
	o.Heard = func(l tap.Live) bool {
		fmt.Fprintf(out, "\r%s %s", meter(l.LevelDB), count(len(l.Result.Each), "tap"))
		return !taken(l.Result)
	}
	r, err := listen(c.Context(), set.Recorder, o)
	fmt.Fprintln(out)
	return r, err
}

// taken says whether a reading is complete.
func taken(r tap.Result) bool { return r.Clear && r.Taps >= ear.Enough }

// meter is a level of -60 dB to full scale as twenty marks.
func meter(db float64) string {
	n := min(max(int((db+60)/3), 0), 20)
	return "[" + strings.Repeat("#", n) + strings.Repeat(".", 20-n) + "]"
}

// listen hears what a recorder writes to its standard output, a WAV stream, and ends it when that is enough. A recorder that
// was ended by the stringer has said what it had to.
func listen(ctx context.Context, recorder string, o tap.Options) (tap.Result, error) {
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
		return r, fmt.Errorf("the recorder %q: %w", recorder, err)
	}
	return r, nil
}

// ear is the microphone for taps on a strung bed: it looks where the job's bed computes to ring, and keeps a reading of it.
func (s *shop) ear(w *work, uid func() string) *ear.Ear {
	return &ear.Ear{
		Listen: func(tell func(tap.Live) bool) (tap.Result, error) {
			set, err := houseSettings()
			if err != nil {
				return tap.Result{}, err
			}
			o, err := (&tapFlags{}).options(w)
			if err != nil {
				return tap.Result{}, err
			}
			o.Heard = tell
			return listen(s.ctx, set.Recorder, o)
		},
		Keep: func(value string) error {
			_, err := s.add(records.KindReading, records.Fields{"job": uid(), "value": value, "with": "tap"}, time.Now())
			return err
		},
	}
}
