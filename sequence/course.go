package sequence

import (
	"fmt"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/sequence/plan"
)

// Courses are a plan's pieces of string as they lie in the frame that the plan was made for, in the order in which they
// are begun: mains and crosses, or the whole. Of a piece that is strung to both sides the arm on the left, in one piece
// the short one, comes first. It fails when the plan is not of this frame. It holds for a plan without mishaps.
func Courses(f *patterns.Frame, p *plan.Plan) ([]grid.Course, error) {
	c := courser{f: f, chords: map[plan.Strand]patterns.Chord{}, lines: map[plan.Piece]*line{}, tied: map[plan.Strand]bool{}}
	for _, chord := range append(f.Columns(), f.Crosses...) {
		c.chords[strand(chord.Strand)] = chord
	}
	for i := range p.Steps {
		for j := range p.Steps[i].Ops {
			if err := c.op(&p.Steps[i].Ops[j]); err != nil {
				return nil, fmt.Errorf("step %d: %w", p.Steps[i].N, err)
			}
		}
	}
	var out []grid.Course
	for _, name := range c.order {
		out = append(out, c.lines[name].course(name, &p.Terms))
	}
	return out, nil
}

// courser lays pieces op by op.
type courser struct {
	f      *patterns.Frame
	chords map[plan.Strand]patterns.Chord
	lines  map[plan.Piece]*line
	order  []plan.Piece
	tied   map[plan.Strand]bool // before it is laid only by a starting knot
}

// line is a piece of string: the strand laid first and what was joined to where it comes in and to where it goes out.
type line struct {
	first   laid
	arms    [2][]laid // joined to the first strand's entry and to its exit
	knotted bool
}

// laid is a strand with the holes where the string comes in and goes out.
type laid struct {
	strand   patterns.Strand
	from, to patterns.Hole
}

func (c *courser) op(o *plan.Op) error {
	switch o.Op {
	case plan.Tie:
		c.tied[o.Strand] = true
	case plan.Thread, plan.Weave:
		return c.lay(o)
	}
	return nil
}

func (c *courser) lay(o *plan.Op) error {
	chord, ok := c.chords[o.Strand]
	if !ok {
		return fmt.Errorf("the frame %s has no strand %s", c.f.Name, o.Strand)
	}
	l := laid{chord.Strand, chord.Ends[0], chord.Ends[1]}
	if from, err := patterns.ParseRef(string(o.From)); err != nil {
		return err
	} else if hole, _ := c.f.Hole(from); hole == l.to {
		l.from, l.to = l.to, l.from
	} else if hole != l.from {
		return fmt.Errorf("%s of the frame %s has no end at %s", o.Strand, c.f.Name, o.From)
	}
	at := c.lines[o.Piece]
	if at == nil {
		c.lines[o.Piece] = &line{first: l, knotted: c.tied[o.Strand]}
		c.order = append(c.order, o.Piece)
		return nil
	}
	arm := at.arm(c.f, o.After, l.from)
	if arm < 0 {
		return fmt.Errorf("%s follows %s, which is no end of the string", o.Strand, o.After)
	}
	at.arms[arm] = append(at.arms[arm], l)
	return nil
}

// arm is the arm whose end hangs out of a strand, -1 for none. From a strand that has both ends the nearer one is taken.
func (l *line) arm(f *patterns.Frame, after plan.Strand, to patterns.Hole) int {
	best, least := -1, 0
	for i := range l.arms {
		end, hole := l.end(i)
		if strand(end.strand) != after {
			continue
		}
		way := max(f.Pos(hole)-f.Pos(to), f.Pos(to)-f.Pos(hole))
		way = min(way, f.Total()-way)
		if best < 0 || way < least {
			best, least = i, way
		}
	}
	return best
}

// end is the last strand of an arm and the hole where the string hangs out.
func (l *line) end(arm int) (laid, patterns.Hole) {
	if n := len(l.arms[arm]); n > 0 {
		return l.arms[arm][n-1], l.arms[arm][n-1].to
	}
	if arm == 0 {
		return l.first, l.first.from
	}
	return l.first, l.first.to
}

// course writes the line down from its loop outwards. The loop is the run at the first strand's entry; where nothing was
// joined there the piece is strung from one end.
func (l *line) course(name plan.Piece, t *plan.Terms) grid.Course {
	out := grid.Course{Name: string(name)}
	on := append([]laid{l.first}, l.arms[1]...)
	back := l.arms[0]
	out.Arms = [2]grid.Arm{arm("long end", on), arm("start", back)}
	out.Arms[1].Knotted = l.knotted
	if len(back) == 0 {
		return out
	}
	out.Loop = &[2]patterns.Hole{l.first.from, back[0].from}
	switch {
	case name == plan.PieceCrosses:
		out.Arms[1].Name = "short end"
		return out
	case name == plan.PieceMains:
		out.Arms[0].Name, out.Arms[1].Name = sideWord(l.first.strand.Side), sideWord(back[0].strand.Side)
	default:
		out.Arms[0].Name, out.Arms[1].Name = armWord(l.first, t), armWord(back[0], t)
	}
	if first := out.Arms[0].Name; first == sideWord(patterns.Right) || first == longArm {
		out.Arms[0], out.Arms[1] = out.Arms[1], out.Arms[0]
		out.Loop[0], out.Loop[1] = out.Loop[1], out.Loop[0]
	}
	return out
}

const longArm = "long side"

func armWord(l laid, t *plan.Terms) string {
	if l.strand.Side.String() == t.Short {
		return "short side"
	}
	return longArm
}

func arm(name string, strands []laid) grid.Arm {
	a := grid.Arm{Name: name}
	for i, l := range strands {
		a.Spans = append(a.Spans, l.strand)
		if i > 0 {
			a.Runs = append(a.Runs, [2]patterns.Hole{strands[i-1].to, l.from})
		}
	}
	return a
}
