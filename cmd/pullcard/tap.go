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
	"pullcard/patterns/measure"
	"pullcard/patterns/tap"
	"pullcard/sequence/calc"
	"pullcard/sequence/shop"
)

// tapFlags are the choices of the command.
type tapFlags struct {
	asJSON, watch bool
	job, band     string
	left          string
	earlier       []string
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
			if f.asJSON {
				return writeJSON(c.OutOrStdout(), h.json())
			}
			return h.write(c.OutOrStdout())
		}),
	}
	c.Flags().BoolVar(&f.asJSON, "json", false, "as JSON")
	c.Flags().BoolVar(&f.watch, "watch", false, "record by the command of the settings and end when three taps agree")
	c.Flags().StringVar(&f.job, "job", "", "the job that the racket was strung by")
	c.Flags().StringVar(&f.left, "left", "", "with --job: take the tensions left as the plan plays on an elastic hoop instead of the usual loss: off (the machine) or day (later)")
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
	work    *shop.Work
	ring    *calc.Ring
	earlier []change
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
		if left, err = leftOf(h.work, f.left); err == nil {
			h.ring, err = h.work.Numbers().RingWith(h.Hz, left)
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
			h.earlier = append(h.earlier, change{hz, tap.TensionChange(hz, h.Hz)})
		}
	}
}

// tapping is the JSON form of what was heard.
type tapping struct {
	tap.Result
	Earlier []change `json:"earlier,omitempty"`
	Job     *ringing `json:"job,omitempty"`
}

// ringing is what a frequency says of a job's bed; what rests on assumptions stands apart.
type ringing struct {
	OrderedMeanN float64       `json:"ordered_mean_n"`
	ComputedHz   float64       `json:"computed_hz,omitempty"`
	Assumed      ringAssumings `json:"assumed"`
}

type ringAssumings struct {
	MeanTensionN  float64 `json:"mean_tension_n"`
	KeptPercent   float64 `json:"kept_percent"`
	AreaCM2       float64 `json:"area_cm2"`
	GramsPerMetre float64 `json:"grams_per_metre"`
	String        string  `json:"string,omitempty"`
	ComputedHz    float64 `json:"computed_hz,omitempty"` // where the string is assumed
	LossPercent   float64 `json:"loss_percent"`
	LossHz        float64 `json:"loss_hz"`
}

func (h *heard) json() tapping {
	out := tapping{Result: h.Result, Earlier: h.earlier}
	if r := h.ring; r != nil {
		out.Job = &ringing{OrderedMeanN: r.OrderedN, ComputedHz: r.ComputedHz, Assumed: ringAssumings{
			MeanTensionN: r.MeanN, KeptPercent: r.KeptPercent, AreaCM2: r.AreaCM2, GramsPerMetre: r.GramsPerMetre, String: r.String,
			LossPercent: r.Loss.Percent, LossHz: r.LossHz,
		}}
		if r.String != "" {
			out.Job.ComputedHz, out.Job.Assumed.ComputedHz = 0, r.ComputedHz
		}
	}
	return out
}

func (h *heard) write(out io.Writer) error {
	b := bufio.NewWriter(out)
	if !h.Clear {
		fmt.Fprintf(b, "no clear tone: %s\n", clean(h.Why))
	} else {
		fmt.Fprintf(b, "%.2f Hz, plus or minus %.2f Hz (about a 95 %% interval), from %s\n", h.Hz, h.PlusMinusHz, count(h.Taps, "tap"))
	}
	if h.Clipped {
		fmt.Fprintln(b, "! clipped: the recording is too loud for its samples; record from farther away or with less gain")
	}
	for _, t := range h.Candidates {
		fmt.Fprintf(b, "  tone %8.2f Hz, plus or minus %.2f Hz, %.0f dB, dies away in %.0f ms, in %s, the bed's by %.0f %%\n",
			t.Hz, t.PlusMinusHz, t.LevelDB, t.DecayMS, count(t.Taps, "tap"), t.Chance*100)
	}
	for _, t := range h.Each {
		fmt.Fprintf(b, "  at %.2f s  %s\n", t.Seconds, tapWords(t))
	}
	if h.ring != nil {
		h.writeRing(b)
	}
	for i, e := range h.earlier {
		fmt.Fprintf(b, "earlier reading %d: %.1f Hz; since then the tension has changed by %+.1f %%\n", i+1, e.Hz, e.TensionPercent)
	}
	return b.Flush()
}

func tapWords(t tap.Tap) string {
	words := fmt.Sprintf("%.2f Hz, plus or minus %.2f Hz", t.Hz, t.PlusMinusHz)
	switch {
	case !t.Clear:
		words = "no clear tone"
	case !t.Used:
		words = fmt.Sprintf("%.1f Hz, left out", t.Hz)
	}
	if t.Clipped {
		words += ", clipped"
	}
	return words
}

// writeRing writes what the frequency says of the job's bed.
func (h *heard) writeRing(b io.Writer) {
	r, job := h.ring, h.work.Job
	unit := job.Mains.Unit()
	fmt.Fprintf(b, "\n%s, mains %s, crosses %s\n", clean(h.work.Plan.Frame), job.Mains, job.Crosses)
	fmt.Fprintf(b, "computed at the ordered tensions without losses: %.0f Hz", r.ComputedHz)
	if r.String != "" {
		fmt.Fprintf(b, " (for %s, which is assumed)", r.String)
	}
	fmt.Fprintf(b, "\nthe tap is %+.1f %% from that\n", (h.Hz/r.ComputedHz-1)*100)
	fmt.Fprintln(b, "\nASSUMED")
	fmt.Fprintf(b, "mean tension in the bed %s (%.0f N); ordered was %s in the mean\n", measure.Newtons(r.MeanN).To(unit).Short(), r.MeanN, measure.Newtons(r.OrderedN).To(unit).Short())
	fmt.Fprintf(b, "  from %.1f cm² and %.3f g/m, T = 4·m·L·f² with L = √area (Cross 2006): mains and crosses alike,\n", r.AreaCM2, r.GramsPerMetre)
	fmt.Fprintln(b, "  the bed about as long as wide, no stiffness of the strings, no damper")
	fmt.Fprintf(b, "by the computed bed it rings as if it had kept %.0f %% of the ordered tensions\n", r.KeptPercent)
	if r.Left != "" {
		fmt.Fprintf(b, "with the tensions left %s, %g %% less in the mean, it would ring at %.0f Hz (%s)\n", r.Left, r.Loss.Percent, r.LossHz, r.Loss.Source)
		return
	}
	fmt.Fprintf(b, "with the usual loss of %g %% after stringing it would ring at %.0f Hz (%s)\n", r.Loss.Percent, r.LossHz, r.Loss.Source)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
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
