package controlchart

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"gonum.org/v1/gonum/stat"

	"pullcard/patterns/measure"
)

// Check is one check of a machine with a gauge: what it was set to and what the gauge read, in newtons.
type Check struct {
	Machine     string
	At          time.Time
	SetN, ReadN float64
}

// GaugeSD is how far one reading of a gauge lies from the truth, as a standard deviation, where nothing better is known:
// 0.1 kg, the step in which machines are set; from memory.
const GaugeSD = 0.1 * measure.NewtonsPerKgf

// Least is from how many stringings on each machine an offset is proposed, Worth the difference that the power is told for,
// in kg of ordered tension: what an expert feels, common practice of the trade. LowPower is the power below which it is told.
const (
	Least    = 5
	Worth    = 0.5
	LowPower = 0.8
)

// workingTension is how far the setting of a check may lie from the ordered tension, in kg: this program's own choice,
// for what common practice calls the working tension.
const workingTension = 2.0

// AskTwice is the size of an offset in kg above which it is asked for twice: this program's own choice. So large a one is more
// often a slip of the pen than a machine.
const AskTwice = 1.0

// Gauge is what gauge checks say of machines.
type Gauge struct {
	Checks []Check
	// SDN is how far one reading lies from the truth, in newtons; see GaugeSD.
	SDN float64
	// OrderedKg is the working tension, Last when the last of the readings was taken, Within how much older than that a
	// check may be. A later check counts.
	OrderedKg float64
	Last      time.Time
	Within    time.Duration
	Level     float64
}

// Says is by how much a machine pulls more than it is set to, as ln of what the gauge read over what was set, so that 0.02 is
// 2 %; and the checks that it was made of. The error says what is missing.
func (g Gauge) Says(machine string) (Interval, []Check, error) {
	first := "check " + machine + " with a gauge at its working tension first"
	var used []Check
	var logs []float64
	why := errors.New(first)
	for _, c := range g.Checks {
		switch {
		case c.Machine != machine || !(c.SetN > 0 && c.ReadN > 0):
		case c.At.Before(g.Last.Add(-g.Within)):
			why = errors.New(first + "; its last check is too old")
		case math.Abs(c.SetN/measure.NewtonsPerKgf-g.OrderedKg) > workingTension:
			why = errors.New(first + "; its last check was at another tension")
		default:
			used, logs = append(used, c), append(logs, math.Log(c.ReadN/c.SetN))
		}
	}
	if len(used) == 0 {
		return Interval{}, nil, why
	}
	n := float64(len(used))
	out := Interval{Value: stat.Mean(logs, nil), SE: g.SDN / (g.OrderedKg * measure.NewtonsPerKgf) / math.Sqrt(n), DF: math.Inf(1), Level: g.Level}
	if n > 1 {
		// Checks that spread more than the gauge is known to are no better than they are.
		if seen := stat.StdDev(logs, nil) / math.Sqrt(n); seen > out.SE {
			out.SE, out.DF = seen, n-1
		}
	}
	return out, used, nil
}

// Proposal is an offset for a person to accept or not. Nothing in this package applies it.
type Proposal struct {
	Machine, Against string
	// Tighter is by how much the machine's beds come out tighter than the other's, below nought when looser, as ln of a ratio
	// of tensions: what readings and gauge say together, each weighing as much as it is sure. Readings and Gauge are the two.
	Tighter, Readings, Gauge Interval
	// OrderedKg is the tension at which it was found.
	OrderedKg float64
	// Checks are those that bear it out.
	Checks []Check
}

// OffsetKg is what is to be added to the machine's setting so that its beds come out like the other's, with the bounds of it.
func (p Proposal) OffsetKg() (offset, low, high float64) {
	kg := func(v float64) float64 { return p.OrderedKg * math.Expm1(-v) }
	return kg(p.Tighter.Value), kg(p.Tighter.High()), kg(p.Tighter.Low())
}

// Refusal says why no offset is proposed: everything that is missing.
type Refusal struct{ Missing []string }

func (r Refusal) Error() string { return strings.Join(r.Missing, "; ") }

