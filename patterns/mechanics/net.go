// Package mechanics is the strung bed as a net: spans of string under their own tensions, fixed at the hoop and joined where
// they cross. It answers how far the bed gives under a load, how stiff it is where, and at which frequencies it rings.
//
// Call New with a grid and what each strand is made of and pulled at; then ask the Net for Deflection, Stiffness, Map,
// Modes and Curve. Setup, Choices and SameFeel compare whole beds.
//
// Lengths are in mm, forces in N, masses in g, stiffness in N/mm and frequencies in Hz throughout.
package mechanics

import (
	"errors"
	"fmt"
	"slices"

	"pullcard/patterns"
	"pullcard/patterns/grid"
)

// Cord is what a strand is pulled at and made of.
type Cord struct {
	// TensionN is the tension in the bed in newtons, not below nought.
	TensionN float64
	// MassGPM is the mass in grams per metre.
	MassGPM float64
	// EAN is the stiffness of the string in newtons, its modulus times its cross-section; only Curve needs it.
	EAN float64
}

// String is a straight strand between two fixed ends.
type String struct {
	Strand patterns.Strand
	Ends   [2]grid.Point
	Cord
}

// Node is a crossing.
type Node struct {
	grid.Point
	// Main and Cross are the indices of its strings.
	Main, Cross int
	// MassG is the mass that moves with it, half of each span around it; AreaMM2 the part of the bed that is nearest to it.
	MassG, AreaMM2 float64
}

// thread is a string with the nodes on it from end to end and the spans between, one more than nodes.
type thread struct {
	String
	length float64
	nodes  []int
	spans  []float64
}

// Net is a strung bed that moves out of its plane.
type Net struct {
	nodes   []Node
	threads []thread // the mains, then the crosses
	mains   int
	band    int
	chol    *factor
}

// New strings a grid. It fails when a tension or a mass is none.
func New(g *grid.Grid, cord func(patterns.Strand) Cord) (*Net, error) {
	strings := func(lines []grid.Line) []String {
		out := make([]String, len(lines))
		for i, l := range lines {
			out[i] = String{l.Strand, l.Ends, cord(l.Strand)}
		}
		return out
	}
	return Weave(strings(g.Columns), strings(g.Rows))
}

// Weave joins mains, given from one side to the other, and crosses, given from one end to the other, where they cross.
func Weave(mains, crosses []String) (*Net, error) {
	n := &Net{mains: len(mains)}
	for _, s := range slices.Concat(mains, crosses) {
		if !(s.TensionN >= 0) || !(s.MassGPM >= 0) || !(s.EAN >= 0) {
			return nil, fmt.Errorf("strand %s: a tension of %g N, %g g/m and %g N of string stiffness are no string's", s.Strand, s.TensionN, s.MassGPM, s.EAN)
		}
		n.threads = append(n.threads, thread{String: s, length: s.Ends[0].To(s.Ends[1])})
	}
	n.cross()
	if len(n.nodes) == 0 {
		return nil, errors.New("no main meets a cross; there is no bed")
	}
	n.weigh()
	if n.chol = factorize(n.matrix()); n.chol.below > 0 {
		return nil, errors.New("the bed is slack: a crossing has no tensioned string")
	}
	return n, nil
}

// cross finds the nodes. They are numbered along the kind of string that there is more of, so that neighbours on the
// other kind are as near as can be.
func (n *Net) cross() {
	crosses := len(n.threads) - n.mains
	outer, inner := crosses, n.mains
	if n.mains > crosses {
		outer, inner = inner, outer
	}
	type stop struct {
		at   float64
		node int
	}
	stops := make([][]stop, len(n.threads))
	for o := range outer {
		for i := range inner {
			m, c := i, n.mains+o
			if n.mains > crosses {
				m, c = o, n.mains+i
			}
			s, t, ok := meet(n.threads[m].Ends, n.threads[c].Ends)
			if !ok {
				continue
			}
			stops[m] = append(stops[m], stop{s, len(n.nodes)})
			stops[c] = append(stops[c], stop{t, len(n.nodes)})
			e := n.threads[m].Ends
			p := grid.Point{X: e[0].X + s*(e[1].X-e[0].X), Y: e[0].Y + s*(e[1].Y-e[0].Y)}
			n.nodes = append(n.nodes, Node{Point: p, Main: m, Cross: c - n.mains})
		}
	}
	for i := range n.threads {
		t := &n.threads[i]
		slices.SortFunc(stops[i], func(a, b stop) int {
			if a.at < b.at {
				return -1
			}
			return 1
		})
		last := 0.0
		for _, s := range stops[i] {
			t.nodes, t.spans = append(t.nodes, s.node), append(t.spans, (s.at-last)*t.length)
			last = s.at
		}
		t.spans = append(t.spans, (1-last)*t.length)
	}
}

// meet is where two lines cross, as shares of their lengths; ok is false where they do not. Lines that begin in one
// hole do not cross.
func meet(a, b [2]grid.Point) (s, t float64, ok bool) {
	ax, ay, bx, by := a[1].X-a[0].X, a[1].Y-a[0].Y, b[1].X-b[0].X, b[1].Y-b[0].Y
	det := ax*by - ay*bx
	if det == 0 {
		return 0, 0, false
	}
	dx, dy := b[0].X-a[0].X, b[0].Y-a[0].Y
	s, t = (dx*by-dy*bx)/det, (dx*ay-dy*ax)/det
	const edge = 1e-6
	return s, t, s > edge && s < 1-edge && t > edge && t < 1-edge
}

// weigh gives each node half of the spans around it.
func (n *Net) weigh() {
	for i := range n.nodes {
		n.nodes[i].AreaMM2 = 1
	}
	for _, t := range n.threads {
		for i, node := range t.nodes {
			half := (t.spans[i] + t.spans[i+1]) / 2
			n.nodes[node].MassG += t.MassGPM * half / 1000
			n.nodes[node].AreaMM2 *= half
			if i > 0 {
				n.band = max(n.band, node-t.nodes[i-1], t.nodes[i-1]-node)
			}
		}
	}
}

// matrix is the stiffness of small deflections: a span of tension T and length l resists with T/l.
func (n *Net) matrix() *banded {
	k := newBanded(len(n.nodes), n.band)
	for _, t := range n.threads {
		for i, l := range t.spans {
			t.spring(k, i, t.TensionN/l)
		}
	}
	return k
}

// spring adds what the i-th span of a string adds to a matrix.
func (t *thread) spring(k *banded, i int, stiffness float64) {
	if i > 0 {
		a := t.nodes[i-1]
		*k.at(a, a) += stiffness
		if i < len(t.nodes) {
			*k.at(a, t.nodes[i]) -= stiffness
		}
	}
	if i < len(t.nodes) {
		b := t.nodes[i]
		*k.at(b, b) += stiffness
	}
}

// Nodes are the crossings in the order in which loads and deflections are given.
func (n *Net) Nodes() []Node { return slices.Clone(n.nodes) }

// Nearest is the crossing nearest to a point; of equally near ones the first.
func (n *Net) Nearest(p grid.Point) int {
	best := 0
	for i, node := range n.nodes {
		// A hair nearer does not count: mirror images are equally near but for rounding.
		if node.To(p) < n.nodes[best].To(p)-1e-6 {
			best = i
		}
	}
	return best
}
