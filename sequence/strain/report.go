package strain

import (
	"fmt"
	"math"

	"pullcard/patterns/measure"
	"pullcard/sequence/report"
)

// Report tells a course in words, tensions in a unit.
func (c *Course) Report(unit measure.Unit) []report.Section {
	return []report.Section{c.sayHoop(), c.sayLoads(), c.sayStrands(unit)}
}

func (c *Course) sayHoop() report.Section {
	s := report.Section{Head: "HOOP, against unstrung"}
	for _, z := range c.Hoop {
		s.Say("after %-9s %s", z.After, z.Words())
	}
	if c.Beyond {
		s.Warn(fmt.Sprintf("the hoop moves by %.1f mm: more than %g mm is beyond this model, take the figures as a sign only", c.MostMM, beyondMM))
	}
	for _, over := range c.Over() {
		s.Warn(over.Words())
	}
	return s
}

// Words is "1.2 mm shorter, 1.9 mm wider".
func (z Size) Words() string {
	way := func(mm float64, more, less string) string {
		if math.Abs(mm) < .05 {
			return "as " + map[bool]string{true: "long", false: "wide"}[more == "longer"]
		}
		if mm > 0 {
			return fmt.Sprintf("%.1f mm %s", mm, more)
		}
		return fmt.Sprintf("%.1f mm %s", -mm, less)
	}
	return way(z.LengthMM, "longer", "shorter") + ", " + way(z.WidthMM, "wider", "narrower")
}

func (c *Course) sayLoads() report.Section {
	s := report.Section{Head: "LOADS, the largest"}
	for _, p := range c.Supports {
		s.Say("support, %s %.0f N in step %d", p.Support, p.Newtons, p.Step)
	}
	s.Say("bending of the tube %.1f N·m in step %d near %s", c.Bending.Nm, c.Bending.Step, c.Bending.Hole)
	return s
}

func (c *Course) sayStrands(unit measure.Unit) report.Section {
	s := report.Section{Head: fmt.Sprintf("STRANDS in %s: ordered, pulled; on the machine, off it, a day later; where it went", unit)}
	in := func(n float64) float64 { return measure.Newtons(n).In(unit) }
	by := func(n float64) string { return measure.Signed(in(n), 1) }
	for _, x := range c.Strands {
		l, tell, slack := x.Lost, s.Add, ""
		if x.Slack {
			tell, slack = s.Warn, ", SLACK"
		}
		tell(fmt.Sprintf("%-4s %5.1f %5.1f  %5.1f %5.1f %5.1f  hoop %s weaving %s clamp %s friction %s knot %s creep %s%s", x.Name, in(x.Ordered), in(x.Pulled),
			in(x.OnMachine), in(x.OffMachine), in(x.AfterDay), by(l.Hoop), by(l.Weaving), by(l.Drawback), by(l.Friction), by(l.Knot), by(l.Creep), slack))
	}
	return s
}

// Over is a step in which a support is loaded above the house's limit.
type Over struct {
	Step          int // of the plan
	Support       string
	Newtons, Most float64
}

// Words says so before the step, "the support head will carry 912 N in step 20, more than the 800 N of the sheet".
func (o Over) Words() string {
	return fmt.Sprintf("the support %s will carry %.0f N in step %d, above the limit of %.0f N", o.Support, o.Newtons, o.Step, o.Most)
}

// Over are the steps in which the load goes above the limit that is set, and again where it goes well above what was announced; none
// without a limit.
func (c *Course) Over() (out []Over) {
	const well = 1.02
	most, told := c.Model.Numbers.Limit, c.Model.Numbers.Limit
	for i, at := range c.At {
		if most > 0 && at.SupportN > told {
			out = append(out, Over{i + 1, at.Support, at.SupportN, most})
			told = well * at.SupportN
		}
	}
	return out
}
