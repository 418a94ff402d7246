package plan

import (
	"maps"
	"slices"
)

// Racket is the racket on the machine as it is when some ops are done: every piece as lines of spans, what is laid, tight or
// slack, what holds where, holes, knots, runs outside, and what is still wrong. It is the one home of what an op means:
// Apply takes it one op further, everybody else reads. It follows what happens and objects to nothing; whether a plan may do
// so is the referee's to say.
//
// # Lines
//
// A line is a stretch of string: a tail, a span, a run outside, a span, …, a tail. These segments meet in points, the holes
// that the string passes. Clamps, the gripper and knots hold the string at points and so part a line into cells. A cell is
// tight or slack as a whole:
//
//	clamp off, gripper eased, knot open    two cells become one; it stays tight only if both were
//	gripper pulls                          the cell between it and the next holder becomes tight
//	break, cut                             the line becomes two, each ends in a tail
//
// A cell that ends in a tail is slack. How far a pull, a slip or a break reaches follows. One rule is of the trade's experience: a knot
// that comes open lets go of its own strand; its neighbours, as many as slack is walked out of, are low, and what is beyond is held by
// corners and weave until a pull draws through. Likewise they hold what was felt to be tight where a clamp or the gripper let go: beyond the
// centre loop, and along the crosses.
type Racket struct {
	Ring
	strands []Strand
	ends    [][2]int  // by strand, the places of its chord
	chords  [][2]Hole // by strand, its two holes as the terms name them
	index   map[Strand]int
	at      [][]int // by place: the strands that end there
	holes   []Hole  // by place: its name, as a strand that ends there has it
	mains   int
	centre  [2]int // the centre mains, left and right
	pieces  int
	walk    Walk // how many strands slack is walked out of

	spans   []Span // by strand
	lines   []*line
	clamps  [3]standing // in the order of Clamps
	gripper *Spot
	fresh   bool // what the gripper pulls is not doubted since
	draws   bool // the op is one under which the gripper draws string through
	knots   []Knot
	corners []Spot // where corners and weave hold string beyond a knot that came open, or what was felt to be tight, until a pull draws through
	marred  []Spot // where the jaws of a clamp slipped on string that still lies
	open    []Op   // faults whose strand is still wrong or doubted
	waived  []Op   // waivers of what lies in the frame so
	kept    []Spot // ends that stay in a wrong hole, which became their own
	split   map[int]string
	sleeved map[int]bool // of the split ones
	instead map[int]Hole // where the knot of a split hole goes
	scraps  map[int]bool // places in which a scrap of string was left, for what comes there under a run
	knotAt  map[Strand]Hole
	lost    map[Piece]bool
	mounted []string
	cracked bool
	scratch []bool         // of held, which is asked very often
	begun   []Piece        // in the order in which they were cut and begun
	whole   map[Piece]bool // begun, and nothing of it cut since
	laid    int            // layings so far
	pulls   int            // pulls so far
	totals  Totals
}

// none is no strand.
const none = -1

// NewRacket is the bare frame of a plan's terms, off the machine.
func NewRacket(t *Terms) *Racket {
	r := &Racket{
		Ring: Ring{t.HolesLeft, t.HolesRight}, mains: len(t.Mains), pieces: t.Pieces, walk: t.WalkStrands(),
		index: make(map[Strand]int, len(t.Mains)+len(t.Crosses)), split: map[int]string{}, sleeved: map[int]bool{}, instead: map[int]Hole{}, scraps: map[int]bool{}, knotAt: map[Strand]Hole{}, lost: map[Piece]bool{}, whole: map[Piece]bool{},
	}
	n := len(t.Mains) + len(t.Crosses)
	r.at, r.holes = make([][]int, r.Total()+1), make([]Hole, r.Total()+1)
	r.strands, r.ends, r.chords, r.spans = make([]Strand, 0, n), make([][2]int, 0, n), make([][2]Hole, 0, n), make([]Span, 0, n)
	for _, list := range [2][]Chord{t.Mains, t.Crosses} {
		for _, c := range list {
			i := len(r.strands)
			r.index[c.Strand] = i
			r.strands = append(r.strands, c.Strand)
			r.ends = append(r.ends, [2]int{r.At(c.Ends[0]), r.At(c.Ends[1])})
			r.chords = append(r.chords, c.Ends)
			r.spans = append(r.spans, Span{Strand: c.Strand})
			for end, place := range r.ends[i] {
				r.at[place] = append(r.at[place], i)
				r.holes[place] = c.Ends[end]
			}
		}
	}
	r.centre = [2]int{r.index["M1L"], r.index["M1R"]}
	return r
}

// After is the racket when the first n steps of a plan are done.
func (p *Plan) After(n int) *Racket { return p.AfterOps(n, 0) }

// AfterOps is the racket when the first n steps of a plan and so many ops of the next are done.
func (p *Plan) AfterOps(n, ops int) *Racket {
	r := NewRacket(&p.Terms)
	for i := range p.Steps[:n] {
		r.ApplyAll(p.Steps[i].Ops)
	}
	if ops > 0 {
		r.ApplyAll(p.Steps[n].Ops[:ops])
	}
	return r
}

// Clone is a racket of its own in the same state.
func (r *Racket) Clone() *Racket {
	c := *r
	c.scratch = nil
	c.spans = slices.Clone(r.spans)
	c.lines = make([]*line, len(r.lines))
	for i, l := range r.lines {
		c.lines[i] = l.clone()
	}
	c.corners, c.marred = slices.Clone(r.corners), slices.Clone(r.marred)
	c.knots, c.open, c.mounted, c.waived = slices.Clone(r.knots), slices.Clone(r.open), slices.Clone(r.mounted), slices.Clone(r.waived)
	c.scraps, c.instead = maps.Clone(r.scraps), maps.Clone(r.instead)
	c.split, c.sleeved, c.knotAt, c.lost, c.whole, c.begun = maps.Clone(r.split), maps.Clone(r.sleeved), maps.Clone(r.knotAt), maps.Clone(r.lost), maps.Clone(r.whole), slices.Clone(r.begun)
	return &c
}

// Open are the mishaps whose strand is still wrong or doubted, in the order in which they were reported.
func (r *Racket) Open() []Op { return r.open }

// Waived are the waivers of what was left as it lies and still lies so, each with its strand and the fault that it excuses.
func (r *Racket) Waived() []Op { return r.waived }

// BegunAnew says whether a piece was begun and cut out since: what is laid of it next is a new piece of string.
func (r *Racket) BegunAnew(p Piece) bool { return !r.whole[p] && slices.Contains(r.begun, p) }

// Lost says whether a piece is broken: all of it has to be cut out before it is laid anew.
func (r *Racket) Lost(p Piece) bool { return r.lost[p] }

// Cracked says whether the frame is.
func (r *Racket) Cracked() bool { return r.cracked }

// Mounted are the supports that are on, in the order in which they came.
func (r *Racket) Mounted() []string { return r.mounted }

// Totals are the plain pulls so far, the knots there are, and the most by which a side of the mains ever led.
func (r *Racket) Totals() Totals {
	out := r.totals
	out.Knots = len(r.knots)
	return out
}

// PullCount counts the pulls so far, those that were repeated too.
func (r *Racket) PullCount() int { return r.pulls }
