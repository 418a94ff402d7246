package sequence

import (
	"fmt"
	"strconv"

	"pullcard/patterns"
	"pullcard/patterns/assume"
	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// Technique is what a technique sheet means: how the house strings. It is made by ReadTechnique.
type Technique struct {
	Name   string
	File   string
	Pieces int  // 1 or 2
	Around bool // one piece: the long side around the outer main
	Mount  Mounting
	Clamps Stock
	Mains  Mains
	Cross  Crosses
	Boost  Boost
	Knot   string
	TailMM float64
	// Reach is the most hole-steps of a run outside, Walk how many strands slack is walked out of; the usual where nothing
	// else is asked for, as in a plan's terms.
	Reach int
	Walk  *plan.Walk
	// Cut holds the house's allowances for cutting; the machine's reach is the job's.
	Cut grid.Practice
	// Strain is what the sheet says of machine, strings and hoop as things that give.
	Strain assume.Table
	// Walls are the wall passes by sport in mm; Cut has the one of all sports, where the sheet gives one.
	Walls map[patterns.Sport]float64

	doc  *source.Doc
	at   map[string]source.Pos
	says map[string]bool
	keys map[string]bool // all that the sheet has, by their paths

	takes map[string][]string // the words that a setting takes
}

// Says whether the sheet itself gives a setting, as "mains.lead"; what it leaves away is open.
func (t *Technique) Says(key string) bool { return t.says[key] }

// Mounting is how the frame goes on the machine and comes off.
type Mounting struct {
	Order, Release []string
	Mark           string // which way round the frame goes on
}

// Stock is how many clamps the machine has.
type Stock struct{ Fixed, Flying, Starting int }

// Mains is how the mains are pulled.
type Mains struct {
	First    patterns.Side
	Lead     int  // 1 to 3
	Overtake bool // each side runs on until it leads; otherwise the side behind runs until it is level
	Boost    int  // last mains of each side that are boosted
	Short    patterns.Side
}

// Start is how the crosses begin.
type Start string

// The three ways to begin the crosses.
const (
	StartClamp Start = "clamp"
	StartKnot  Start = "knot"
	StartSkip  Start = "skip"
)

// Crosses is how the crosses are woven and pulled.
type Crosses struct {
	From      patterns.End
	Side      patterns.Side
	Start     Start
	RepullEnd bool // after a clamp start: pull the first cross's tail at the end, not after the third cross
	Ahead     bool
	First     plan.Face // how the first cross woven passes the first main it meets; by the absolute grid when empty
	Clamps    int       // 1 or 2: the clamps that are free for the crosses
}

// Boost is what a pull before a knot gets more: a percentage, or an amount when that is not zero.
type Boost struct {
	Percent float64
	Amount  measure.Tension
}

// On is a tension with the boost.
func (b Boost) On(t measure.Tension) measure.Tension {
	if !b.Amount.IsZero() {
		return t.Plus(b.Amount)
	}
	return t.Percent(b.Percent)
}

// ReadTechnique reads a technique sheet; file is its name in messages. What the sheet leaves away has the usual value.
// The error is a source.Problems with everything that is wrong.
func ReadTechnique(file string, data []byte) (*Technique, source.Problems, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return nil, nil, err
	}
	t := &Technique{File: file, doc: doc, at: map[string]source.Pos{}, says: map[string]bool{}, keys: map[string]bool{}, takes: map[string][]string{}}
	for _, e := range source.Entries(data) {
		t.keys[e.Path] = true
	}
	root := doc.Root()
	name := root.Text("name")
	if t.Name = name.Value; !root.Has("name") {
		root.Missing("name", `"Two pieces, skip start"`)
	}
	t.Pieces = t.count("pieces", root.Int("pieces"), 2, 1, 2, "")
	t.Around = t.yes("around", root.Bool("around"), false)
	t.mount(sub(root, "mount"))
	t.clamps(sub(root, "clamps"))
	t.mains(sub(root, "mains"))
	t.crosses(sub(root, "crosses"))
	t.boost(sub(root, "boost"))
	t.tie(sub(root, "tie"))
	t.walk(sub(root, "redo"))
	t.cut(sub(root, "cut"))
	t.Strain = assume.Read(doc, root)
	warnings, err := doc.Close()
	if err != nil {
		return nil, warnings, err
	}
	return t, warnings, nil
}

