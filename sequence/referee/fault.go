package referee

import (
	"slices"

	"pullcard/sequence/plan"
)

// wrong is what was said to lie wrong with a strand.
type wrong uint8

const (
	wrongWeave wrong = 1 << iota
	wrongHole
	wrongPlace
	wrongKink
)

// doubt is why a strand's tension is not trusted.
type doubt uint8

const (
	doubtSlip doubt = 1 << iota
	doubtTension
	doubtHigh // pulled too high: a pull takes nothing off it
)

// fault says what went wrong and does that to the string.
func (t *Table) fault(op *plan.Op) {
	t.needs("text", op.Text)
	if op.Fault == plan.FaultPause {
		return // all holds, and the rest follows
	}
	for s := range t.spans {
		t.spans[s].doomed = false // what comes out is known anew
	}
	t.lastCut = none
	t.disorder()
	switch op.Fault {
	case plan.FaultClamp, plan.FaultGripper, plan.FaultBreak, plan.FaultKnot:
		for e := range t.ends {
			t.ends[e].felt = false
		}
		t.letsGo(op)
		for e := range t.ends {
			if !t.spans[e/2].tense && !t.ends[e].tense {
				t.uncorner(e) // slack on both sides
			}
		}
	case plan.FaultSplit:
		t.split(op)
	case plan.FaultShort:
		t.tooShort(op)
	case plan.FaultFrame:
		t.cracked = true
	default:
		t.faulty(op)
	}
}

// letsGo does a mishap that moves string.
func (t *Table) letsGo(op *plan.Op) {
	switch op.Fault {
	case plan.FaultClamp:
		t.slipClamp(op)
	case plan.FaultGripper:
		t.slipGripper(op)
	case plan.FaultBreak:
		t.breaks(op)
	case plan.FaultKnot:
		if op.Choose != "keep" || op.Extent != plan.Crept {
			t.slipKnot(op)
		}
	}
}

// faulty does a mishap of a strand that moves nothing.
func (t *Table) faulty(op *plan.Op) {
	s := none
	switch op.Fault {
	case plan.FaultKink:
		if s = t.strand(op.Strand, ruleOnce); s != none && op.Choose != "past" { // it may be worked past before it is laid
			s = t.laid(op.Strand, ruleOnce)
		}
		if s == none {
			return
		}
	case plan.FaultWeave, plan.FaultHole, plan.FaultSwapped, plan.FaultLate, plan.FaultTension:
		if s = t.laid(op.Strand, ruleOnce); s == none {
			return
		}
	default:
		t.breach(ruleEnd, "no mishap is called %q", op.Fault)
		return
	}
	sp := &t.spans[s]
	switch op.Fault {
	case plan.FaultWeave:
		sp.wrong |= wrongWeave
	case plan.FaultHole:
		sp.wrong |= wrongHole
		t.strays(op)
	case plan.FaultSwapped:
		if op.Hole == "" { // at one end only: which lies in which wrong hole follows
			t.swapped(op, s)
		} else if at := t.bed.hole(op.Hole); at != t.ends[2*s].hole && at != t.ends[2*s+1].hole {
			t.breach(ruleHole, "%s is not in %q, it cannot be swapped there", op.Strand, op.Hole)
		}
	case plan.FaultKink:
		t.kinked(op, sp)
	case plan.FaultLate:
		t.doubts(s, doubtSlip)
	case plan.FaultTension:
		t.misset(op, s)
	}
}

// swapped marks two strands that lie in each other's place; the other may not be laid yet.
func (t *Table) swapped(op *plan.Op, s int) {
	t.spans[s].wrong |= wrongPlace
	w := t.strand(op.With, ruleOnce)
	if w != none && w != s && t.kind(w) == t.kind(s) {
		if t.spans[w].laid {
			t.spans[w].wrong |= wrongPlace
		}
	} else if w != none {
		t.breach(ruleOnce, "%s cannot be swapped with %s", op.Strand, op.With)
	}
}

// kinked marks a strand with a kink. Before it is pulled the kink can be worked past it.
func (t *Table) kinked(op *plan.Op, sp *span) {
	if op.Choose != "past" {
		sp.wrong |= wrongKink
	} else if sp.pulled {
		t.breach(ruleOnce, "%s was pulled with its kink, it cannot be worked past", op.Strand)
	}
}

