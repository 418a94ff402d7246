package calc

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/assume"
	"pullcard/patterns/harmless"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
	"pullcard/sequence/strain"
)

// Outcome is a technique in short: how even the bed is, what it does to the hoop and what it costs.
type Outcome struct {
	Name string `json:"name"`
	// Why says why there is no plan, empty where there is one.
	Why string `json:"why,omitempty"`
	// UnevenPercent is the mean deviation (root of the mean square) of the tensions left off the machine from the mean of their kind.
	UnevenPercent float64 `json:"uneven_percent"`
	// MeanN is the mean tension left off the machine.
	MeanN float64 `json:"mean_newtons"`
	// BendingNm and SupportN are the largest moment in the tube and the largest load of a support.
	BendingNm float64 `json:"bending_newton_metres"`
	SupportN  float64 `json:"support_newtons"`
	// ShorterMM and WiderMM are the farthest that the hoop was from unstrung when a step was over.
	ShorterMM float64    `json:"shorter_mm"`
	WiderMM   float64    `json:"wider_mm"`
	Steps     int        `json:"steps"`
	Pulls     int        `json:"pulls"`
	Plan      *plan.Plan `json:"-"`
}

// outcome sums a course up.
func outcome(name string, c *strain.Course) Outcome {
	o := Outcome{Name: name, BendingNm: c.Bending.Nm, Steps: len(c.Plan.Steps), Pulls: c.Plan.Totals.Pulls, Plan: c.Plan}
	for _, s := range c.Supports {
		o.SupportN = math.Max(o.SupportN, s.Newtons)
	}
	for _, s := range c.At {
		o.ShorterMM, o.WiderMM = math.Max(o.ShorterMM, -s.LengthMM), math.Max(o.WiderMM, s.WidthMM)
	}
	mains := len(c.Plan.Terms.Mains)
	square := 0.0
	for _, kind := range [2][]strain.Strand{c.Strands[:mains], c.Strands[mains:]} {
		mean := 0.0
		for _, s := range kind {
			mean += s.OffMachine / float64(len(kind))
			o.MeanN += s.OffMachine / float64(len(c.Strands))
		}
		for _, s := range kind {
			square += (s.OffMachine/mean - 1) * (s.OffMachine/mean - 1) / float64(len(c.Strands))
		}
	}
	o.UnevenPercent = 100 * math.Sqrt(square)
	return o
}

// bench plays techniques on one frame; its model serves all of them that mount the frame alike.
type bench struct {
	Work
	house  assume.Table
	models map[string]*strain.Model
}

// try makes a plan of a technique, has it refereed and plays it.
func (b *bench) try(name string, t *sequence.Technique) Outcome {
	w := b.Work
	w.Technique = t
	p, err := w.Job.Plan(w.Frame, t)
	if err == nil {
		if breaches := referee.Check(p); len(breaches) > 0 {
			err = errors.New(breaches[0].String())
		}
	}
	if err != nil {
		return Outcome{Name: name, Why: err.Error()}
	}
	w.Plan = p
	c, err := b.play(w)
	if err != nil {
		return Outcome{Name: name, Why: err.Error()}
	}
	return outcome(name, c)
}

func (b *bench) play(w Work) (*strain.Course, error) {
	key := fmt.Sprint(w.Assumptions(b.house).Of(string(w.Frame.Sport), w.materials(), w.mount(), w.pull()))
	m := b.models[key]
	if m == nil {
		var err error
		if m, err = w.Elastic(w.Assumptions(b.house)); err != nil {
			return nil, err
		}
		b.models[key] = m
	}
	return m.Play(w.Plan)
}

// CompareTechniques sets techniques beside the work's own, which comes first: sheets, and where they are asked for the variants of its own. It
// tells how far it is; the error is the context's.
func (w Work) CompareTechniques(ctx context.Context, house assume.Table, sheets []*sequence.Technique, ofOwn bool, tell func(tried, of int)) ([]Outcome, error) {
	b, names := &bench{w, house, map[string]*strain.Model{}}, []string{w.Technique.Name}
	all := []*sequence.Technique{w.Technique}
	for _, t := range sheets {
		all, names = append(all, t), append(names, t.Name)
	}
	if ofOwn {
		for _, v := range variants(w.Technique) {
			t := *w.Technique
			v.change(&t)
			all, names = append(all, &t), append(names, v.What)
		}
	}
	out := make([]Outcome, len(all))
	for i, t := range all {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		out[i] = b.try(names[i], t)
		tell(i+1, len(all))
	}
	return out, nil
}

