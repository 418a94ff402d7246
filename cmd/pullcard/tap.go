package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"pullcard/cmd/internal/disk"
	"pullcard/cmd/internal/recorder"
	"pullcard/patterns/tap"
	"pullcard/sequence/calc"
	"pullcard/sequence/shop"
)

// tapFlags are the choices of the command.
type tapFlags struct {
	watch           bool
	job, band, left string
	earlier         []string
}

func tapCommand() *cobra.Command {
	var f tapFlags
	c := &cobra.Command{
		Use:   "tap FILE.wav",
		Short: "Hear from a recording of taps how high the bed rings",
		Long: `Hears a recording of taps on the strings: the frequency of the bed's lowest
mode with its uncertainty, or that none of the tones is surely the bed's. With
a job it looks where that bed computes to ring, and says what mean tension goes
with it. Record a few taps in the middle of the bed, the frame held at the
throat. A - reads a pipe: arecord -f S16_LE -r 48000 -d 3 | pullcard tap -
With --watch it records by itself, by the command of the settings, shows the
level and ends when three taps agree.`,
		Args: func(c *cobra.Command, args []string) error {
			if f.watch {
				return cobra.ExactArgs(0)(c, args)
			}
			return cobra.ExactArgs(1)(c, args)
		},
		RunE: failing(func(c *cobra.Command, args []string) error {
			before, err := readings(c, f.earlier)
			if err != nil {
				return err
			}
			h, err := f.hear(c, args)
			if err != nil {
				return err
			}
			h.compare(before)
			return reply(c, h, h.write)
		}),
	}
	jsonFlag(c)
	c.Flags().BoolVar(&f.watch, "watch", false, "record by the command of the settings and end when three taps agree")
	c.Flags().StringVar(&f.job, "job", "", "the job that the racket was strung by")
	leftFlag(c, &f.left, "the usual loss, with --job")
	c.Flags().StringVar(&f.band, "band", "", "listen between two frequencies only, as 400-700")
	c.Flags().StringArrayVar(&f.earlier, "earlier", nil, "an earlier reading of the same racket: a recording, or its frequency as 612.4; may be given again")
	return c
}

// options are where to listen: in the band that is asked for, and where the bed of a job that tells its string computes to ring.
func (f *tapFlags) options(w *shop.Work) (o tap.Options, err error) {
	if f.band != "" {
		low, high, found := strings.Cut(f.band, "-")
		var wrong [2]error
		o.LowHz, wrong[0] = strconv.ParseFloat(strings.TrimSpace(low), 64)
		o.HighHz, wrong[1] = strconv.ParseFloat(strings.TrimSpace(high), 64)
		if !found || errors.Join(wrong[:]...) != nil || !(o.LowHz > 0 && o.HighHz > o.LowHz && o.HighHz < 1e5) {
			return o, misuse{fmt.Errorf("--band %s is no band; write its two frequencies in Hz, as 400-700", f.band)}
		}
	}
	if w != nil {
		o.Computed, err = w.Rings()
	}
	return o, err
}

// heard is what was heard, and what it says of a job's bed.
type heard struct {
	tap.Result
	Earlier []change   `json:"earlier,omitempty"`
	Ring    *calc.Ring `json:"job,omitempty"`
	work    *shop.Work
}

// change is an earlier reading and what has happened to the tension since.
type change struct {
	Hz             float64 `json:"hz"`
	TensionPercent float64 `json:"tension_percent"`
}

func (f *tapFlags) hear(c *cobra.Command, args []string) (*heard, error) {
	h := &heard{}
	var err error
	if f.job != "" {
		if h.work, err = loadAsked(c, f.job); err != nil {
			return nil, err
		}
	}
	o, err := f.options(h.work)
	if err != nil {
		return nil, err
	}
	if f.watch {
		h.Result, err = listen(c, c.ErrOrStderr(), o)
	} else {
		h.Result, err = readTap(c, args[0], o)
	}
	if err == nil && h.Clear && h.work != nil {
		var left *calc.Left
		if left, err = leftOf(f.left, h.work.Numbers()); err == nil {
			h.Ring, err = h.work.Numbers().RingWith(h.Hz, left)
		}
	}
	return h, err
}

func readTap(c *cobra.Command, path string, o tap.Options) (tap.Result, error) {
	f, err := disk.Open(c.Context(), c.InOrStdin(), path)
	if err != nil {
		return tap.Result{}, fmt.Errorf("%s: %s; name a recording that can be read", path, shop.Reason(err))
	}
	defer f.Close()
	o.Stream = path == shop.Piped
	r, err := tap.Read(bufio.NewReaderSize(f, 1<<16), o)
	if errors.Is(err, context.Canceled) {
		return r, shop.Unread(path, err)
	}
	if err != nil {
		return r, fmt.Errorf("%s: %w", path, err)
	}
	return r, nil
}

// readings are the frequencies of earlier readings, from recordings or as numbers.
func readings(c *cobra.Command, earlier []string) ([]float64, error) {
	var out []float64
	for _, e := range earlier {
		number := strings.TrimSpace(strings.TrimSuffix(strings.ToLower(e), "hz"))
		hz, err := strconv.ParseFloat(number, 64)
		if err == nil {
			if !(hz >= 50 && hz <= 5000) {
				return nil, misuse{fmt.Errorf("--earlier %s: no bed rings so; write the frequency in Hz, as 612.4", e)}
			}
			out = append(out, hz)
			continue
		}
		r, err := readTap(c, e, tap.Options{})
		if err != nil {
			return nil, err
		}
		if !r.Clear {
			return nil, fmt.Errorf("%s: no clear tone: %s; leave that reading away", e, r.Why)
		}
		out = append(out, r.Hz)
	}
	return out, nil
}

func (h *heard) compare(earlier []float64) {
	for _, hz := range earlier {
		if h.Clear {
			h.Earlier = append(h.Earlier, change{hz, tap.TensionChange(hz, h.Hz)})
		}
	}
}

// listen records taps by the command of the settings, and shows how it goes where it is told to.
func listen(c *cobra.Command, out io.Writer, o tap.Options) (tap.Result, error) {
	set, err := houseSettings()
	switch {
	case err != nil:
		return tap.Result{}, err
	case out != nil:
		return recorder.Watch(c.Context(), set.Recorder, out, o)
	}
	return recorder.Listen(c.Context(), set.Recorder, o)
}

func (h *heard) write(out io.Writer) {
	for _, words := range h.Words() {
		fmt.Fprintln(out, clean(words))
	}
	if h.Ring != nil {
		fmt.Fprintln(out)
		tell(out, h.work.Numbers().TellRing(h.Ring, h.Hz)...)
	}
	for i, e := range h.Earlier {
		fmt.Fprintf(out, "earlier reading %d: %.1f Hz; since then the tension has changed by %+.1f %%\n", i+1, e.Hz, e.TensionPercent)
	}
}