// misset doubts a strand that was pulled at a wrong setting, and those of its kind that were pulled after it.
func (t *Table) misset(op *plan.Op, s int) {
	if !t.spans[s].pulled {
		t.breach(ruleOnce, "%s was not pulled yet", op.Strand)
		return
	}
	for r := range t.spans {
		if sp := &t.spans[r]; sp.tense && t.kind(r) == t.kind(s) && sp.turn >= t.spans[s].turn {
			if t.doubts(r, doubtTension); op.Extent == plan.High {
				sp.doubt |= doubtHigh
			}
		}
	}
}

// doubts doubts a strand's pull, be it in the gripper still.
func (t *Table) doubts(s int, why doubt) {
	t.spans[s].doubt |= why
	t.pulling.doubted = t.pulling.doubted || t.pulls(s)
}

// disorder lets the phases come anew.
func (t *Table) disorder() { t.anew, t.where.lays = true, false }

// slipGripper lets the gripper slip off the string that it pulls.
func (t *Table) slipGripper(op *plan.Op) {
	e := t.gripper
	if e == none {
		t.breach(ruleStock, "the gripper does not pull, it cannot slip")
		return
	}
	t.tear()
	t.feltTight(op, e)
	t.slip(t.give(e))
}

// feltTight lets corners and weave hold what somebody felt to be tight: what lets go at an end goes slack as far as that. Of the mains
// it is the one beyond the centre loop; from a cross on any but the first.
func (t *Table) feltTight(op *plan.Op, e int) {
	if op.With == "" {
		return
	}
	far, slack := t.strand(op.With, ruleHeld), t.cell(e)
	if i := slices.Index(slack, far); i > 0 && t.ends[e].holds == 0 && (t.kind(slack[0]) == 1 || t.kind(far) == 0 && t.side(far) != t.side(slack[i-1])) {
		at := t.joint(far, slack[i-1])
		t.ends[at].corner = true
		t.hold(at)
		for x := at; x != none; x = t.ends[x^1].link {
			if t.spans[x/2].low == e+1 { // lost this side of it, by a clamp that crept here
				t.spans[x/2].low = 0
			}
		}
		return
	}
	t.breach(ruleHeld, "%s is neither the centre main beyond the centre loop from what lets go nor along the crosses: no corner holds it", op.With)
}

// tear lets the gripper lose its string.
func (t *Table) tear() {
	t.letGo(t.gripper)
	t.gripper, t.torn = none, true
}

// waive leaves a strand as it lies, by name: woven or laid wrong, or pulled at a wrong setting.
func (t *Table) waive(op *plan.Op) {
	t.needs("text", op.Text)
	s := t.laid(op.Strand, ruleWeave)
	if s == none {
		return
	}
	sp := &t.spans[s]
	if op.From != "" || op.To != "" {
		t.keeps(op, s)
		return
	}
	w, d := wrongWeave|wrongHole|wrongPlace, doubtTension|doubtHigh
	if op.Fault != "" { // only that
		w, d = excused(op.Fault), 0
		if op.Fault == plan.FaultTension {
			d = doubtTension | doubtHigh
		}
	}
	if sp.wrong&w == 0 && sp.doubt&d == 0 {
		t.breach(ruleWeave, "nothing of %s can be left as it is: only a misweave, a wrong hole or place, and a wrong setting can", op.Strand)
		return
	}
	for _, e := range ends(s) {
		if end := &t.ends[e]; w&(wrongHole|wrongPlace) != 0 && end.hole != end.home && !end.kept {
			end.kept = true
			t.holes[end.hole].strands-- // it takes nobody's room
		}
	}
	sp.wrong &^= w
	sp.doubt &^= d
}

// excused is what a waiver of one mishap leaves as it lies.
func excused(m plan.Mishap) wrong {
	switch m {
	case plan.FaultWeave:
		return wrongWeave
	case plan.FaultHole:
		return wrongHole
	case plan.FaultSwapped:
		return wrongPlace
	}
	return 0
}