// Variant is one change to a sheet.
type Variant struct {
	What string
	// Key is the setting that it changes, as Technique.Says knows it.
	Key    string
	change func(*sequence.Technique)
}

// variants are the changes that are tried: of order, lead, start, boost and the end of the crosses.
func variants(t *sequence.Technique) (out []Variant) {
	add := func(key, what string, is bool, change func(*sequence.Technique)) {
		if !is {
			out = append(out, Variant{what, key, change})
		}
	}
	for lead := 1; lead <= 3; lead++ {
		add("mains.lead", fmt.Sprintf("mains lead by %d", lead), t.Mains.Lead == lead, func(s *sequence.Technique) { s.Mains.Lead = lead })
	}
	if t.Mains.Lead > 1 {
		add("mains.then", "mains overtake", t.Mains.Overtake, func(s *sequence.Technique) { s.Mains.Overtake = true })
		add("mains.then", "mains until level", !t.Mains.Overtake, func(s *sequence.Technique) { s.Mains.Overtake = false })
	}
	add("mains.first", "other side first", false, func(s *sequence.Technique) { s.Mains.First = s.Mains.First.Other() })
	for _, start := range []sequence.Start{sequence.StartClamp, sequence.StartKnot, sequence.StartSkip} {
		add("crosses.start", "crosses start: "+string(start), t.Pieces == 1 || t.Cross.Start == start, func(s *sequence.Technique) { s.Cross.Start = start })
	}
	for _, from := range []patterns.End{patterns.Head, patterns.Throat} {
		add("crosses.from", fmt.Sprintf("crosses from the %s", from), t.Cross.From == from, func(s *sequence.Technique) { s.Cross.From = from })
	}
	for boost := range 3 {
		add("mains.boost", fmt.Sprintf("%d outer mains boosted", boost), t.Mains.Boost == boost, func(s *sequence.Technique) { s.Mains.Boost = boost })
	}
	for _, percent := range []float64{0, 5, 10, 15, 20, 25} {
		add("boost", fmt.Sprintf("boost %g %%", percent), t.Boost.Amount.IsZero() && t.Boost.Percent == percent, func(s *sequence.Technique) { s.Boost = sequence.Boost{Percent: percent} })
	}
	return out
}

// Words tell it in a line.
func (o Outcome) Words() string {
	if o.Why != "" {
		return harmless.Text(o.Name + ": cannot be strung so: " + o.why())
	}
	return harmless.Text(fmt.Sprintf("%s: uneven by %.1f %%, bends the hoop by %.1f N·m, a support carries %.0f N, %d steps", o.Name, o.UnevenPercent, o.BendingNm, o.SupportN, o.Steps))
}

// why is the first that stands against it.
func (o Outcome) why() string {
	first, _, _ := strings.Cut(o.Why, "\n")
	return first
}

// Verdict says which of some techniques leaves the most even bed and which loads the hoop least.
func Verdict(sides []Outcome) []string {
	least := func(of func(Outcome) float64) (best Outcome, ok bool) {
		for _, o := range sides {
			if o.Why == "" && (!ok || of(o) < of(best)*.999) {
				best, ok = o, true
			}
		}
		return best, ok
	}
	even, ok := least(func(o Outcome) float64 { return o.UnevenPercent })
	if !ok {
		return nil
	}
	bends, _ := least(func(o Outcome) float64 { return o.BendingNm })
	pushes, _ := least(func(o Outcome) float64 { return o.SupportN })
	return []string{
		fmt.Sprintf("the most even bed: %s, uneven by %.1f %%", even.Name, even.UnevenPercent),
		fmt.Sprintf("bends the hoop least: %s, %.1f N·m; loads a support least: %s, %.0f N", bends.Name, bends.BendingNm, pushes.Name, pushes.SupportN),
	}
}
