package sequence

import (
	"fmt"
	"math"

	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// MachineKind is how a machine pulls.
type MachineKind string

// The kinds of machine; empty is not said.
const (
	ConstantPull MachineKind = "constant pull"
	Lockout      MachineKind = "lockout"
	DropWeight   MachineKind = "drop weight"
)

// Machine is the machine that the job is strung on.
type Machine struct {
	Name string
	// Step is what its tension is set in; none where the job does not say: then what is usual of the unit.
	Step    measure.Tension
	ReachMM float64 // string needed from the frame to the gripper, 0 when not given
	Kind    MachineKind
	// GaugeSet is what the machine was set to and GaugeRead what a gauge then read; both are none where it was not read.
	GaugeSet, GaugeRead measure.Tension
	// BarDegrees is how far from level the bar of a drop weight comes to rest.
	BarDegrees float64
	// Corrected says that the machine is set so that the gauge reads what was ordered. Nothing is corrected without it.
	Corrected bool
}

// Setting is one tension three times: what the player ordered, what the machine is set to, and what a gauge in the
// string's place should then read.
type Setting struct{ Ordered, Set, Gauge measure.Tension }

// Setting is how an ordered tension is set. The machine's offset is the same amount at every tension, and what a bar off
// level loses comes on top: the weight pulls with the cosine of its angle, 1.5 % less at 10°.
func (m Machine) Setting(ordered measure.Tension) Setting {
	s := Setting{Ordered: ordered, Set: ordered}
	if m.Corrected {
		s.Set = m.undo(ordered)
	}
	s.Gauge = s.Set.Plus(m.Offset()).Percent(-m.barPercent())
	return s
}

// undo is what to set for the gauge to read a tension.
func (m Machine) undo(read measure.Tension) measure.Tension {
	kept := 1 - m.barPercent()/100
	return read.Percent((1/kept - 1) * 100).Minus(m.Offset())
}

// Offset is by how much the gauge read more than the machine was set to; below nought when it pulls low, none where no
// gauge was read.
func (m Machine) Offset() measure.Tension {
	if m.GaugeSet.IsZero() {
		return measure.Tension{}
	}
	return m.GaugeRead.Minus(m.GaugeSet)
}

// barPercent is what a drop weight loses through its bar.
func (m Machine) barPercent() float64 { return (1 - math.Cos(m.BarDegrees*math.Pi/180)) * 100 }

// Exact says whether the gauge should read what the machine is set to, as far as the job says.
func (m Machine) Exact() bool { return m.Offset().Value() == 0 && m.BarDegrees == 0 }

// Told says whether the job says anything of how the machine pulls.
func (m Machine) Told() bool { return m.Kind != "" || !m.GaugeSet.IsZero() }

// farFromGauge is how far the working tension may lie from the one that the gauge was read at, in kg: this program's own
// choice, for what common practice calls the working tension.
const farFromGauge = 2.0

// Cautions are what to know of the machine before pulling at some tensions. That a lockout ends 5 to 10 % lower is common
// practice of the trade.
func (m Machine) Cautions(tensions ...measure.Tension) []string {
	var out []string
	if !m.Exact() {
		out = append(out, m.offsetCaution(tensions[0]))
	}
	for _, t := range tensions {
		if g := m.GaugeSet; !g.IsZero() && math.Abs(t.In(measure.Kg)-g.In(measure.Kg)) > farFromGauge {
			out = append(out, fmt.Sprintf("the gauge was read at %s, this job pulls at %s: read it at the working tension", g, t))
			break
		}
	}
	if m.Kind == Lockout {
		out = append(out, "a lockout stops pulling at its mark: the string ends 5 to 10 % lower")
	}
	return out
}

func (m Machine) offsetCaution(t measure.Tension) string {
	s := m.Setting(t)
	what := "it is set as ordered, nothing is corrected"
	if m.Corrected {
		what = "it is set to make up for that, as the job asks"
	}
	return fmt.Sprintf("%s: %s; for %s it is set to %s and the gauge should read %s", m.Errs(), what, s.Ordered, s.Set.Short(), s.Gauge.Short())
}

// Errs says in words by how much the machine is off.
func (m Machine) Errs() string {
	name := m.Name
	if name == "" {
		name = "the machine"
	}
	text := ""
	if off := m.Offset(); !off.IsZero() {
		text = fmt.Sprintf("%s read %s on the gauge when set to %s (%s %%)", name, m.GaugeRead, m.GaugeSet, measure.Signed(m.GaugeRead.Over(m.GaugeSet), 1))
	}
	if m.BarDegrees > 0 {
		bar := fmt.Sprintf("bar rests %g° off level and pulls %.1f %% low", m.BarDegrees, m.barPercent())
		if text == "" {
			return name + "'s " + bar
		}
		text += ", and its " + bar
	}
	return text
}

func (r jobReader) machine(t *source.Table) {
	table := t.Table("machine")
	if table == nil {
		return
	}
	m := &r.j.Machine
	m.Name = table.Text("name").Value
	m.Corrected = table.Bool("corrected").Value
	m.ReachMM = r.doc.Measured("machine.reach", table.Text("reach"), measure.ParseLength, 50, 2000,
		`write the string needed from the frame to the gripper, as "400 mm"`)
	m.Step = r.tension("machine.step", table.Text("step"))
	if step := table.Text("step"); m.Step.Newtons() > mostStep {
		r.doc.Problem(step.Pos, `machine.step is %s; write what its tension is set in, as "0.1 kg"`, m.Step)
	}
	r.kind(table.Text("kind"))
	r.gauge(table.Table("gauge"))
	if bar := table.Float("bar_degrees"); bar.Given {
		m.BarDegrees = bar.Value
		switch {
		case bar.Value < 0 || bar.Value > 45:
			r.doc.Problem(bar.Pos, "machine.bar_degrees is %g; write how far from level the bar comes to rest, 0 to 45", bar.Value)
		case m.Kind != DropWeight:
			r.doc.Problem(bar.Pos, `machine.bar_degrees belongs to a drop weight; write kind = "drop weight", or take it out`)
		}
	}
	if c := table.Bool("corrected"); c.Value && m.Exact() {
		r.doc.Problem(c.Pos, `machine.corrected = true has nothing to correct; write gauge = { set = "24 kg", read = "23.4 kg" }, or take it out`)
	}
}

func (r jobReader) kind(v source.Text) {
	k := MachineKind(v.Value)
	switch k {
	case "", ConstantPull, Lockout, DropWeight:
		r.j.Machine.Kind = k
	default:
		r.doc.Problem(v.Pos, "machine.kind is %q; write %q, %q or %q", v.Value, ConstantPull, Lockout, DropWeight)
	}
}

// mostStep is the coarsest step, in newtons, that a machine can have: this program's own choice.
const mostStep = 25

// gaugeError is the most, as a share, by which a machine that still pulls can be off; more is a slip of the pen.
const gaugeError = 0.3

func (r jobReader) gauge(t *source.Table) {
	if t == nil {
		return
	}
	m := &r.j.Machine
	set, read := t.Text("set"), t.Text("read")
	m.GaugeSet, m.GaugeRead = r.tension("machine.gauge.set", set), r.tension("machine.gauge.read", read)
	switch {
	case !t.Has("set"):
		t.Missing("set", `"24 kg", what the machine was set to`)
	case !t.Has("read"):
		t.Missing("read", `"23.4 kg", what the gauge read`)
	case m.GaugeSet.IsZero() || m.GaugeRead.IsZero():
	case math.Abs(m.GaugeRead.Over(m.GaugeSet)) > gaugeError*100:
		r.doc.Problem(read.Pos, "machine.gauge.read is %s where %s was set; check number and unit", m.GaugeRead, m.GaugeSet)
	}
}
