package plan

import "slices"

// line is a stretch of string. Segment 2k+1 is the span of strand on[k], the even segments are the runs between and the
// tails; segment i and segment i+1 meet in point i, at places[i].
type line struct {
	piece  Piece
	on     []int // strands along the string
	places []int // two a strand: where the string comes to it and where it goes on
	tight  []bool
	first  int    // the strand that the piece was begun with, none where that was cut off
	lack   [2]int // strands that a tail is short of: above nought it is too short to be gripped, tied or laid on
}

// plenty is what a tail lacks that was not trimmed: however much is laid of it, it is long enough.
const plenty = -1 << 20

func (l *line) clone() *line {
	c := *l
	c.on, c.places, c.tight = slices.Clone(l.on), slices.Clone(l.places), slices.Clone(l.tight)
	return &c
}

// tip is the place where the tail of an end, 0 or 1, leaves the hoop.
func (l *line) tip(end int) int {
	if end == 0 {
		return l.places[0]
	}
	return l.places[len(l.places)-1]
}

// cell is the first and the last segment of the cell that a segment lies in.
func (l *line) cell(held []bool, seg int) (lo, hi int) {
	for lo = seg; lo > 0 && !held[lo-1]; lo-- {
	}
	for hi = seg; hi < len(held) && !held[hi]; hi++ {
	}
	return lo, hi
}

// point is the place in the line of where a strand passes a hole, less than nought where it does not.
func (l *line) point(s, place int) int {
	for i, on := range l.on {
		switch {
		case on != s:
		case l.places[2*i] == place:
			return 2 * i
		case l.places[2*i+1] == place:
			return 2*i + 1
		}
	}
	return -1
}

// lineOf is the line of a strand and its place on it, nil where it is not laid.
func (r *Racket) lineOf(s int) (*line, int) {
	for _, l := range r.lines {
		if k := slices.Index(l.on, s); k >= 0 {
			return l, k
		}
	}
	return nil, 0
}

// lineAt is the line that passes a point and the place of the point on it, nil where none does. A broken strand lies on two.
func (r *Racket) lineAt(at Spot) (*line, int) {
	i, ok := r.index[at.Strand]
	if !ok {
		return nil, 0
	}
	for _, l := range r.lines {
		if p := l.point(i, r.At(at.Hole)); p >= 0 {
			return l, p
		}
	}
	return nil, 0
}

// tail is the line and the end of it that hangs out of a strand, free and long enough, nearest to a place.
func (r *Racket) tail(s, to int) (best *line, end int) {
	for _, l := range r.lines {
		for e, on := range [2]int{l.on[0], l.on[len(l.on)-1]} {
			if on != s || l.lack[e] > 0 || r.KnotOf(Spot{r.strands[s], r.hole(s, l.tip(e))}) != nil {
				continue
			}
			if best == nil || r.Steps(l.tip(e), to) < r.Steps(best.tip(end), to) {
				best, end = l, e
			}
		}
	}
	return best, end
}

// held says of each point of a line whether something holds the string there, until it is asked again.
func (r *Racket) held(l *line) []bool {
	out := slices.Grow(r.scratch[:0], len(l.places))[:len(l.places)]
	clear(out)
	r.scratch = out
	hold := func(s Strand, h Hole) {
		if p := l.point(r.index[s], r.At(h)); p >= 0 {
			out[p] = true
		}
	}
	for i := range r.clamps {
		if c := &r.clamps[i]; c.on && !c.gone {
			hold(c.grip.Strand, c.grip.Hole)
			if c.grip.With != "" {
				hold(c.grip.With, r.beside(c.grip))
			}
		}
	}
	if r.gripper != nil {
		hold(r.gripper.Strand, r.gripper.Hole)
	}
	for _, at := range r.corners {
		hold(at.Strand, at.Hole)
	}
	for i := range r.knots {
		if k := &r.knots[i]; !k.Slipped {
			hold(k.Strand, k.Out)
		}
	}
	return out
}

// beside is the hole by which the neighbour that a flying clamp grips too passes there: at the same end of the chord.
func (r *Racket) beside(g Grip) Hole {
	s, with := r.index[g.Strand], r.index[g.With]
	end := 0
	if r.place(s, 1) == r.At(g.Hole) {
		end = 1
	}
	return r.hole(with, r.place(with, end))
}

// Beside is the other point at which a flying clamp holds the string, the zero Spot for a clamp that grips one strand.
func (r *Racket) Beside(g Grip) Spot {
	if g.With == "" {
		return Spot{}
	}
	return Spot{g.With, r.beside(g)}
}

// keeper says whether a clamp stands between the gripper outside a hole and the string inside.
func (r *Racket) keeper(at Spot) bool { return r.stands(at, false) }

