package strain

// Work is where the work of the gripper went until an op was done, in N·mm while a plan is played and in joules in its course.
// Gripper is the sum of all the others: what is stored in strings, hoop and supports, and what is gone. Between two states everything
// is taken to change along a straight line, which is exact as long as no strand goes slack and no support lifts off on the way.
type Work struct {
	Gripper  float64 `json:"gripper"`
	Stored   float64 `json:"stored"`
	Friction float64 `json:"friction"`
	Drawback float64 `json:"drawback"`
	Knots    float64 `json:"knots"`
	Creep    float64 `json:"creep"`
	Weaving  float64 `json:"weaving"` // in pressing crossings from the one strand into the other
	Clamps   float64 `json:"clamps"`  // taken by clamps that came off, and by string that was let go
	Machine  float64 `json:"machine"` // taken by supports that came off
}

// joules is work that was in N·mm.
func (w Work) joules() Work {
	for _, to := range []*float64{&w.Gripper, &w.Stored, &w.Friction, &w.Drawback, &w.Knots, &w.Creep, &w.Weaving, &w.Clamps, &w.Machine} {
		*to /= 1000
	}
	return w
}

// Gone is what is gone.
func (w Work) Gone() float64 {
	return w.Friction + w.Drawback + w.Knots + w.Creep + w.Weaving + w.Clamps + w.Machine
}

// book adds up what an op did.
func (y *play) book() {
	w := &y.work
	w.Stored = 0
	for a, n := range y.load {
		w.Stored += n * y.move[a] / 2
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
			w.Stored += s.t * s.t / 2 / k
			y.bookSpan(i)
		}
	}
	for i := range y.contacts {
		c := &y.contacts[i]
		ofR, ofH := stiffness(y.m.Numbers.Support), stiffness(y.m.Numbers.Hold)
		w.Stored += c.r*c.r/2*ofR + c.h*c.h/2*ofH
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
