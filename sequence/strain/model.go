package strain

import (
	"fmt"
	"math"
	"slices"

	"pullcard/patterns"
	"pullcard/patterns/assume"
	"pullcard/patterns/grid"
	"pullcard/patterns/hoop"
	"pullcard/patterns/mechanics"
)

// Model is a frame as an elastic body with the strings that are put in, worked out once for any number of plans. It is not
// changed by playing, so plans may be played on it at the same time.
type Model struct {
	Grid    *grid.Grid
	Numbers assume.Numbers
	// Between is called before each step that is played, which waits until it returns; nil for nothing.
	Between func()

	hoop     *hoop.Hoop
	flex     []float64 // by two actions: patterns/hoop's Flex in one row after the other
	bending  []float64 // by named node and action
	moves    []float64 // by named node, axis and action
	actions  int
	cords    []cord
	meets    []crossing
	high     float64 // by how much main and cross stand apart where they cross: half of both diameters, mm
	supports []support
	names    []string  // of the named nodes: a hole, or what lies there
	alongN   []float64 // by action: how much of a unit points to the head
}

// cord is a strand of the frame: its actions are 2i and 2i+1 for the i-th.
type cord struct {
	patterns.Strand
	name string
	kind int     // 0 for a main, 1 for a cross
	k    float64 // N/mm
}

// crossing is where a main and a cross meet.
type crossing struct{ main, cross int }

// Strings are the strings of mains and crosses.
type Strings struct{ Mains, Crosses mechanics.Yarn }

func (s Strings) of(kind int) mechanics.Yarn {
	if kind == 0 {
		return s.Mains
	}
	return s.Crosses
}

// still is the share to which the figures of the hoop stand still.
const still = 1e-3

// stiffTube is the EA in N of a tube that does not stretch.
const stiffTube = 1e8

// soft is the stiffness in N/mm of a string that keeps its tension whatever its ends do, hard what a support that does not give
// gives, in mm/N.
const (
	soft = 1e-6
	hard = 1e-9
)

// New works a frame out on its grid. The grid's frame has a hoop; the error is that of an impossible one.
func New(g *grid.Grid, s Strings, n assume.Numbers) (*Model, error) {
	m := &Model{Grid: g, Numbers: n}
	for _, l := range slices.Concat(g.Columns, g.Rows) {
		c := cord{Strand: l.Strand, name: l.Strand.String(), kind: int(l.Strand.Kind), k: soft}
		ea := n.StringEA
		if !n.StiffStrings {
			yarn, err := s.of(c.kind).Cord(0)
			if err != nil {
				return nil, fmt.Errorf("string the hoop: %w", err)
			}
			ea = yarn.EAN
		}
		if ea > 0 {
			c.k = ea / l.MM()
		}
		m.cords = append(m.cords, c)
	}
	m.weave(s)
	if m.supports = mount(n.Mount); m.supports == nil && n.Mount != assume.Free {
		return nil, fmt.Errorf("a mount of %q points is not known", n.Mount)
	}
	if err := m.condenseTo(still); err != nil {
		return nil, err
	}
	return m, nil
}

// weave notes which strands meet.
func (m *Model) weave(s Strings) {
	m.high = (s.Mains.DiameterMM + s.Crosses.DiameterMM) / 2
	f := m.Grid.Frame
	mains := len(f.Columns())
	for j, c := range f.Crosses {
		for _, column := range f.Met(c) {
			m.meets = append(m.meets, crossing{column - 1, mains + j})
		}
	}
}

