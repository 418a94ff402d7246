package hoop

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"

	"pullcard/patterns/grid"
)

// Section is how stiff a piece of tube is in the plane of the strings: EI in N·mm² against bending, EA in N against
// stretching.
type Section struct{ EI, EA float64 }

// Ring is a closed plane frame of straight beam elements. Its first node is held, in place and against turning: that takes the
// three rigid motions away and nothing else, as a load that is in balance meets no resistance there.
type Ring struct {
	Nodes []grid.Point // in their order round; an element runs from each to the next, the last to the first
	Tube  []Section    // of the element from the node of the same number
}

// Load is a force in N on a node.
type Load struct {
	Node int
	X, Y float64
}

// Action is a pattern of forces that grow together. What an action does to the hoop and what the hoop does along it are told
// in the same terms: the movement along an action is the sum of each force times how far its node moves with it.
type Action []Load

// Condensed is what a ring does, seen through a list of actions and nothing else.
type Condensed struct {
	// Flex, in mm/N, is the movement along the first action by a unit of the second; it is symmetric (Maxwell 1864).
	Flex *mat.SymDense
	// Bending, in N·mm, is the moment at each node by a unit of each action, above nought where it bends the hoop more than it is bent.
	Bending *mat.Dense
	// Moves, in mm, are the movements of each node by a unit of each action: X in row 2n, Y in row 2n + 1.
	Moves *mat.Dense
}

// band is the number of a stiffness matrix's side diagonals: three motions a node, coupled with the next node's.
const band = 5

// stiffness is the ring's without the held node: cut there it is a chain, so the matrix is a narrow band.
func (r *Ring) stiffness() (blas64.TriangularBand, error) {
	n := len(r.Nodes)
	k := mat.NewSymBandDense(3*(n-1), band, nil)
	for i := range n {
		e, err := r.element(i)
		if err != nil {
			return blas64.TriangularBand{}, err
		}
		at := [6]int{}
		for d := range 3 {
			at[d], at[3+d] = 3*(i-1)+d, 3*i+d
			if i == n-1 {
				at[3+d] = -1
			}
		}
		for a := range 6 {
			for b := a; b < 6; b++ {
				if at[a] >= 0 && at[b] >= 0 {
					k.SetSymBand(at[a], at[b], k.At(at[a], at[b])+e.k[a][b])
				}
			}
		}
	}
	c, ok := lapack64.Pbtrf(k.RawSymBand())
	if !ok {
		return c, errors.New("a ring whose stiffness is not above nought everywhere bears no load")
	}
	return c, nil
}

// element is one beam between two nodes.
type element struct {
	k [6][6]float64 // in the plane's own axes: X, Y, turn of the one node, then of the other
	m [6]float64    // the moment at the first node, above nought where a ring whose nodes run counter-clockwise is bent more
}

// element is the stiffness of a beam, Euler and Bernoulli's, in any textbook on frames.
func (r *Ring) element(i int) (element, error) {
	p, q := r.Nodes[i], r.Nodes[(i+1)%len(r.Nodes)]
	l := p.To(q)
	if !(l > 0) {
		return element{}, fmt.Errorf("nodes %d and %d lie in one place", i+1, (i+1)%len(r.Nodes)+1)
	}
	c, s, t := (q.X-p.X)/l, (q.Y-p.Y)/l, r.Tube[i]
	axial := [6]float64{-c, -s, 0, c, s, 0}
	// Bending takes part by how the ends turn against the chord; their sum and their difference are independent of each other.
	turn := [6]float64{s / l, -c / l, 0, -s / l, c / l, 0}
	sum, diff := [6]float64{}, [6]float64{}
	for d := range 6 {
		sum[d] = -2 * turn[d]
	}
	sum[2]++
	sum[5]++
	diff[2], diff[5] = -1, 1
	var e element
	for a := range 6 {
		for b := range 6 {
			e.k[a][b] = t.EA/l*axial[a]*axial[b] + 3*t.EI/l*sum[a]*sum[b] + t.EI/l*diff[a]*diff[b]
		}
		e.m[a] = t.EI/l*diff[a] - 3*t.EI/l*sum[a]
	}
	return e, nil
}

// Condense works a ring out once and for all, as far as its actions go; asked names the nodes of Bending and Moves.
func (r *Ring) Condense(actions []Action, asked []int) (*Condensed, error) {
	if len(r.Nodes) < 3 || len(r.Tube) != len(r.Nodes) || len(actions) == 0 || len(asked) == 0 {
		return nil, fmt.Errorf("a ring of %d nodes and %d pieces of tube, %d actions and %d nodes asked for: each needs to be there", len(r.Nodes), len(r.Tube), len(actions), len(asked))
	}
	chain, err := r.stiffness()
	if err != nil {
		return nil, err
	}
	u := mat.NewDense(3*(len(r.Nodes)-1), len(actions), nil)
	for j, a := range actions {
		for _, l := range a {
			if l.Node > 0 {
				u.Set(3*(l.Node-1), j, u.At(3*(l.Node-1), j)+l.X)
				u.Set(3*(l.Node-1)+1, j, u.At(3*(l.Node-1)+1, j)+l.Y)
			}
		}
	}
	lapack64.Pbtrs(chain, u.RawMatrix())
	return r.through(actions, asked, u)
}

// through looks at the movements of all nodes through the actions.
func (r *Ring) through(actions []Action, asked []int, u *mat.Dense) (*Condensed, error) {
	n := len(actions)
	c := &Condensed{mat.NewSymDense(n, nil), mat.NewDense(len(asked), n, nil), mat.NewDense(2*len(asked), n, nil)}
	move := func(node, d, j int) float64 {
		if node == 0 {
			return 0
		}
		return u.At(3*(node-1)+d, j)
	}
	for i, a := range actions {
		for j := i; j < n; j++ {
			v := 0.0
			for _, l := range a {
				v += l.X*move(l.Node, 0, j) + l.Y*move(l.Node, 1, j)
			}
			c.Flex.SetSym(i, j, v)
		}
	}
	for k, node := range asked {
		e, err := r.element(node)
		if err != nil {
			return nil, err
		}
		next := (node + 1) % len(r.Nodes)
		for j := range n {
			m := 0.0
			for d := range 3 {
				m += e.m[d]*move(node, d, j) + e.m[3+d]*move(next, d, j)
			}
			c.Bending.Set(k, j, m)
			c.Moves.Set(2*k, j, move(node, 0, j))
			c.Moves.Set(2*k+1, j, move(node, 1, j))
		}
	}
	return c, nil
}

// Turn is the sum of an action's forces and their moment round the middle of the plane, in N and N·mm: all nought for loads that
// are in balance.
func (r *Ring) Turn(a Action) (x, y, moment float64) {
	for _, l := range a {
		p := r.Nodes[l.Node]
		x, y, moment = x+l.X, y+l.Y, moment+p.X*l.Y-p.Y*l.X
	}
	return x, y, moment
}