// KeptInside says whether a clamp that stands there holds a strand although the string outside lets go.
func (r *Racket) KeptInside(at Spot) bool { return r.Tight(at.Strand) && r.keeper(at) && r.Held(at) }

// stands says whether a clamp stands at a point inside the hoop, or one outside too.
func (r *Racket) stands(at Spot, outside bool) bool {
	return slices.ContainsFunc(r.clamps[:], func(c standing) bool {
		return c.on && (outside || !c.grip.Outside) && (r.Same(Spot{c.grip.Strand, c.grip.Hole}, at) || r.Same(Spot{c.grip.With, r.beside(c.grip)}, at))
	})
}

// let says what becomes of a strand that goes slack.
type let func(*Span)

func undone(s *Span)  { s.Pulled, s.Slipped, s.ended = false, false, false }
func slipped(s *Span) { s.Slipped = s.Pulled }

// settle lets every cell become what it can be, of the lines on which some strands lie or, without any, of all.
func (r *Racket) settle(lost let, on ...Strand) {
	for _, l := range r.lines {
		if len(on) > 0 && !slices.ContainsFunc(on, func(s Strand) bool { return s != "" && slices.Contains(l.on, r.index[s]) }) {
			continue
		}
		r.cells(l, func(lo, hi int, tight, drawn bool) bool {
			r.become(l, lo, hi, tight, drawn, lost)
			return true
		})
	}
}

// cells goes over the cells of a line and says what each can be: tight where the gripper draws it and where all of it is
// tight between two holders, otherwise slack.
func (r *Racket) cells(l *line, each func(lo, hi int, tight, drawn bool) bool) {
	held, pulled := r.held(l), -1
	if g := r.gripper; g != nil && !r.keeper(*g) {
		if p := l.point(r.index[g.Strand], r.At(g.Hole)); p >= 0 {
			pulled = p | 1 // the segment of the span: 2k+1 for both of its points
		}
	}
	for lo := 0; lo < len(l.tight); {
		_, hi := l.cell(held, lo)
		bound := lo > 0 && hi < len(held)
		drawn := bound && lo <= pulled && pulled <= hi
		if !each(lo, hi, drawn || bound && !slices.Contains(l.tight[lo:hi+1], false), drawn) {
			return
		}
		lo = hi + 1
	}
}

// become makes the segments of a cell tight or slack.
func (r *Racket) become(l *line, lo, hi int, tight, drawn bool, lost let) {
	for seg := lo; seg <= hi; seg++ {
		was := l.tight[seg]
		l.tight[seg] = tight
		if seg%2 == 0 {
			continue
		}
		s := &r.spans[l.on[seg/2]]
		s.Loose = !tight && (s.Tight || s.Loose)
		s.Tight = tight
		switch {
		case was && !tight:
			lost(s)
			s.Low, s.Ended = false, false
		case drawn:
			s.Slipped = false
			own := s.lowAt == *r.gripper || s.Strand == r.gripper.Strand
			if r.draws && (s.lowAt == (Spot{}) || own && !s.since && !r.stands(*r.gripper, true)) {
				s.Low = false
			}
			if !was || r.fresh && s.Strand == r.gripper.Strand { // it is pulled anew, from its own exit or out of slack
				r.open = slices.DeleteFunc(r.open, func(o Op) bool {
					return o.Strand == s.Strand && (o.Fault == FaultLate || o.Fault == FaultTension) && !(was && o.Extent == High)
				})
			}
		}
	}
}

// leads notes the most by which a side led when a main was pulled or let go.
func (r *Racket) leads() {
	lead := r.Lead()
	r.totals.MaxLead = max(r.totals.MaxLead, lead, -lead)
}

// lay puts a strand at the end of a line, or begins one.
func (r *Racket) lay(s int, o *Op) {
	in, out := r.At(o.From), r.At(o.To)
	l, end := (*line)(nil), 1
	if o.After != "" {
		if after, ok := r.index[o.After]; ok {
			l, end = r.tail(after, in)
		}
	}
	switch {
	case l == nil:
		r.lines = append(r.lines, &line{piece: o.Piece, on: []int{s}, places: []int{in, out}, tight: make([]bool, 3), first: s, lack: [2]int{plenty, plenty}})
	case end == 1:
		l.on, l.places, l.tight = append(l.on, s), append(l.places, in, out), append(l.tight, false, false)
		l.lack[1]++
	default:
		l.on, l.places, l.tight = slices.Insert(l.on, 0, s), slices.Insert(l.places, 0, out, in), slices.Insert(l.tight, 0, false, false)
		l.lack[0]++
	}
	if !r.whole[o.Piece] {
		r.whole[o.Piece] = true
		r.begun = append(r.begun, o.Piece)
	}
	r.laid++
	r.spans[s] = Span{Strand: o.Strand, Piece: o.Piece, In: o.From, Out: o.To, First: o.First, Nth: r.laid}
	r.useScrap(in)
	r.useScrap(out)
}

