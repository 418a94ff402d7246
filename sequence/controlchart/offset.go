package controlchart

import (
	"fmt"
	"math"
	"time"

	"pullcard/patterns/measure"
)

// Check is one check of a machine with a gauge: what it was set to and what the gauge read, in newtons.
type Check struct {
	Machine     string
	At          time.Time
	SetN, ReadN float64
}

// offsetKg is by how much the gauge read more than was set.
func (c Check) offsetKg() float64 { return (c.ReadN - c.SetN) / measure.NewtonsPerKgf }

// Evidence is what an offset is proposed from.
type Evidence struct {
	// Readings compares the machine's readings with the other's, in kg; see Comparison.At.
	Readings Comparison
	// Machine is the one whose offset is in question, Against the other; Against is empty where the readings are compared
	// with something else than a machine, as the shop's usual ones.
	Machine, Against string
	Checks           []Check
	// Last is when the last of the readings was taken, Within how much older than that a check may be. A later check counts.
	Last   time.Time
	Within time.Duration
}

// Proposal is an offset for a person to accept or not. Nothing in this package applies it.
type Proposal struct {
	Machine, Against string
	// OffsetKg is by how many kg of tension the machine's beds come out tighter than the other's, below nought when looser;
	// LowKg and HighKg bound it. It is the bed's tension, which friction has lessened; the machine's pull may differ by more.
	OffsetKg, LowKg, HighKg float64
	// GaugeKg is the same by the gauge: the machine's reading over its setting, less the other's.
	GaugeKg float64
	// Checks are those that bear it out.
	Checks []Check
}

// Reason is why no offset is proposed.
type Reason int

// The reasons.
const (
	// NotInKg: the comparison was not brought to an ordered tension.
	NotInKg Reason = iota + 1
	// NotApart: the readings do not tell the two apart.
	NotApart
	// NoCheck: a machine was never checked with a gauge.
	NoCheck
	// OldCheck: its last check is too old.
	OldCheck
	// OtherTension: its last check was not at the tension of the readings.
	OtherTension
	// GaugeDisagrees: the gauge sees no difference, or one the other way.
	GaugeDisagrees
)

// Refusal says why no offset is proposed and what to do first.
type Refusal struct {
	Reason  Reason
	Machine string // the machine to check, empty where the reason names none
	// ReadingsKg and GaugeKg are what disagrees.
	ReadingsKg, GaugeKg float64
}

func (r Refusal) Error() string {
	first := "check " + r.Machine + " with a gauge at its working tension first"
	switch r.Reason {
	case NotInKg:
		return "the readings are not told in kg; name the ordered tension"
	case NotApart:
		return "the readings do not tell the machines apart; take more readings first"
	case NoCheck:
		return first
	case OldCheck:
		return first + "; its last check is too old"
	case OtherTension:
		return first + "; its last check was at another tension"
	}
	return fmt.Sprintf("the readings say %+.2f kg, the gauge says %+.2f kg; check both with a gauge at their working tension first", r.ReadingsKg, r.GaugeKg)
}

// workingTension is how far the setting of a check may lie from the ordered tension, in kg: this program's own choice,
// for what common practice calls the working tension.
const workingTension = 2.0

// Propose proposes an offset where the readings tell the machine from the other and the gauge, read at the working tension
// and lately, says the same way. Otherwise the error is a Refusal.
func Propose(e Evidence) (Proposal, error) {
	c := e.Readings
	if !(c.OrderedKg > 0) {
		return Proposal{}, Refusal{Reason: NotInKg}
	}
	if !c.Apart() {
		return Proposal{}, Refusal{Reason: NotApart}
	}
	p := Proposal{Machine: e.Machine, Against: e.Against, OffsetKg: c.Difference, LowKg: c.Low, HighKg: c.High}
	for i, machine := range []string{e.Machine, e.Against} {
		if i == 1 && machine == "" {
			break
		}
		check, why := e.check(machine)
		if why != 0 {
			return Proposal{}, Refusal{Reason: why, Machine: machine}
		}
		p.Checks = append(p.Checks, check)
		p.GaugeKg += []float64{1, -1}[i] * check.offsetKg()
	}
	if p.GaugeKg == 0 || math.Signbit(p.GaugeKg) != math.Signbit(p.OffsetKg) {
		return Proposal{}, Refusal{Reason: GaugeDisagrees, ReadingsKg: p.OffsetKg, GaugeKg: p.GaugeKg}
	}
	return p, nil
}

// check is the last one of a machine, or what is wrong with it.
func (e Evidence) check(machine string) (last Check, why Reason) {
	why = NoCheck
	for _, c := range e.Checks {
		if c.Machine == machine && (why == NoCheck || c.At.After(last.At)) {
			last, why = c, 0
		}
	}
	switch {
	case why != 0:
	case last.At.Before(e.Last.Add(-e.Within)):
		why = OldCheck
	case math.Abs(last.SetN/measure.NewtonsPerKgf-e.Readings.OrderedKg) > workingTension:
		why = OtherTension
	}
	return last, why
}