// condenseTo works the hoop out once, until its figures stand still to a share. One that does not bend gives nowhere.
func (m *Model) condenseTo(share float64) error {
	n := m.Numbers
	tube := hoop.Tube{Section: hoop.Section{EI: n.EI, EA: n.EA}, Yoke: n.Yoke}
	rigid := n.EI == 0
	if rigid { // any hoop will do
		tube.EI, share = 1e8, 1
	}
	if tube.Yoke == 0 {
		tube.Yoke = 1
	}
	if tube.EA == 0 {
		tube.EA = stiffTube
	}
	angles := make([]float64, len(m.supports))
	for i, s := range m.supports {
		angles[i] = s.angle
	}
	h, c, err := hoop.Converge(func(most float64) *hoop.Hoop { return hoop.Lay(m.Grid, tube, angles, most) }, m.act, share)
	if err != nil {
		return fmt.Errorf("work out the hoop: %w", err)
	}
	m.hoop, m.actions, m.alongN, m.names = h, c.Flex.SymmetricDim(), nil, nil
	for _, a := range m.act(h) {
		_, along, _ := h.Turn(a)
		m.alongN = append(m.alongN, along)
	}
	m.flex = make([]float64, m.actions*m.actions)
	m.bending = make([]float64, len(h.Named)*m.actions)
	m.moves = make([]float64, 2*len(h.Named)*m.actions)
	for j := range m.actions {
		for i := range m.actions {
			if !rigid {
				m.flex[i*m.actions+j] = c.Flex.At(i, j)
			}
		}
		for i := range h.Named {
			m.bending[i*m.actions+j] = c.Bending.At(i, j)
			if !rigid {
				m.moves[2*i*m.actions+j], m.moves[(2*i+1)*m.actions+j] = c.Moves.At(2*i, j), c.Moves.At(2*i+1, j)
			}
		}
	}
	m.name()
	return nil
}

// The actions in their order: two for each strand, inwards along it at the hole that its chord names first and at the other; for
// each support its push and, turned to the left, its hold; length and width, which nothing ever loads.
func (m *Model) act(h *hoop.Hoop) (out []hoop.Action) {
	for i, l := range slices.Concat(m.Grid.Columns, m.Grid.Rows) {
		ends := m.chord(i).Ends
		for e, hole := range ends {
			node, _ := h.Hole(hole)
			p, q, mm := l.Ends[e], l.Ends[1-e], l.MM()
			out = append(out, hoop.Action{{Node: node, X: (q.X - p.X) / mm, Y: (q.Y - p.Y) / mm}})
		}
	}
	for i, s := range m.supports {
		node := h.Supports[i]
		d := m.Grid.Shape.Outwards(h.Nodes[node])
		if !s.inside {
			d = grid.Point{X: -d.X, Y: -d.Y}
		}
		out = append(out, hoop.Action{{Node: node, X: d.X, Y: d.Y}}, hoop.Action{{Node: node, X: -d.Y, Y: d.X}})
	}
	return append(out,
		hoop.Action{{Node: h.Head, Y: 1}, {Node: 0, Y: -1}},
		hoop.Action{{Node: h.Right, X: 1}, {Node: h.Left, X: -1}})
}

func (m *Model) chord(i int) patterns.Chord {
	f := m.Grid.Frame
	if columns := f.Columns(); i < len(columns) {
		return columns[i]
	}
	return f.Crosses[i-len(f.Columns())]
}

// push and hold are the actions of a support, length and width those of the hoop's size.
func (m *Model) push(support int) int { return 2*len(m.cords) + 2*support }
func (m *Model) hold(support int) int { return m.push(support) + 1 }
func (m *Model) length() int          { return m.actions - 2 }
func (m *Model) width() int           { return m.actions - 1 }

// name gives every named node a name that a stringer can find.
func (m *Model) name() {
	at := map[int]string{0: "throat", m.hoop.Head: "head", m.hoop.Left: "left side", m.hoop.Right: "right side"}
	for i, s := range m.supports {
		at[m.hoop.Supports[i]] = s.name
	}
	f := m.Grid.Frame
	for _, c := range slices.Concat(f.Columns(), f.Crosses) {
		for _, hole := range c.Ends {
			if node, ok := m.hoop.Hole(hole); ok {
				at[node] = f.HoleName(hole)
			}
		}
	}
	for _, node := range m.hoop.Named {
		m.names = append(m.names, at[node])
	}
}

// pitch is how far apart the strands are that a strand of a kind crosses.
func (m *Model) pitch(kind int) float64 {
	if kind == 0 {
		return m.Grid.CrossPitchMM
	}
	return m.Grid.MainPitchMM
}

// kept is the share of a strand's tension that creep has taken so long after the pull: with the logarithm of time, so that Creep of
// it is gone after a day.
func (m *Model) crept(kind int, seconds float64) float64 {
	const first = 60
	return m.Numbers.Creep[kind] * math.Log1p(seconds/first) / math.Log1p(day/first)
}

// day is one in seconds.
const day = 86400.0
