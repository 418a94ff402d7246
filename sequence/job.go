package sequence

import (
	"math"
	"slices"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/assume"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// Job is what a job file says: whose racket, which frame and technique, and how hard. It is made by ReadJob.
type Job struct {
	File           string
	Player, Racket string
	// Frame and Technique name a built-in file or a path, relative to the job's file.
	Frame, Technique source.Text
	Mains, Crosses   measure.Tension
	// Proportional asks for tensions that fall with the strands' length; no strand gets less than LeastPercent of what was
	// ordered for its kind.
	Proportional bool
	LeastPercent float64
	// Strands are the tensions of single strands, in the order of their names.
	Strands []StrandTension
	// StringMains and StringCrosses are what is strung; the crosses' is the mains' when it is left away.
	StringMains, StringCrosses String
	Machine                    Machine
	// Strain is what the job says of machine, strings and hoop as things that give.
	Strain assume.Table

	mainsAt, crossesAt, stringCrossesAt source.Pos
}

// String is a product of string.
type String struct {
	Name          string
	DiameterMM    float64 // 0 when not given
	GramsPerMetre float64 // 0 when not given
	Material      Material
	// StretchPercent is by how much the string is stretched before it is threaded, 0 for not at all.
	StretchPercent float64
	// Supply is what it is cut from.
	Supply Supply
}

// Material is what a string is made of.
type Material string

// Materials lists the known materials.
func Materials() []string { return []string{"polyester", "nylon", "gut", "aramid"} }

// ReadJob reads a job file; file is its name in messages. The error is a source.Problems with everything that is wrong;
// the job beside it then tells at least which frame and technique are meant, unless the file is no TOML.
func ReadJob(file string, data []byte) (*Job, source.Problems, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return nil, nil, err
	}
	t := doc.Root()
	j := &Job{File: file, Player: t.Text("player").Value, Racket: t.Text("racket").Value, Frame: t.Text("frame"), Technique: t.Text("technique")}
	if !t.Has("frame") {
		t.Missing("frame", `"club-sixteen", the name of a built-in layout or a path`)
	}
	if !t.Has("technique") {
		t.Missing("technique", `"two-piece-skip", the name of a built-in technique sheet or a path`)
	}
	r := jobReader{doc, j}
	r.tensions(t)
	r.strings(t)
	r.machine(t)
	r.settable()
	j.Strain = assume.Read(doc, t)
	warnings, err := doc.Close()
	return j, warnings, err
}

// Plan makes the plan of the job by its frame and technique. The error is a source.Problems.
func (j *Job) Plan(f *patterns.Frame, t *Technique) (*plan.Plan, error) {
	o, problems := j.orders(f, t)
	if t.Pieces == 1 && j.StringCrosses != j.StringMains {
		problems = append(problems, source.Problem{File: j.File, Pos: j.stringCrossesAt,
			Text: "one piece is strung with one string, and string.crosses is another than string.mains; take [string.crosses] out, or choose a technique sheet with pieces = 2"})
	}
	if problems = append(problems, fits(f, t)...); problems != nil {
		return nil, problems.Sorted()
	}
	return build(f, t, o, [2]float64{j.StringMains.StretchPercent, j.StringCrosses.StretchPercent})
}

type jobReader struct {
	doc *source.Doc
	j   *Job
}

func (r jobReader) tensions(t *source.Table) {
	table := t.Table("tension")
	if table == nil {
		if !t.Has("tension") {
			r.doc.Problem(t.Pos(), `tension is missing; write [tension] and below it mains = "24 kg"`)
		}
		return
	}
	mains, crosses := table.Text("mains"), table.Text("crosses")
	if !table.Has("mains") {
		table.Missing("mains", `"24 kg"`)
	}
	r.j.Proportional = table.Bool("proportional").Value
	r.least(table.Text("least"))
	r.strandTensions(table.Table("strands"))
	r.j.Mains, r.j.mainsAt = r.tension("tension.mains", mains), mains.Pos
	r.j.Crosses, r.j.crossesAt = r.j.Mains, mains.Pos
	if crosses.Given {
		r.j.Crosses, r.j.crossesAt = r.tension("tension.crosses", crosses), crosses.Pos
	}
}