// part takes a strand out of its line: what lay before and behind it are lines of their own. String that is drawn out
// lengthens the tail of what is left, string that is cut leaves a stub.
func (r *Racket) part(s int, cut bool) {
	for l, k := r.lineOf(s); l != nil; l, k = r.lineOf(s) { // a broken strand lies on two
		r.partLine(l, k, cut)
	}
}

func (r *Racket) partLine(l *line, k int, cut bool) {
	stub := func(lack int) int {
		if cut {
			return 1
		}
		return lack - 1
	}
	r.lines = slices.DeleteFunc(r.lines, func(x *line) bool { return x == l })
	if k > 0 {
		a := &line{piece: l.piece, on: slices.Clone(l.on[:k]), places: slices.Clone(l.places[:2*k]), tight: slices.Clone(l.tight[:2*k+1]), first: l.first, lack: l.lack}
		a.tight[2*k], a.lack[1] = false, stub(l.lack[1])
		r.lines = append(r.lines, a)
	}
	if k+1 < len(l.on) {
		b := &line{piece: l.piece, on: slices.Clone(l.on[k+1:]), places: slices.Clone(l.places[2*k+2:]), tight: slices.Clone(l.tight[2*k+2:]), first: l.first, lack: l.lack}
		b.tight[0], b.lack[0] = false, stub(l.lack[0])
		r.lines = append(r.lines, b)
	}
}

// remove takes a strand out of the hoop, with what grips it; its knots go when it is cut. A fixed clamp stays where it stands when
// its strand is cut, and is taken off.
func (r *Racket) remove(s int, cut bool) {
	name := r.strands[s]
	r.part(s, cut)
	of := func(c Spot) bool { return c.Strand == name }
	r.corners, r.marred = slices.DeleteFunc(r.corners, of), slices.DeleteFunc(r.marred, of)
	for i := range r.clamps {
		c := &r.clamps[i]
		switch fixed := i != slot(S) && c.grip.With == ""; {
		case !c.on || !c.grip.On(name):
		case cut && fixed:
			c.gone, c.slip = true, "" // it stands on its rail, with a stub in its jaws
		default:
			*c = standing{}
		}
	}
	if r.gripper != nil && r.gripper.Strand == name {
		r.gripper = nil
	}
	if cut {
		r.knots = slices.DeleteFunc(r.knots, func(k Knot) bool {
			// A starting knot whose strand is not laid falls with the main that it sits on.
			return k.Strand == name || k.Anchor == name && !r.Laid(k.Strand)
		})
	}
	for i := range r.knots { // a starting knot's string enters by its own hole next, wherever it went
		for end, away := range r.spans[s].away {
			if k := &r.knots[i]; k.Strand == name && away > 0 && r.At(k.Out) == away {
				k.Out = r.name(s, end)
			}
		}
	}
	piece := r.spans[s].Piece
	r.whole[piece] = r.whole[piece] && !cut && !r.lost[piece]
	r.spans[s] = Span{Strand: name}
	delete(r.knotAt, name)
	if r.lost[piece] = r.lost[piece] || cut; !slices.ContainsFunc(r.spans, func(x Span) bool { return x.Laid() && x.Piece == piece }) {
		delete(r.lost, piece)
	}
}

// crack breaks a strand: it stays in the hoop, slack, until it is cut out. One half ends the line that led to it, the other
// begins the one that leads on; what holds at its holes holds what lies beyond them.
func (r *Racket) crack(s int) {
	l, k := r.lineOf(s)
	if l == nil {
		return
	}
	const parted = 0 // no place
	r.lines = slices.DeleteFunc(r.lines, func(x *line) bool { return x == l })
	r.lines = append(r.lines, &line{
		piece: l.piece, first: l.first, on: slices.Clone(l.on[:k+1]), places: append(slices.Clone(l.places[:2*k+1]), parted),
		tight: append(slices.Clone(l.tight[:2*k+1]), false, false), lack: [2]int{l.lack[0], 1},
	}, &line{
		piece: l.piece, first: l.first, on: slices.Clone(l.on[k:]), places: append([]int{parted}, l.places[2*k+1:]...),
		tight: append([]bool{false, false}, l.tight[2*k+2:]...), lack: [2]int{1, l.lack[1]},
	})
	span := &r.spans[s]
	span.Loose = span.Loose || span.Tight
	span.Tight, span.Broken, span.Low = false, true, false
	r.lost[span.Piece] = true
}