// Propose proposes an offset for A against B where at least Least stringings a side tell the two apart, the gauge does so too,
// read at the working tension and lately, and the two agree: the interval of their difference covers nought. Otherwise the
// error is a Refusal.
func Propose(p Pair, g Gauge) (Proposal, error) {
	if !(g.OrderedKg > 0) {
		return Proposal{}, Refusal{[]string{"nobody knows at what tension the rackets were ordered"}}
	}
	out := Proposal{Machine: p.A, Against: p.B, Readings: p.Interval, OrderedKg: g.OrderedKg}
	var missing []string
	miss := func(text string, of ...any) { missing = append(missing, fmt.Sprintf(text, of...)) }
	for _, side := range []struct {
		name string
		n    int
	}{{p.A, p.NA}, {p.B, p.NB}} {
		if side.n < Least {
			miss("%s has %d stringings of the %d that it takes", side.name, side.n, Least)
		}
	}
	if !p.Apart() {
		miss("the readings do not tell the machines apart; take more readings first")
	}
	a, ca, errA := g.Says(p.A)
	b, cb, errB := g.Says(p.B)
	for _, err := range []error{errA, errB} {
		if err != nil {
			missing = append(missing, err.Error())
		}
	}
	if errA == nil && errB == nil {
		out.Gauge, out.Checks = a.less(b), append(ca, cb...)
		if !out.Gauge.Apart() {
			miss("the gauge does not tell the machines apart: %s; check each with it again, at the same setting", kgWords(out.Gauge, g.OrderedKg))
		}
		if apart := out.Readings.less(out.Gauge); p.Apart() && apart.Apart() {
			miss("the readings say %s, the gauge %s: that is more apart than both errors allow; something else than the pull differs",
				kgWords(out.Readings, g.OrderedKg), kgWords(out.Gauge, g.OrderedKg))
		}
	}
	if len(missing) > 0 {
		return Proposal{}, Refusal{missing}
	}
	wa, wb := 1/(out.Readings.SE*out.Readings.SE), 1/(out.Gauge.SE*out.Gauge.SE)
	out.Tighter = combine(p.Level, part{out.Readings, wa / (wa + wb)}, part{out.Gauge, wb / (wa + wb)})
	return out, nil
}

// kgWords tells a difference in kg with its bounds.
func kgWords(i Interval, orderedKg float64) string {
	kg := func(v float64) string { return measure.Signed(orderedKg*math.Expm1(v), 2) }
	return fmt.Sprintf("%s kg (%s between %s and %s)", kg(i.Value), Percent(i.Level), kg(i.Low()), kg(i.High()))
}

// Keep says what speaks against keeping an offset of a machine: that no gauge check of it bears it out, alone or against
// another machine's, or that it is large and was not said twice. It returns the check that it is kept with. An offset of
// nought needs none. Where no working tension is told, it is that of the machine's newest check.
func Keep(machine string, offsetKg float64, twice bool, g Gauge) (Check, error) {
	if offsetKg == 0 {
		return Check{}, nil
	}
	var wrong []error
	if math.Abs(offsetKg) > AskTwice && !twice {
		wrong = append(wrong, fmt.Errorf("%s kg is more than %g kg; is it meant? Say it twice", measure.Signed(offsetKg, 2), AskTwice))
	}
	if g.OrderedKg == 0 {
		var newest time.Time
		for _, c := range g.Checks {
			if c.Machine == machine && c.At.After(newest) {
				newest, g.OrderedKg = c.At, c.SetN/measure.NewtonsPerKgf
			}
		}
	}
	own, checks, err := g.Says(machine)
	if err != nil {
		return Check{}, errors.Join(append(wrong, err)...)
	}
	said := []string{kgWords(own, g.OrderedKg) + " more than it is set to"}
	if bears(own, offsetKg, g.OrderedKg) {
		return checks[len(checks)-1], errors.Join(wrong...)
	}
	seen := map[string]bool{machine: true}
	for _, c := range g.Checks {
		other, _, err := g.Says(c.Machine)
		if seen[c.Machine] || err != nil {
			continue
		}
		seen[c.Machine] = true
		apart := own.less(other)
		if bears(apart, offsetKg, g.OrderedKg) {
			return checks[len(checks)-1], errors.Join(wrong...)
		}
		said = append(said, kgWords(apart, g.OrderedKg)+" more than "+c.Machine)
	}
	return Check{}, errors.Join(append(wrong, fmt.Errorf("an offset of %s kg is not what the gauge says: %s pulls %s; check it again or keep what the gauge bears out",
		measure.Signed(offsetKg, 2), machine, strings.Join(said, ", ")))...)
}

// bears says whether a gauge's interval of how much a machine pulls too much covers an offset against it. Half a step of the
// setting is no difference.
func bears(i Interval, offsetKg, orderedKg float64) bool {
	const step = 0.05
	low, high := orderedKg*math.Expm1(-i.High())-step, orderedKg*math.Expm1(-i.Low())+step
	return low <= offsetKg && offsetKg <= high
}
