package patterns

import (
	"pullcard/patterns/assume"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// Layout is what a layout file says, each value with its place; a Frame is what it means.
type Layout struct {
	doc *source.Doc

	Name, Sport, Start     source.Text
	Mains, Crosses         source.Int
	Holes, HolesRight      source.Int
	Skip, Shared           source.List
	MainsEnds              [2][2]source.List // by side and end
	CrossesEnds            [2]source.List    // by side
	TieMains, TieCrosses   source.List
	HoopTable              *source.Table
	HoopLength, HoopWidth  source.Text
	HoopShape              source.Float
	TensionMin, TensionMax source.Text
	MainPitch, CrossPitch  source.Text // measured
	Strain                 assume.Table
	measuredHoles          []measuredEntry
}

// ReadLayout reads a layout file; file is its name in messages. The warnings do not keep the frame from being used; the
// error is a source.Problems with everything that is wrong, in the order of the file.
func ReadLayout(file string, data []byte) (*Frame, source.Problems, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return nil, nil, err
	}
	f := parseLayout(doc).frame()
	warnings, err := doc.Close()
	if err != nil {
		return nil, warnings, err
	}
	return f, warnings, nil
}

func parseLayout(doc *source.Doc) *Layout {
	t := doc.Root()
	l := &Layout{
		doc: doc, Name: t.Text("name"), Sport: t.Text("sport"), Start: t.Text("start"),
		Mains: t.Int("mains"), Crosses: t.Int("crosses"), Holes: t.Int("holes"), HolesRight: t.Int("holes_right"),
		Skip: t.List("skip"), Shared: t.List("shared"),
		MainsEnds: [2][2]source.List{
			{t.List("mains_head"), t.List("mains_throat")},
			{t.List("mains_head_right"), t.List("mains_throat_right")},
		},
		CrossesEnds: [2]source.List{t.List("crosses_left"), t.List("crosses_right")},
	}
	for i, left := range l.MainsEnds[Left] {
		if !l.MainsEnds[Right][i].Given {
			l.MainsEnds[Right][i] = left
		}
	}
	if !l.CrossesEnds[Right].Given {
		l.CrossesEnds[Right] = l.CrossesEnds[Left]
	}
	if tie := t.Table("tie"); tie != nil {
		l.TieMains, l.TieCrosses = tie.List("mains"), tie.List("crosses")
	}
	if l.HoopTable = t.Table("hoop"); l.HoopTable != nil {
		h := l.HoopTable
		l.HoopLength, l.HoopWidth, l.HoopShape = h.Text("length"), h.Text("width"), h.Float("shape")
	}
	if r := t.Table("tension"); r != nil {
		l.TensionMin, l.TensionMax = r.Text("min"), r.Text("max")
	}
	l.readMeasured(t)
	l.Strain = assume.Read(doc, t)
	l.required(t)
	return l
}

func (l *Layout) required(t *source.Table) {
	for _, k := range []struct{ key, example string }{
		{"name", `"Club sixteen"`}, {"sport", `"tennis"`}, {"mains", "16"}, {"crosses", "19"}, {"start", `"head" or "throat"`},
	} {
		if !t.Has(k.key) {
			t.Missing(k.key, k.example)
		}
	}
}

// span is the range of counts that a racket of any of the sports stays well within.
const (
	minMains, maxMains     = 2, 60
	minCrosses, maxCrosses = 1, 60
)

// frame works out what the layout means; problems go to the document.
func (l *Layout) frame() *Frame {
	f := &Frame{Name: l.Name.Value, File: l.doc.File(), Shared: map[Hole]bool{}, Strain: l.Strain}
	if l.Name.Given && l.Name.Value == "" {
		l.doc.Problem(l.Name.Pos, `name is empty; write the frame's name, as "Club sixteen"`)
	}
	l.sport(f)
	l.start(f)
	l.printed(f)
	l.hoop(f)
	if !l.counts() {
		return f
	}
	r := resolver{l: l, f: f}
	r.holes()
	l.measured(f)
	r.mains()
	r.crosses()
	if !r.wrong {
		r.closes()
	}
	if !r.wrong {
		r.topology()
		r.ties()
	}
	return f
}

func (l *Layout) sport(f *Frame) {
	f.Sport = Sport(l.Sport.Value)
	switch f.Sport {
	case Tennis, Badminton, Squash, Racquetball:
	default:
		if l.Sport.Given {
			l.doc.Problem(l.Sport.Pos, "%q is no sport of this program; %s", l.Sport.Value, source.Instead(l.Sport.Value, []string{"tennis", "badminton", "squash", "racquetball"}))
		}
	}
}

func (l *Layout) start(f *Frame) {
	switch l.Start.Value {
	case "head":
		f.Start = Head
	case "throat":
		f.Start = Throat
	default:
		if l.Start.Given {
			l.doc.Problem(l.Start.Pos, `start is %q; write "head" or "throat", the end where the two centre mains loop`, l.Start.Value)
		}
	}
}

func (l *Layout) counts() bool {
	ok := l.Mains.Given && l.Crosses.Given
	if n := l.Mains; n.Given && (n.Value < minMains || n.Value > maxMains) {
		l.doc.Problem(n.Pos, "mains is %d; a racket has %d to %d", n.Value, minMains, maxMains)
		ok = false
	} else if n.Given && n.Value%2 == 1 {
		l.doc.Problem(n.Pos, "mains is %d, an odd total; the string runs from a centre loop to both sides alike, so count the mains of one side from the centre and write twice that; a frame with a main in the very centre, or with more on one side, cannot be planned here: string it by its maker's card", n.Value)
		ok = false
	}
	if n := l.Crosses; n.Given && (n.Value < minCrosses || n.Value > maxCrosses) {
		l.doc.Problem(n.Pos, "crosses is %d; a racket has %d to %d", n.Value, minCrosses, maxCrosses)
		ok = false
	}
	for _, n := range []source.Int{l.Holes, l.HolesRight} {
		if n.Given && (n.Value < 2 || n.Value > 2*maxMains+maxCrosses) {
			l.doc.Problem(n.Pos, "holes is %d; write the number of holes on one side, as 35", n.Value)
			ok = false
		}
	}
	return ok
}

func (l *Layout) printed(f *Frame) {
	lo, okLo := l.tension("min", l.TensionMin)
	hi, okHi := l.tension("max", l.TensionMax)
	switch {
	case !okLo && !okHi:
	case okLo != okHi:
		given, absent := l.TensionMin, "max"
		if okHi {
			given, absent = l.TensionMax, "min"
		}
		if !l.TensionMin.Given || !l.TensionMax.Given {
			l.doc.Problem(given.Pos, `tension.%s is missing; write both ends of the printed range, or take the range out`, absent)
		}
	case lo.Newtons() > hi.Newtons():
		l.doc.Problem(l.TensionMin.Pos, "the tension range is upside down: min %s lies above max %s; exchange them", lo, hi)
	default:
		f.Printed = &Range{lo, hi}
	}
}

func (l *Layout) tension(key string, t source.Text) (measure.Tension, bool) {
	if !t.Given {
		return measure.Tension{}, false
	}
	v, err := measure.ParseTension(t.Value)
	if err != nil {
		l.doc.Problem(t.Pos, "tension.%s: %v", key, err)
	}
	return v, err == nil
}