// sub is a table of the sheet, an empty one where it is absent.
func sub(root *source.Table, key string) *source.Table {
	if t := root.Table(key); t != nil {
		return t
	}
	return root.Empty(key)
}

// problem is an error of the sheet at the place of one of its keys.
func (t *Technique) problem(key, format string, args ...any) source.Problem {
	return source.Problem{File: t.File, Pos: t.at[key], Text: fmt.Sprintf(format, args...)}
}

func (t *Technique) count(key string, v source.Int, usual, least, most int, why string) int {
	t.at[key], t.says[key] = v.Pos, v.Given
	for n := least; n <= most; n++ {
		t.takes[key] = append(t.takes[key], strconv.Itoa(n))
	}
	if !v.Given {
		return usual
	}
	if v.Value < least || v.Value > most {
		t.doc.Problem(v.Pos, "%s is %d; write %d to %d%s", key, v.Value, least, most, why)
	}
	return v.Value
}

// yes reads a yes or no.
func (t *Technique) yes(key string, v source.Bool, usual bool) bool {
	t.at[key], t.says[key], t.takes[key] = v.Pos, v.Given, []string{"true", "false"}
	if !v.Given {
		return usual
	}
	return v.Value
}

// choice reads one of a few words.
func (t *Technique) choice(key string, v source.Text, usual string, words ...string) string {
	t.at[key], t.says[key], t.takes[key] = v.Pos, v.Given, words
	if !v.Given {
		return usual
	}
	right := ""
	for i, w := range words {
		if v.Value == w {
			return w
		}
		right += [2]string{"", " or "}[min(i, 1)] + `"` + w + `"`
	}
	t.doc.Problem(v.Pos, "%s is %q; write %s", key, v.Value, right)
	return usual
}

func (t *Technique) side(key string, v source.Text, usual patterns.Side) patterns.Side {
	if t.choice(key, v, usual.String(), "L", "R") == "L" {
		return patterns.Left
	}
	return patterns.Right
}

func (t *Technique) mount(m *source.Table) {
	t.Mount.Order = t.supports("order", m.List("order"))
	t.Mount.Release = t.supports("release", m.List("release"))
	if t.Mount.Mark = m.Text("mark").Value; t.Mount.Mark == "" {
		t.Mount.Mark = "butt-cap mark up, head to the left"
	}
	if len(t.Mount.Release) != len(t.Mount.Order) && !t.doc.Failed() {
		t.doc.Problem(t.at["release"], "mount.release names %d supports and mount.order %d; every support that goes on comes off", len(t.Mount.Release), len(t.Mount.Order))
	}
}

// supports reads an order of supports; each is named once.
func (t *Technique) supports(key string, l source.List) []string {
	t.at[key] = l.Pos
	if !l.Given {
		return []string{"head", "throat", "outer arms"}
	}
	var out []string
	seen := map[string]bool{}
	for _, item := range l.Items {
		if item.Value == "" || seen[item.Value] {
			t.doc.Problem(item.Pos, "mount.%s: %q is empty or named twice; name each support once", key, item.Value)
		}
		seen[item.Value] = true
		out = append(out, item.Value)
	}
	if len(out) == 0 {
		t.doc.Problem(l.Pos, `mount.%s is empty; name the supports, as ["head", "throat", "outer arms"]`, key)
	}
	if key == "release" {
		for _, s := range t.Mount.Order {
			if !seen[s] {
				t.doc.Problem(l.Pos, "mount.release does not name %q, which mount.order puts on; add it", s)
			}
		}
	}
	return out
}

func (t *Technique) clamps(c *source.Table) {
	flying := c.Int("flying")
	t.Clamps.Flying = t.count("clamps.flying", flying, 0, 0, 2, " flying clamps")
	fixed := 2
	if flying.Value > 0 {
		fixed = 0
	}
	t.Clamps.Fixed = t.count("clamps.fixed", c.Int("fixed"), fixed, 0, 2, " fixed clamps")
	t.Clamps.Starting = t.count("clamps.starting", c.Int("starting"), 1, 0, 1, " starting clamp")
	if t.Clamps.Fixed > 0 && t.Clamps.Flying > 0 {
		t.doc.Problem(flying.Pos, "clamps names fixed and flying clamps; write the ones that the machine works with")
	}
}

