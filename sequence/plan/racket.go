package plan

import (
	"cmp"
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
// A cell that ends in a tail is slack. No other rule is needed: how far a pull, a slip or a break reaches follows.
type Racket struct {
	Ring
	strands []Strand
	ends    [][2]int  // by strand, the places of its chord
	chords  [][2]Hole // by strand, its two holes as the terms name them
	index   map[Strand]int
	at      [][]int // by place: the strands that end there
	holes   []Hole  // by place: its name, as a strand that ends there has it
	mains   int
	pieces  int

	spans   []Span // by strand
	lines   []*line
	clamps  [3]standing // in the order of Clamps
	gripper *Spot
	fresh   bool // nothing went wrong since the gripper pulls
	draws   bool // the op is one under which the gripper draws string through
	knots   []Knot
	open    []Op // faults whose strand is still wrong or doubted
	waived  []Op // waivers of what lies in the frame so
	split   map[int]string
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

// Span is a strand as it lies in the hoop.
type Span struct {
	Strand  Strand
	Piece   Piece
	In, Out Hole // as it was laid; where it is, when that is a wrong hole
	First   Face // of a cross: how it passes the first main after In
	Nth     int  // counts up with every laying, 0 for a strand that is not laid
	Tight   bool
	Pulled  bool    // its pull counts: it was pulled and not let go since
	Slipped bool    // slack because something slipped; it was pulled
	Low     bool    // tight, but it lost tension when a clamp crept
	Broken  bool    // it has to be cut out
	Ended   bool    // it was pulled again where it was begun, and holds since
	Newtons float64 // of its last pull
	Tension string  // the same as it was ordered
	Boost   float64 // of its last pull, in percent
	ended   bool    // it was so before it slipped
	lowAt   Spot    // where it has to be pulled again from when it is low; the zero Spot is from anywhere
	Turn    int     // counts up with every pull: when it was pulled last
	away    [2]int  // by end of its chord: the place of the wrong hole in which it is, 0 where it is in its own
}

// Laid says whether the strand is in the hoop.
func (s *Span) Laid() bool { return s.Nth > 0 }

// Spot is a point of the string: where a strand passes a hole.
type Spot struct {
	Strand Strand
	Hole   Hole
}

// Knot is a tail that is tied in a hole.
type Knot struct {
	Strand  Strand
	Out     Hole // by which the tail leaves, or will enter after a starting knot
	Hole    Hole
	Anchor  Strand
	Name    string
	Trimmed bool
	Slipped bool
}

// Run is string outside the frame between two holes: from a strand to the next, or to the knot of its own tail.
type Run struct {
	From, To Hole
	Of, Next Strand // Next is empty at a knot
}

// standing is where a clamp stands.
type standing struct {
	on   bool
	grip Grip
	gone bool // it let go: it holds nothing until it is set again
	slip Extent
}

// NewRacket is the bare frame of a plan's terms, off the machine.
func NewRacket(t *Terms) *Racket {
	r := &Racket{
		Ring: Ring{t.HolesLeft, t.HolesRight}, mains: len(t.Mains), pieces: t.Pieces,
		index: make(map[Strand]int, len(t.Mains)+len(t.Crosses)), split: map[int]string{}, scraps: map[int]bool{}, knotAt: map[Strand]Hole{}, lost: map[Piece]bool{}, whole: map[Piece]bool{},
	}
	r.at, r.holes = make([][]int, r.Total()+1), make([]Hole, r.Total()+1)
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
	c.knots, c.open, c.mounted, c.waived = slices.Clone(r.knots), slices.Clone(r.open), slices.Clone(r.mounted), slices.Clone(r.waived)
	c.scraps = maps.Clone(r.scraps)
	c.split, c.knotAt, c.lost, c.whole, c.begun = maps.Clone(r.split), maps.Clone(r.knotAt), maps.Clone(r.lost), maps.Clone(r.whole), slices.Clone(r.begun)
	return &c
}

// Span is a strand as it lies, nil where the frame has none of that name. It is not to be changed.
func (r *Racket) Span(s Strand) *Span {
	if i, ok := r.index[s]; ok {
		return &r.spans[i]
	}
	return nil
}

// Laid says whether a strand is in the hoop, Tight whether it is under tension.
func (r *Racket) Laid(s Strand) bool  { at := r.Span(s); return at != nil && at.Laid() }
func (r *Racket) Tight(s Strand) bool { at := r.Span(s); return at != nil && at.Tight }

// Spans are all strands, the mains in columns from left to right, then the crosses from the head down. They are not to be
// changed.
func (r *Racket) Spans() []Span { return r.spans }

// Newest are the strands in the hoop, the one laid last first.
func (r *Racket) Newest() (out []Span) {
	for _, s := range r.spans {
		if s.Laid() {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, func(a, b Span) int { return cmp.Compare(b.Nth, a.Nth) })
	return out
}

// Grip is where a clamp stands, nil where it is free.
func (r *Racket) Grip(c Clamp) *Grip {
	if s := &r.clamps[slot(c)]; s.on {
		g := s.grip
		return &g
	}
	return nil
}

// Grips are the clamps that stand, by name; of every clamp of the contract, nil for a free one.
func (r *Racket) Grips() map[Clamp]*Grip {
	out := make(map[Clamp]*Grip, len(r.clamps))
	for _, c := range Clamps() {
		out[c] = r.Grip(c)
	}
	return out
}

// Holds says whether a clamp stands and holds what it grips: it has not let go.
func (r *Racket) Holds(c Clamp) bool { s := &r.clamps[slot(c)]; return s.on && !s.gone }

// LowAt is where a strand is pulled again that lost tension, the zero Spot where anywhere will do.
func (r *Racket) LowAt(s Strand) Spot { return r.Span(s).lowAt }

// Held says whether something holds the string at a point.
func (r *Racket) Held(at Spot) bool {
	if l, p := r.lineAt(at); l != nil {
		return r.held(l)[p]
	}
	return false
}

// Load is what the strands that are tight pull at the frame with, each with the tension of its last pull.
func (r *Racket) Load() (out Load) {
	for i := range r.spans {
		switch s := &r.spans[i]; {
		case !s.Tight:
		case i >= r.mains:
			out.Crosses += s.Newtons
		case s.Strand[len(s.Strand)-1] == 'L':
			out.Left += s.Newtons
		default:
			out.Right += s.Newtons
		}
	}
	return out
}

// Slipped is by how much a clamp slipped since it was set, empty when it did not.
func (r *Racket) Slipped(c Clamp) Extent { return r.clamps[slot(c)].slip }

// Gripper is where the gripper pulls, nil where it does not.
func (r *Racket) Gripper() *Spot { return r.gripper }

// Knots are the knots that are tied, in the order in which they were.
func (r *Racket) Knots() []Knot { return r.knots }

// KnotIn is the knot in a hole, nil where there is none.
func (r *Racket) KnotIn(h Hole) *Knot {
	place := r.At(h)
	for i := range r.knots {
		if r.At(r.knots[i].Hole) == place {
			return &r.knots[i]
		}
	}
	return nil
}

// KnotOf is the knot of the tail of a strand that leaves at a hole, nil where it has none.
func (r *Racket) KnotOf(at Spot) *Knot {
	for i := range r.knots {
		if k := &r.knots[i]; k.Strand == at.Strand && r.At(k.Out) == r.At(at.Hole) {
			return k
		}
	}
	return nil
}

// Open are the mishaps whose strand is still wrong or doubted, in the order in which they were reported.
func (r *Racket) Open() []Op { return r.open }

// Waived are the waivers of what was left as it lies and still lies so, each with its strand and the fault that it excuses.
func (r *Racket) Waived() []Op { return r.waived }

// Anew says whether a piece was begun and cut out since: what is laid of it next is a new piece of string.
func (r *Racket) Anew(p Piece) bool { return !r.whole[p] && slices.Contains(r.begun, p) }

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

// Turn counts the pulls so far, those that were repeated too.
func (r *Racket) Turn() int { return r.pulls }

// Lead is by how many tight mains the left side leads now, below nought when the right one does. What slipped pulls at no
// frame and does not count.
func (r *Racket) Lead() (lead int) {
	for i := range r.spans[:r.mains] {
		switch s := &r.spans[i]; {
		case !s.Tight:
		case s.Strand[len(s.Strand)-1] == 'L':
			lead++
		default:
			lead--
		}
	}
	return lead
}

// Split says whether a hole is split and was not mended.
func (r *Racket) Split(h Hole) bool { choice, is := r.split[r.At(h)]; return is && choice != Sleeve }

// Scrap says whether a scrap of string was left in a hole, which what comes there follows in.
func (r *Racket) Scrap(h Hole) bool { return r.scraps[r.At(h)] }

// Instead is the hole where the knot goes that would go into a split one, empty where none was chosen.
func (r *Racket) Instead(h Hole) Hole {
	if to := Hole(r.split[r.At(h)]); r.At(to) > 0 {
		return to
	}
	return ""
}

// KnotAt is the hole that was chosen for the knot of a strand whose tail is short, empty where none was.
func (r *Racket) KnotAt(s Strand) Hole { return r.knotAt[s] }

// Sleeve is the choice that mends a split hole.
const Sleeve = "sleeve"

// HoleAt is the hole at a place, as a strand that ends there names it, empty where none does.
func (r *Racket) HoleAt(place int) Hole { return r.holes[place] }

// Ends are the places of a strand's two holes: of a main at the head and the throat, of a cross on the left and the right.
func (r *Racket) Ends(s Strand) [2]int { return r.ends[r.index[s]] }

// Due says whether a strand is still to be threaded through a place.
func (r *Racket) Due(place int) bool {
	return slices.ContainsFunc(r.at[place], func(s int) bool { return !r.spans[s].Laid() || !r.in(s, place) })
}

// Through are the strands that lie in a place, in the order in which they were laid.
func (r *Racket) Through(place int) (out []Strand) {
	var in []int
	for s := range r.spans {
		if r.spans[s].Laid() && r.in(s, place) {
			in = append(in, s)
		}
	}
	slices.SortFunc(in, func(a, b int) int { return r.spans[a].Nth - r.spans[b].Nth })
	for _, s := range in {
		out = append(out, r.strands[s])
	}
	return out
}

// in says whether an end of a strand is in a place, once it is laid.
func (r *Racket) in(s, place int) bool { return r.place(s, 0) == place || r.place(s, 1) == place }

// Runs are the runs outside the frame as they lie: along each line, then those of knots.
func (r *Racket) Runs() (out []Run) {
	for _, l := range r.lines {
		for k := 1; k < len(l.on); k++ {
			a, b := l.on[k-1], l.on[k]
			out = append(out, Run{r.hole(a, l.places[2*k-1]), r.hole(b, l.places[2*k]), r.strands[a], r.strands[b]})
		}
	}
	for _, k := range r.knots {
		out = append(out, Run{From: k.Out, To: k.Hole, Of: k.Strand})
	}
	return out
}

// hole is the hole of a laid strand at a place, as its op named it.
func (r *Racket) hole(s, place int) Hole {
	if in := r.spans[s].In; r.At(in) == place {
		return in
	}
	return r.spans[s].Out
}

// Blocked says whether a run outside lies over a place.
func (r *Racket) Blocked(place int) bool {
	for _, l := range r.lines {
		for k := 1; k < len(l.on); k++ {
			from, to := l.places[2*k-1], l.places[2*k]
			if r.over(from, to, place) || r.centreLoop(l.on[k-1], l.on[k]) && r.across(from, to, place) {
				return true
			}
		}
	}
	return slices.ContainsFunc(r.knots, func(k Knot) bool { return r.over(r.At(k.Out), r.At(k.Hole), place) })
}

// centreLoop says whether the run between two strands is the one that joins the two centre mains, the only one that passes the
// centre line.
func (r *Racket) centreLoop(a, b int) bool {
	left, right := r.index["M1L"], r.index["M1R"]
	return a == left && b == right || a == right && b == left
}

// Covered are the places still to be threaded strictly between two places of one side.
func (r *Racket) Covered(from, to int) (out []int) {
	for _, p := range r.Between(from, to) {
		if r.Due(p) {
			out = append(out, p)
		}
	}
	return out
}

// Tail is the free end of a strand, long enough to be laid on or gripped, that is nearest to a hole.
func (r *Racket) Tail(s Strand, to Hole) (Spot, bool) {
	l, end := r.tail(r.index[s], r.At(to))
	if l == nil {
		return Spot{}, false
	}
	return Spot{s, r.hole(r.index[s], l.tip(end))}, true
}

// Before is the point of the string from which a strand was laid on, the zero Spot at the start of a piece; what lies
// there now is what counts.
func (r *Racket) Before(s Strand) Spot { return r.beyond(s, func(sp *Span) Hole { return sp.In }) }

// Next is the point by which the string goes on from a strand's exit, the zero Spot where it ends.
func (r *Racket) Next(s Strand) Spot { return r.beyond(s, func(sp *Span) Hole { return sp.Out }) }

func (r *Racket) beyond(s Strand, end func(*Span) Hole) Spot {
	i, ok := r.index[s]
	if !ok || !r.spans[i].Laid() {
		return Spot{}
	}
	l, p := r.lineAt(Spot{s, end(&r.spans[i])})
	if l == nil {
		return Spot{}
	}
	other := p + 1
	if p%2 == 0 {
		other = p - 1
	}
	if other < 0 || other >= len(l.places) {
		return Spot{}
	}
	n := l.on[other/2]
	return Spot{r.strands[n], r.hole(n, l.places[other])}
}

// Line is the whole line of string that a strand lies on, from one end to the other, nil where it is not laid.
func (r *Racket) Line(s Strand) (out []Strand) {
	i, ok := r.index[s]
	if !ok || !r.spans[i].Laid() {
		return nil
	}
	l, _ := r.lineOf(i)
	for _, n := range l.on {
		out = append(out, r.strands[n])
	}
	return out
}

// Cell are the strands that a pull at a point would draw, from the next holder to the point's own strand.
func (r *Racket) Cell(at Spot) (out []Strand) {
	i, ok := r.index[at.Strand]
	if !ok || !r.spans[i].Laid() {
		return nil
	}
	l, k := r.lineOf(i)
	lo, hi := l.cell(r.held(l), 2*k+1)
	low := l.places[2*k] == r.At(at.Hole) // the point is on the low side
	if low {
		lo = 2*k + 1
	} else {
		hi = 2*k + 1
	}
	for seg := lo; seg <= hi; seg++ {
		if seg%2 == 1 {
			out = append(out, r.strands[l.on[seg/2]])
		}
	}
	if low {
		slices.Reverse(out)
	}
	return out
}
