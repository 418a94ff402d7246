package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"

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
		Use:   "tap FILE.wav | --watch",
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
			h, err := f.hear(c, args, before)
			if err != nil {
				return err
			}
			return told(c, h, h.Tell()...)
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

// hear hears what is asked for: in the band that is named, and where the bed of a job that tells its string computes to ring.
func (f *tapFlags) hear(c *cobra.Command, args []string, before []float64) (h *calc.Tapped, err error) {
	var o tap.Options
	if f.band != "" {
		if o.LowHz, o.HighHz, err = tap.ParseBand(f.band); err != nil {
			return nil, misuse{fmt.Errorf("--band %w", err)}
		}
	}
	if _, err = leftBy(f.left); err != nil {
		return nil, err
	}
	if f.left != "" && f.job == "" {
		return nil, misuse{errors.New("--left is of a job's plan; name the job with --job")}
	}
	var w *shop.Work
	if f.job != "" {
		if w, err = loadAsked(c, f.job); err == nil {
			o.Computed, err = w.FrequencyHz()
		}
		if err != nil {
			return nil, err
		}
	}
	var r tap.Result
	if f.watch {
		r, err = listen(c, c.ErrOrStderr(), o)
	} else {
		r, err = readTap(c, args[0], o)
	}
	if err != nil {
		return nil, err
	}
	h = calc.NewTapped(r, before)
	if w == nil || !r.Clear {
		return h, nil
	}
	left, err := leftOf(f.left, w.Work)
	if err != nil {
		return nil, err
	}
	return h, h.Of(w.Work, left)
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
		return r, shop.ReadError(path, err)
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
		hz, is, err := tap.ParseHz(e)
		if err != nil {
			return nil, misuse{fmt.Errorf("--earlier %w", err)}
		}
		if is {
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
