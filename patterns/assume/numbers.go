package assume

import (
	"fmt"
	"strconv"
)

// Numbers are the numbers that hold, in N, mm and seconds; the doc of each Key says what it is.
type Numbers struct {
	EI, EA, Yoke       float64
	StringEA           float64 // nought where the material's holds, and it was not set to nought
	StiffStrings       bool    // whether StringEA was said, be it nought
	Friction           float64
	Turn               float64 // radians
	Drawback, Knot     float64
	Creep              [2]float64 // share of the tension in the first day, of mains and of crosses
	Pace               float64
	Weaving            float64
	Support, Hold, Gap float64
	Limit              float64
	Mount, Pull        string
}

// Line is one number as it is shown: what it is, its value with its unit, and where that comes from.
type Line struct {
	Key    string `json:"key"`
	What   string `json:"what"`
	Value  string `json:"value"`
	Source string `json:"source"`
}

// String tells it in a line.
func (l Line) String() string { return fmt.Sprintf("%s %s: %s (%s)", l.Key, l.Value, l.What, l.Source) }

// Of are the numbers of a table for a sport and the materials of mains and crosses, with the mount and the way of pulling that
// hold where the table does not say.
func (t Table) Of(sport string, materials [2]string, mount, pull string) Numbers {
	v := func(key Key, kind int) float64 {
		for _, n := range numbers(sport, materials[kind]) {
			if n.key == key {
				if s, ok := t.numbers[key]; ok {
					return s.v * n.per
				}
				return n.usual * n.per
			}
		}
		return 0
	}
	_, said := t.numbers[StringEA]
	out := Numbers{
		EI: v(EI, 0), EA: v(EA, 0), Yoke: v(Yoke, 0), StringEA: v(StringEA, 0), StiffStrings: said, Friction: v(Friction, 0),
		Turn: v(Turn, 0) / degrees, Drawback: v(Drawback, 0), Knot: v(Knot, 0), Creep: [2]float64{v(Creep, 0) / 100, v(Creep, 1) / 100},
		Pace: v(Pace, 0), Weaving: v(Weaving, 0), Support: v(Support, 0), Hold: v(Hold, 0), Gap: v(Gap, 0), Limit: v(Limit, 0),
		Mount: t.mount.text, Pull: t.pull.text,
	}
	if out.Mount == "" {
		out.Mount = mount
	}
	if out.Pull == "" {
		out.Pull = pull
	}
	return out
}

const degrees = 57.29577951308232 // in a radian

// Lines are the numbers as they are shown, in their order, each with where it comes from.
func (t Table) Lines(sport string, materials [2]string, mount, pull string) (out []Line) {
	for _, n := range numbers(sport, materials[0]) {
		l := Line{string(n.key), n.what, show(n.usual, n.unit), n.source}
		switch s, ok := t.numbers[n.key]; {
		case ok:
			l.Value, l.Source = show(s.v, n.unit), s.at
		case n.key == StringEA:
			l.Value = "as the material's"
		case n.key == Limit:
			l.Value = "none"
		case n.key == Creep && materials[0] != materials[1]:
			other := numbers(sport, materials[1])
			for _, o := range other {
				if o.key == Creep {
					l.Value += " mains, " + show(o.usual, o.unit) + " crosses"
				}
			}
		}
		out = append(out, l)
	}
	word := func(key, what string, s said, usual, source string) {
		l := Line{key, what, usual, source}
		if s.text != "" {
			l.Value, l.Source = s.text, s.at
		}
		out = append(out, l)
	}
	word("mount", "points of the mount", t.mount, mount, "as the sheet's supports say")
	word("pull", "how the machine pulls", t.pull, pull, "as the job's machine says, constant pull where it does not")
	return append(out, simplified()...)
}

// simplified is what the model makes simpler than it is, which no number sets.
func simplified() (out []Line) {
	for _, s := range [][2]string{
		{"hoop", "displacements are small: loads act where the holes were unstrung; a flat frame, no tube is bent out of the plane"},
		{"strand", "one spring after its pull, which acts on both its holes with the mean of its tension and keeps how that falls along it"},
		{"crossing", "main and cross share both their half diameters as their tensions stand, to the first order; the sideways force stays between them"},
		{"outside", "string runs on round half a turn of the hoop, never to the strand that is the less tight as a whole"},
		{"clamp", "a fixed one stands still with the machine; what a clamp or a knot gives, it gives when it takes the load"},
		{"time", "creep goes with the logarithm of time from the pull on; constant pull makes up for it while it pulls"},
	} {
		out = append(out, Line{s[0], s[1], "simplified", "how this model has it"})
	}
	return out
}

func show(v float64, unit string) string {
	text := strconv.FormatFloat(v, 'f', -1, 64)
	if unit == "" {
		return text
	}
	return fmt.Sprintf("%s %s", text, unit)
}

// Range is how far a number may be from what it is taken to be.
type Range struct {
	Key       Key
	Low, High float64 // in the unit in which it is written
}

// Ranges are those of every number that nobody measured for this job, EI's left out: what stands in a file is taken as known.
func (t Table) Ranges(sport, material string) (out []Range) {
	for _, n := range numbers(sport, material) {
		if _, said := t.numbers[n.key]; !said && n.key != EI && n.low < n.high {
			out = append(out, Range{n.key, n.low, n.high})
		}
	}
	return out
}
