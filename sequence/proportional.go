package sequence

import (
	"fmt"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// StrandTension is the tension that a job orders for a single strand.
type StrandTension struct {
	patterns.Strand
	Tension     measure.Tension
	at, valueAt source.Pos // of its name and of its tension
}

// usualLeast is the least that a strand is pulled at, in percent of what was ordered for its kind: this program's own choice.
const usualLeast = 75

// orders are the job's tensions strand by strand: by its length where the job asks for that, or as the strand is named,
// both in steps of the machine. The boost comes on top.
func (j *Job) orders(f *patterns.Frame, t *Technique) (orders, source.Problems) {
	o := newOrders(j.Mains, j.Crosses, t.Boost)
	by, problems := j.byLength(f)
	for _, own := range j.Strands {
		by[own.Strand] = j.settable(own.Tension, own.Strand.Kind)
		if !f.Has(own.Strand) {
			problems = append(problems, source.Problem{File: j.File, Pos: own.at, Text: fmt.Sprintf(
				"tension.strands names %s, which %s has not: its mains go to M%d on each side, its crosses to C%d",
				own.Strand, f.Name, len(f.Mains[patterns.Left]), len(f.Crosses))})
		}
	}
	for s, own := range by {
		o.set(s, withBoost(own, t.Boost))
	}
	return o, append(problems, j.alike(f, t, &o)...)
}

// byLength are the tensions in proportion to the strands' length, none where the job does not ask for them.
func (j *Job) byLength(f *patterns.Frame) (map[patterns.Strand]measure.Tension, source.Problems) {
	out := map[patterns.Strand]measure.Tension{}
	if !j.Proportional {
		return out, nil
	}
	g, problems := Grid(f)
	for i := range problems {
		problems[i].Text = "tension.proportional goes by the lengths of the strands: " + problems[i].Text
	}
	if problems != nil {
		return out, problems
	}
	for _, lines := range [2][]grid.Line{g.Columns, g.Rows} {
		longest := 0.0
		for _, l := range lines {
			longest = max(longest, l.MM())
		}
		for _, l := range lines {
			out[l.Strand] = j.share(l.Kind, l.MM()/longest)
		}
	}
	return out, nil
}

func (j *Job) ordered(k patterns.Kind) measure.Tension {
	if k == patterns.Main {
		return j.Mains
	}
	return j.Crosses
}

// share is a part of what was ordered for a kind of strand, in steps of the machine; the whole stays as it was ordered.
func (j *Job) share(k patterns.Kind, part float64) measure.Tension {
	whole := j.ordered(k)
	exact := whole.Percent((part - 1) * 100)
	if exact == whole {
		return whole
	}
	if t := j.settable(exact, k); t.Value() < whole.Value() {
		return t
	}
	return whole
}

// settable is a tension in steps of the machine, no less than the least of its kind.
func (j *Job) settable(t measure.Tension, k patterns.Kind) measure.Tension {
	step, least := j.step(t.Unit()), j.least(k).To(t.Unit())
	if t = t.Rounded(step); t.Value() < least.Value() {
		return least.RoundedUp(step)
	}
	return t
}

// least is the least that a strand of a kind may be pulled at.
func (j *Job) least(k patterns.Kind) measure.Tension {
	return j.ordered(k).Percent(j.LeastPercent - 100)
}

// step is what the machine's tension is set in: as the job says, or what machines usually have.
func (j *Job) step(u measure.Unit) measure.Tension {
	if s := j.Machine.Step; !s.IsZero() {
		return s
	}
	return u.Step()
}

// Grid is where the strings of a frame lie, as measured or most even, or what is missing of its hoop or impossible.
func Grid(f *patterns.Frame) (g *grid.Grid, problems source.Problems) {
	g, err := grid.New(f, f.Measured)
	if err == nil {
		return g, nil
	}
	for line := range strings.SplitSeq(err.Error(), "\n") {
		problems = append(problems, source.Problem{File: f.File, Pos: f.HoopAt, Text: line})
	}
	return nil, problems
}
