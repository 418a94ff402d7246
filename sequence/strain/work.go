package strain

// Work is where the work of the gripper went until an op was done, in N·mm. Gripper is the sum of all the others: what is stored
// in strings, hoop and supports, and what is gone. Between two states everything is taken to change along a straight line, which
// is exact as long as no strand goes slack and no support lifts off on the way.
type Work struct {
	Gripper float64

	Strings, Hoop, Supports float64 // stored

	Friction, Drawback, Knots, Creep float64 // gone
	Weaving                          float64 // in pressing crossings from the one strand into the other
	Clamps                           float64 // taken by clamps that came off, and by string that was let go
	Machine                          float64 // taken by supports that came off
}

// Stored is what is stored.
func (w Work) Stored() float64 { return w.Strings + w.Hoop + w.Supports }

// Gone is what is gone.
func (w Work) Gone() float64 {
	return w.Friction + w.Drawback + w.Knots + w.Creep + w.Weaving + w.Clamps + w.Machine
}

// book adds up what an op did.
func (y *play) book() {
	w := &y.work
	w.Strings, w.Hoop, w.Supports = 0, 0, 0
	for a, n := range y.load {
		w.Hoop += n * y.move[a] / 2
	}
	for i := range y.spans {
		s, k := &y.spans[i], y.m.cords[i].k
		for _, h := range s.before.handed {
			w.Clamps += s.before.t / 2 * (y.moved(h.to) - y.moved(h.from))
		}
		switch {
		case s.before.loose:
			w.Clamps += s.before.t * s.before.t / 2 / k
		case s.tight:
			w.Strings += s.t * s.t / 2 / k
			y.bookSpan(i)
		}
	}
	for i := range y.contacts {
		c := &y.contacts[i]
		ofR, ofH := stiffness(y.m.Numbers.Support), stiffness(y.m.Numbers.Hold)
		w.Supports += c.r*c.r/2*ofR + c.h*c.h/2*ofH
		if c.off {
			w.Machine += c.wasR/2*(c.wasR*ofR-y.moved(y.m.push(i))) + c.wasH/2*(c.wasH*ofH-y.moved(y.m.hold(i)))
		}
	}
}

// bookSpan adds up what an op did to a strand that is tight.
func (y *play) bookSpan(i int) {
	s, w, b := &y.spans[i], &y.work, &y.spans[i].before
	mean := (b.t + s.t) / 2
	for why, to := range [causes]*float64{toDrawback: &w.Drawback, toFriction: &w.Friction, toKnot: &w.Knots, toCreep: &w.Creep} {
		if to != nil {
			*to -= mean * b.moved[why]
		}
	}
	w.Weaving -= mean * (s.crimp - b.crimp)
	if !b.kept {
		s.lost[toHoop] += y.m.cords[i].k * (s.give - b.give)
		s.lost[toWeaving] -= y.m.cords[i].k * (s.crimp - b.crimp)
		return
	}
	drawn, pull := s.e-b.e, (b.pull+s.pull)/2
	for _, mm := range b.moved {
		drawn -= mm
	}
	w.Gripper += pull * drawn
	w.Friction += (pull - mean) * drawn
	s.lost[toHoop], s.lost[toWeaving] = 0, 0 // the gripper made up for them
}

// moved is by how much the hoop moved along an action in the op, nought for none.
func (y *play) moved(act int) float64 {
	if act < 0 {
		return 0
	}
	return y.move[act] - y.were[act]
}