func (t *Technique) mains(m *source.Table) {
	t.Mains.First = t.side("mains.first", m.Text("first"), patterns.Right)
	t.Mains.Lead = t.count("mains.lead", m.Int("lead"), 2, 1, 3, ", the pulls by which one side may run ahead")
	t.Mains.Overtake = t.choice("mains.then", m.Text("then"), "level", "overtake", "level") == "overtake"
	t.Mains.Boost = t.count("mains.boost", m.Int("boost"), 1, 0, 4, ", the last mains of each side that are boosted")
	t.Mains.Short = t.side("mains.short", m.Text("short"), patterns.Left)
}

func (t *Technique) crosses(c *source.Table) {
	if t.choice("crosses.from", c.Text("from"), "head", "head", "throat") == "throat" {
		t.Cross.From = patterns.Throat
	}
	t.Cross.Side = t.side("crosses.side", c.Text("side"), patterns.Left)
	t.Cross.Start = Start(t.choice("crosses.start", c.Text("start"), "clamp", "clamp", "knot", "skip"))
	t.Cross.RepullEnd = t.choice("crosses.repull", c.Text("repull"), "third", "third", "end") == "end"
	t.Cross.Clamps = t.count("crosses.clamps", c.Int("clamps"), 2, 1, 2, ", the clamps that are free for the crosses")
	t.Cross.First = plan.Face(t.choice("crosses.first", c.Text("first"), "", string(plan.Over), string(plan.Under)))
	t.Cross.Ahead = t.yes("crosses.ahead", c.Bool("ahead"), true)
}

func (t *Technique) boost(b *source.Table) {
	percent, amount := b.Float("percent"), b.Text("amount")
	t.Boost.Percent = 10
	t.says["boost"] = percent.Given || amount.Given
	if percent.Given {
		if t.Boost.Percent = percent.Value; percent.Value < 0 || percent.Value > 30 {
			t.doc.Problem(percent.Pos, "boost.percent is %g; write 0 to 30", percent.Value)
		}
	}
	if !amount.Given {
		return
	}
	a, err := measure.ParseTension(amount.Value)
	switch {
	case err != nil:
		t.doc.Problem(amount.Pos, "boost.amount: %v", err)
	case percent.Given:
		t.doc.Problem(amount.Pos, "boost.amount stands beside boost.percent; write one of them")
	case a.Newtons() > 60:
		t.doc.Problem(amount.Pos, `boost.amount is %q; a boost is 2 kg or so, at most 6 kg`, amount.Value)
	}
	t.Boost.Amount = a
}

func (t *Technique) tie(tie *source.Table) {
	if t.Knot = tie.Text("knot").Value; t.Knot == "" {
		t.Knot = "double half hitch"
	}
	if t.TailMM = 3; tie.Has("tail") {
		t.TailMM = t.doc.Measured("tie.tail", tie.Text("tail"), measure.ParseLength, 1, 50, `write 1 to 50 mm, as "3 mm"`)
	}
	if t.Reach = t.count("tie.reach", tie.Int("reach"), 0, 1, 30, ", the hole-steps that a run outside may take"); t.Reach == plan.UsualReach {
		t.Reach = 0
	}
}

// walk reads how many strands slack is walked out of before they are rather undone.
func (t *Technique) walk(redo *source.Table) {
	w := sub(redo, "walk")
	const why = ", the strands that slack is walked out of"
	walk := plan.Walk{
		Mains:   t.count("redo.walk.mains", w.Int("mains"), plan.UsualWalkMains, 0, 20, why),
		Crosses: t.count("redo.walk.crosses", w.Int("crosses"), plan.UsualWalkCrosses, 0, 20, why),
	}
	if walk != (plan.Walk{Mains: plan.UsualWalkMains, Crosses: plan.UsualWalkCrosses}) {
		t.Walk = &walk
	}
}