func (r jobReader) least(v source.Text) {
	if r.j.LeastPercent = usualLeast; v.Given {
		r.j.LeastPercent = r.doc.Measured("tension.least", v, measure.ParsePercent, 0, 100, `write 0 to 100 %, as "75 %"`)
	}
}

// strandTensions reads the tensions of single strands.
func (r jobReader) strandTensions(t *source.Table) {
	if t == nil {
		return
	}
	for _, name := range t.Keys() {
		v := t.Text(name.Value)
		s, err := patterns.ParseStrand(name.Value)
		if err != nil {
			r.doc.Problem(name.Pos, "tension.strands: %v", err)
			continue
		}
		own := StrandTension{s, r.tension("tension.strands."+name.Value, v), name.Pos, v.Pos}
		if !own.Tension.IsZero() {
			r.j.Strands = append(r.j.Strands, own)
		}
	}
	slices.SortFunc(r.j.Strands, func(a, b StrandTension) int { return strings.Compare(a.Strand.String(), b.Strand.String()) })
}

// settable checks that what is worked out or named for single strands can be set on the machine and is not far too low.
func (r jobReader) settable() {
	j := r.j
	unit := func(key string, t measure.Tension, at source.Pos) {
		if step := j.Machine.Step; !step.IsZero() && !t.IsZero() && t.Unit() != step.Unit() {
			r.doc.Problem(at, "%s is in %s and machine.step in %s; write both in the unit that the machine is set in", key, t.Unit(), step.Unit())
		}
	}
	if j.Proportional {
		unit("tension.mains", j.Mains, j.mainsAt)
		if j.crossesAt != j.mainsAt {
			unit("tension.crosses", j.Crosses, j.crossesAt)
		}
	}
	for _, s := range j.Strands {
		key := "tension.strands." + s.Strand.String()
		unit(key, s.Tension, s.valueAt)
		if least := j.least(s.Kind); s.Tension.Newtons() < least.Newtons() {
			r.doc.Problem(s.valueAt, "%s is %s, less than %g %% of %s; write %s or more, or a lower tension.least", key, s.Tension, j.LeastPercent, j.ordered(s.Kind), least)
		}
	}
}

func (r jobReader) tension(key string, v source.Text) measure.Tension {
	if !v.Given {
		return measure.Tension{}
	}
	t, err := measure.ParseTension(v.Value)
	switch {
	case err != nil:
		r.doc.Problem(v.Pos, "%s: %v", key, err)
	case t.Newtons() > 1000:
		r.doc.Problem(v.Pos, "%s is %s; no racket is pulled above 1000 N, so check number and unit", key, t)
	}
	return t
}

func (r jobReader) strings(t *source.Table) {
	table := t.Table("string")
	if table == nil {
		return
	}
	if m := table.Table("mains"); m != nil {
		r.j.StringMains = r.product(m)
	}
	r.j.StringCrosses = r.j.StringMains
	if c := table.Table("crosses"); c != nil {
		r.j.StringCrosses, r.j.stringCrossesAt = r.product(c), c.Pos()
	}
}

func (r jobReader) product(t *source.Table) String {
	s := String{Name: t.Text("name").Value, Supply: r.supply(t)}
	s.DiameterMM = r.doc.Measured("diameter", t.Text("diameter"), measure.ParseLength, 0.4, 2, `a string measures 0.4 to 2 mm, as "1.25 mm"`)
	s.GramsPerMetre = r.doc.Measured("mass", t.Text("mass"), measure.ParseLinearMass, 0, math.Inf(1), "")
	s.StretchPercent = r.doc.Measured("prestretch", t.Text("prestretch"), measure.ParsePercent, 0, 30, `a string is stretched by 0 to 30 %, as "10 %"`)
	if m := t.Text("material"); m.Given {
		s.Material = Material(m.Value)
		if !slices.Contains(Materials(), m.Value) {
			r.doc.Problem(m.Pos, "material %q is not known; %s", m.Value, source.Instead(m.Value, Materials()))
		}
	}
	return s
}
