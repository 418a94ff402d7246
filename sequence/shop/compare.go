package shop

import (
	"context"
	"errors"
	"math"
	"slices"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
)

// Compared is what machines' readings say of each other, in kg of ordered tension.
type Compared struct {
	Pairs      []ComparedPair     `json:"pairs"`
	OrderedKg  float64            `json:"ordered_kg"`
	Level      float64            `json:"level"`
	Corrected  string             `json:"corrected"`
	Instrument string             `json:"instrument"`
	Converted  []string           `json:"converted,omitempty"`
	Age        string             `json:"age"`
	Factors    []string           `json:"factors"`
	LeftOut    []string           `json:"left_out"`
	SpreadKg   map[string]float64 `json:"spread_kg"`
	NeededEach int                `json:"needed_for_0.5_kg"`
}

// ComparedPair is one machine against another.
type ComparedPair struct {
	A            string          `json:"a"`
	B            string          `json:"b"`
	NA           int             `json:"n_a"`
	NB           int             `json:"n_b"`
	DifferenceKg float64         `json:"difference_kg"`
	LowKg        float64         `json:"low_kg"`
	HighKg       float64         `json:"high_kg"`
	DF           float64         `json:"df"`
	P            float64         `json:"p"`
	Holm         float64         `json:"p_holm"`
	Power        float64         `json:"power_for_0.5_kg"`
	Apart        bool            `json:"apart"`
	Proposed     *ProposedOffset `json:"proposed,omitempty"`
	Refused      string          `json:"refused,omitempty"`
}

// ProposedOffset is an offset for a person to accept.
type ProposedOffset struct {
	Machine  string  `json:"machine"`
	OffsetKg float64 `json:"offset_kg"`
	LowKg    float64 `json:"low_kg"`
	HighKg   float64 `json:"high_kg"`
	GaugeKg  float64 `json:"gauge_kg"`
}

// GaugeDays is how old a gauge check may be where the house says nothing: this program's own choice. Daily is common practice; a week still says
// something of the machine.
const GaugeDays = 7

// Compare compares machines.
func (s *Shop) Compare(ctx context.Context, asked []string, racket string, last int) (Compared, error) {
	out := Compared{Level: 0.95, Pairs: []ComparedPair{}}
	var machines []book.Record
	var names []string
	for _, a := range asked {
		r, err := s.Meant(ctx, records.KindMachine, "", a)
		if err != nil {
			return out, err
		}
		if slices.Contains(names, r.Label()) {
			return out, errors.New("these are one machine; name two")
		}
		machines, names = append(machines, r), append(names, r.Label())
	}
	of, err := s.Series(ctx, records.Job{}, "", last)
	if err != nil {
		return out, err
	}
	decay := of.decay()
	if racket != "" {
		r, err := s.Meant(ctx, records.KindRacket, "", racket)
		if err != nil {
			return out, err
		}
		of = of.parted(func(j records.Job) string { return j.Racket })[r.UID]
	}
	c, err := controlchart.Compare(controlchart.Question{Machines: names, Stringings: of.Stringings, Decay: decay, Level: out.Level})
	if err != nil {
		return out, err
	}
	out.fill(c, of.orderedKg(names))
	gauge, err := s.gauge(ctx, machines, of, out.OrderedKg)
	if err != nil {
		return out, err
	}
	for i, p := range c.Pairs {
		out.Pairs[i].propose(p, gauge)
	}
	return out, nil
}

// fill tells a comparison in kg.
func (out *Compared) fill(c *controlchart.Comparison, orderedKg float64) {
	out.OrderedKg, out.Instrument, out.Age = orderedKg, c.Instrument, c.Age
	out.Factors, out.LeftOut = append([]string{}, c.Factors...), append([]string{}, c.LeftOut...)
	for _, v := range c.Conversions {
		out.Converted = append(out.Converted, v.String())
	}
	out.Corrected = "not needed"
	if len(c.Pairs) > 1 {
		out.Corrected = "p by Holm; the intervals are not corrected"
	}
	out.SpreadKg = map[string]float64{}
	for name, spread := range c.Spread {
		out.SpreadKg[name] = spread * orderedKg
	}
	// Where it would take too many to count, it says nothing.
	out.NeededEach, _ = controlchart.Needed(controlchart.Worth, c.Ordinary()*orderedKg, 1-out.Level, controlchart.LowPower)
	for _, p := range c.Pairs {
		out.Pairs = append(out.Pairs, ComparedPair{A: p.A, B: p.B, NA: p.NA, NB: p.NB, DifferenceKg: p.At(p.Value, orderedKg), LowKg: p.At(p.Low(), orderedKg),
			HighKg: p.At(p.High(), orderedKg), DF: p.DF, P: p.P(), Holm: p.Holm, Power: p.Power(math.Log1p(controlchart.Worth / orderedKg)), Apart: p.Apart()})
	}
}

// gauge is what the gauge checks of some machines say at a tension.
func (s *Shop) gauge(ctx context.Context, machines []book.Record, of Series, orderedKg float64) (controlchart.Gauge, error) {
	house, err := s.house()
	if err != nil {
		return controlchart.Gauge{}, err
	}
	g := controlchart.Gauge{SDN: house.Gauge.SDN, OrderedKg: orderedKg, Within: house.Gauge.Within, Level: 0.95}
	for _, r := range of.Stringings {
		if slices.ContainsFunc(machines, func(m book.Record) bool { return m.Label() == r.Machine }) && r.At.After(g.Last) {
			g.Last = r.At
		}
	}
	label, uids := map[string]string{}, make([]string, len(machines))
	for i, m := range machines {
		uids[i], label[m.UID] = m.UID, m.Label()
	}
	checks, err := s.Book.Of(ctx, records.KindGauge, uids...)
	for _, c := range checks {
		check := records.As[records.Gauge](c.Fields)
		set, wrong := measure.ParseTension(check.Set)
		read, also := measure.ParseTension(check.Read)
		if err = errors.Join(wrong, also); err != nil {
			break
		}
		g.Checks = append(g.Checks, controlchart.Check{Machine: label[check.Machine], At: c.At, SetN: set.Newtons(), ReadN: read.Newtons()})
	}
	return g, err
}

// propose adds what offset the readings and the gauge bear out, or why none.
func (out *ComparedPair) propose(p controlchart.Pair, g controlchart.Gauge) {
	got, err := controlchart.Propose(p, g)
	if err != nil {
		out.Refused = err.Error()
		return
	}
	offset, low, high := got.OffsetKg()
	out.Proposed = &ProposedOffset{p.A, offset, low, high, p.At(got.Gauge.Value, g.OrderedKg)}
}
