package plan

// line is the string as it lies when some steps are done: which ends of strands a run outside joins, what is tight, and
// what holds where.
type line struct {
	ends   map[Strand][2]Hole // where a strand enters and leaves
	joined map[spot]spot
	tight  map[Strand]bool
	holds  map[spot]bool
}

// spot is an end of a strand.
type spot struct {
	strand Strand
	hole   Hole
}

// Lost are the strands that lose their tension when a clamp slips after the first done steps: from where it stands back
// to the next hold, in that order. There are none when the clamp is off or holds nothing tight.
func (p *Plan) Lost(done int, c Clamp) []Strand {
	if done < 1 || p.Steps[done-1].Clamps[c] == nil {
		return nil
	}
	l := p.lineAfter(done)
	for name, g := range p.Steps[done-1].Clamps {
		if g != nil && name != c {
			l.holds[spot{g.Strand, g.Hole}] = true
		}
	}
	grip := p.Steps[done-1].Clamps[c]
	at := spot{grip.Strand, grip.Hole}
	if l.holds[at] {
		return nil // another clamp holds at the same place
	}
	if !l.tight[at.strand] { // it holds what lies beyond the run outside
		next, ok := l.joined[at]
		if !ok || l.holds[next] {
			return nil
		}
		at = next
	}
	return l.back(at)
}

// back follows tight string from the end of a strand through it and on, up to a hold.
func (l *line) back(at spot) (lost []Strand) {
	for l.tight[at.strand] && len(lost) <= len(l.ends) {
		lost = append(lost, at.strand)
		ends := l.ends[at.strand]
		far := spot{at.strand, ends[0]}
		if far == at {
			far.hole = ends[1]
		}
		next, ok := l.joined[far]
		if l.holds[far] || !ok || l.holds[next] {
			break
		}
		at = next
	}
	return lost
}

func (p *Plan) lineAfter(done int) *line {
	l := &line{map[Strand][2]Hole{}, map[spot]spot{}, map[Strand]bool{}, map[spot]bool{}}
	for i := range p.Steps[:done] {
		for j := range p.Steps[i].Ops {
			l.play(&p.Steps[i].Ops[j])
		}
	}
	return l
}

func (l *line) play(o *Op) {
	switch o.Op {
	case Thread, Weave:
		if o.After != "" {
			tail, head := l.tail(o.After, o.From), spot{o.Strand, o.From}
			l.joined[tail], l.joined[head] = head, tail
		}
		l.ends[o.Strand] = [2]Hole{o.From, o.To}
	case Pull:
		l.tight[o.Strand] = true
	case Slacken:
		delete(l.tight, o.Strand)
	case Tie:
		l.holds[spot{o.Strand, o.Out}] = true
	case Untie:
		delete(l.holds, spot{o.Strand, o.Out})
	case Unthread, Unweave, Cut:
		for _, h := range l.ends[o.Strand] {
			at := spot{o.Strand, h}
			delete(l.joined, l.joined[at])
			delete(l.joined, at)
			if o.Op == Cut {
				delete(l.holds, at)
			}
		}
		delete(l.ends, o.Strand)
		delete(l.tight, o.Strand)
	}
}

// tail is the free end of a strand that string is laid on from: the one on the side of the hole where it enters, or
// across the centre line the one of the same name.
func (l *line) tail(s Strand, from Hole) spot {
	best := spot{s, l.ends[s][1]}
	for _, h := range l.ends[s] {
		at := spot{s, h}
		if _, used := l.joined[at]; used {
			continue
		}
		if _, used := l.joined[best]; used || h[len(h)-1] == from[len(from)-1] && best.hole[len(best.hole)-1] != from[len(from)-1] || h[:len(h)-1] == from[:len(from)-1] {
			best = at
		}
	}
	return best
}
