package sequence

import (
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// Job is what a job file says: whose racket, which frame and technique, and how hard. It is made by ReadJob.
type Job struct {
	File           string
	Player, Racket string
	// Frame and Technique name a built-in file or a path, relative to the job's file.
	Frame, Technique source.Text
	Mains, Crosses   measure.Tension
	// StringMains and StringCrosses are what is strung; the crosses' is the mains' when it is left away.
	StringMains, StringCrosses String
	Machine                    Machine

	mainsAt, crossesAt source.Pos
}

// String is a product of string.
type String struct {
	Name          string
	DiameterMM    float64 // 0 when not given
	GramsPerMetre float64 // 0 when not given
	Material      Material
}

// Material is what a string is made of.
type Material string

// Materials lists the known materials.
func Materials() []string { return []string{"polyester", "nylon", "gut", "aramid"} }

// Machine is the machine that the job is strung on.
type Machine struct {
	Name    string
	ReachMM float64 // string needed from the frame to the gripper, 0 when not given
}

// ReadJob reads a job file; file is its name in messages. The error is a source.Problems with everything that is wrong.
func ReadJob(file string, data []byte) (*Job, source.Problems, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return nil, nil, err
	}
	t := doc.Root()
	j := &Job{File: file, Player: t.Text("player").S, Racket: t.Text("racket").S, Frame: t.Text("frame"), Technique: t.Text("technique")}
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
	warnings, err := doc.Close()
	if err != nil {
		return nil, warnings, err
	}
	return j, warnings, nil
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
	r.j.Mains, r.j.mainsAt = r.tension("mains", mains), mains.Pos
	r.j.Crosses, r.j.crossesAt = r.j.Mains, mains.Pos
	if crosses.Given {
		r.j.Crosses, r.j.crossesAt = r.tension("crosses", crosses), crosses.Pos
	}
}

func (r jobReader) tension(key string, v source.Text) measure.Tension {
	if !v.Given {
		return measure.Tension{}
	}
	t, err := measure.ParseTension(v.S)
	switch {
	case err != nil:
		r.doc.Problem(v.Pos, "tension.%s: %v", key, err)
	case t.Newtons() > 1000:
		r.doc.Problem(v.Pos, "tension.%s is %s; no racket is pulled above 1000 N, so check number and unit", key, t)
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
		r.j.StringCrosses = r.product(c)
	}
}

func (r jobReader) product(t *source.Table) String {
	s := String{Name: t.Text("name").S}
	if d := t.Text("diameter"); d.Given {
		mm, err := measure.ParseLength(d.S)
		if err != nil {
			r.doc.Problem(d.Pos, "diameter: %v", err)
		} else if mm < 0.4 || mm > 2 {
			r.doc.Problem(d.Pos, `diameter is %q; a string measures 0.4 to 2 mm, as "1.25 mm"`, d.S)
		}
		s.DiameterMM = mm
	}
	if m := t.Text("mass"); m.Given {
		g, err := measure.ParseLinearMass(m.S)
		if err != nil {
			r.doc.Problem(m.Pos, "mass: %v", err)
		}
		s.GramsPerMetre = g
	}
	if m := t.Text("material"); m.Given {
		s.Material = Material(m.S)
		if near := source.Nearest(m.S, Materials()); near != m.S {
			r.doc.Problem(m.Pos, "material is %q; write polyester, nylon, gut or aramid", m.S)
		}
	}
	return s
}

func (r jobReader) machine(t *source.Table) {
	table := t.Table("machine")
	if table == nil {
		return
	}
	r.j.Machine.Name = table.Text("name").S
	if v := table.Text("reach"); v.Given {
		mm, err := measure.ParseLength(v.S)
		if err != nil {
			r.doc.Problem(v.Pos, "machine.reach: %v", err)
		} else if mm < 50 || mm > 2000 {
			r.doc.Problem(v.Pos, `machine.reach is %q; write the string needed from the frame to the gripper, as "400 mm"`, v.S)
		}
		r.j.Machine.ReachMM = mm
	}
}
