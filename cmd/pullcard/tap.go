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

	"pullcard/patterns/measure"
	"pullcard/patterns/tap"
	"pullcard/sequence/numbers"
)

func tapCommand() *cobra.Command {
	var asJSON bool
	var job string
	var earlier []string
	c := &cobra.Command{
		Use:   "tap FILE.wav",
		Short: "Hear from a recording of taps how high the bed rings",
		Long: `Hears a recording of taps on the strings: the frequency of the bed's lowest
mode with its uncertainty, or that no tone is clear. With a job it says what
mean tension goes with it, and how it compares with the bed as computed.
Record a few taps in the middle of the bed, the frame held at the throat.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			before, err := readings(c, earlier)
			if err != nil {
				return err
			}
			h, err := hear(c, args[0], job)
			if err != nil {
				return err
			}
			h.compare(before)
			if asJSON {
				return writeJSON(c.OutOrStdout(), h.json())
			}
			return h.write(c.OutOrStdout())
		}),
	}
	c.Flags().BoolVar(&asJSON, "json", false, "as JSON")
	c.Flags().StringVar(&job, "job", "", "the job that the racket was strung by")
	c.Flags().StringArrayVar(&earlier, "earlier", nil, "an earlier reading of the same racket: a recording, or its frequency as 612.4; may be given again")
	return c
}

// heard is what was heard, and what it says of a job's bed.
type heard struct {
	tap.Result
	work    *work
	ring    *numbers.Ring
	earlier []change
}

// change is an earlier reading and what has happened to the tension since.
type change struct {
	Hz             float64 `json:"hz"`
	TensionPercent float64 `json:"tension_percent"`
}

func hear(c *cobra.Command, path, job string) (*heard, error) {
	r, err := readTap(c, path)
	if err != nil {
		return nil, err
	}
	h := &heard{Result: r}
	if job == "" {
		return h, nil
	}
	if h.work, err = loadAsked(c, job); err != nil {
		return nil, err
	}
	if r.Clear {
		h.ring, err = h.work.numbers().Ring(r.Hz)
	}
	return h, err
}

func readTap(c *cobra.Command, path string) (tap.Result, error) {
	f, err := openInput(c, path)
	if err != nil {
		return tap.Result{}, fmt.Errorf("%s: %s; name a recording that can be read", path, reason(err))
	}
	defer f.Close()
	r, err := tap.Read(bufio.NewReaderSize(f, 1<<16), tap.Options{})
	if errors.Is(err, context.Canceled) {
		return r, unread(path, err)
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
		r, err := readTap(c, e)
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
		fmt.Fprintf(b, "%.2f Hz, plus or minus %.2f Hz, from %s\n", h.Hz, h.PlusMinusHz, count(h.Taps, "tap"))
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
	switch {
	case !t.Clear:
		return "no clear tone"
	case !t.Used:
		return fmt.Sprintf("%.1f Hz, does not agree with the others and is left out", t.Hz)
	}
	return fmt.Sprintf("%.2f Hz, plus or minus %.2f Hz", t.Hz, t.PlusMinusHz)
}

// writeRing writes what the frequency says of the job's bed.
func (h *heard) writeRing(b io.Writer) {
	r, job := h.ring, h.work.job
	unit := job.Mains.Unit()
	fmt.Fprintf(b, "\n%s, mains %s, crosses %s\n", clean(h.work.plan.Frame), job.Mains, job.Crosses)
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
	fmt.Fprintf(b, "with the usual loss of %g %% after stringing it would ring at %.0f Hz (%s)\n", r.Loss.Percent, r.LossHz, r.Loss.Source)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
