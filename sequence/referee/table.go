package referee

import (
	"fmt"

	"pullcard/sequence/plan"
)

// Table is the machine with the racket on it, as it stands after the steps that were played. Make one with New or From.
type Table struct {
	bed   *bed
	mute  string // the words of a check that a test switches off
	spans []span // by strand
	ends  []end  // two a strand: 2s is where strand s enters the hoop, 2s+1 where it leaves it
	holes []hole // by position, from 1
	knots []knot // in the order in which they were tied

	clamps  [3]clamp // in the order of plan.Clamps
	gripper int      // the end outside which the gripper pulls, or none
	pulling struct {
		again   bool // it is a re-pull
		doubted bool // it is not trusted since: it takes no doubt away
		outward bool // it draws the loop outside and not the span
		also    int  // the strand that it draws along across a loop, or none
		stood   int  // so many of A and B stood when it began
	}
	torn   bool  // the gripper lost its string in a mishap and may still be eased
	walked []int // the strands that slack was walked along just now
	pieces [2]piece

	last   int    // the strand that was pulled last, or none
	turn   int    // layings and pulls so far, to tell what came after what
	tight  [2]int // mains and crosses that are tensioned
	rest   int    // crosses to be pulled before the last; a skip start's first cross does not count
	totals plan.Totals

	finished bool  // the first cross's tail was pulled again, and holds
	weave    []int // by main: which crosses lie over it, those of even (0) or odd (1) place on it; none when unknown

	supports struct{ up, down int } // mounted and dismounted
	strung   bool                   // the first string was touched
	ranged   bool                   // the printed range was looked at

	cracked bool // the frame is
	lastCut int  // the kind of strand that was cut last since something went wrong, or none
	astray  bool // something went wrong: the order is that of no term any more

	steps int  // played
	phase int  // the last step's, by its place in plan.Phases
	anew  bool // something went wrong: the phases are in no order until the next strand is laid
	where where
	found []Breach // in the step that is played
}

// span is a strand's string inside the hoop.
type span struct {
	laid, tense, pulled bool
	slipped             bool  // slack because what held it let go; it was pulled
	loose               bool  // slack, and was tight since it was laid
	parted              bool  // it broke
	boosted             int   // 1 + the end at which its last pull was, or looped; 0 where that was not
	low                 int   // tight, but it lost tension: 1 + the end from which a re-pull restores it, or looped; 0 otherwise
	doomed              bool  // were it tight where it was pressed it would be cut there
	since               bool  // it went low while the gripper pulled already
	wrong               wrong // what was said to lie wrong with it and was not taken out since
	doubt               doubt // why its tension is not trusted
	knotAt              int   // the position in which its short tail is tied, or 0
	nth, turn           int   // when it was laid and when it was pulled last
}

// end is where a span passes a hole.
type end struct {
	hole   int
	home   int   // the hole that it belongs into; it is in another where a mishap says so
	kept   bool  // it is in a wrong hole, by name
	link   int   // the end at the other side of the run outside, or none: then a tail hangs outside
	holds  int   // how many things hold the string here
	short  int16 // 0 for a tail of full length, 1 for one that was trimmed, n when n-1 strands were drawn out before it
	tense  bool  // the run outside is tensioned
	felt   bool  // the strand was pressed here since something let go
	knot   bool  // the tail is tied
	corner bool  // corners and weave hold here, until a pull draws through, since a knot came open or it was felt to be tight
	late   bool  // pulled here while no next cross was woven
	mark   bool  // jaws slipped on the string here
}

// hole is what a hole may carry and does carry; its knots are in the table's list.
type hole struct {
	shared, tieMains, tieCrosses bool
	split                        bool // neither knot nor strand goes there any more
	told                         bool // a note named it since a strand was put through it
	scrap                        bool // a note named it since the last strand was put through it
	instead                      int  // the position chosen for the knot that would go into it, split as it is, or 0
	hidden                       int  // the step in which a run came to lie over it unannounced, or 0
	due                          int  // strands that are still to be threaded through it
	strands                      int  // in it
	over                         int  // runs outside that lie over it
}

// piece is a piece of string: one for all, or the mains' and the crosses'.
type piece struct {
	begun  bool
	lost   bool // it broke or a strand of it was cut: all of it has to be cut out
	broken bool // it broke, and where was said: what clamps grip of it is felt before they come off
}

// where is what is played just now.
type where struct {
	step, op, pulls int
	doing           *plan.Op
	lays            bool // a strand was laid in this step, after what went wrong in it
	hung            bool // the gripper pulled already when the step began
	handled         bool // string was handled in this step
}

// New returns the table before the first step. The terms must not change while the table is used.
// When they describe no racket the table is nil and the breaches say why.
func New(terms *plan.Terms) (*Table, []Breach) { return without(terms, "") }

// without is New with one check, the one that says these words, switched off, so that tests can show that others do not
// stand in for it.
func without(terms *plan.Terms, mute string) (*Table, []Breach) {
	b, breaches := read(terms, mute)
	if b == nil {
		return nil, breaches
	}
	t := &Table{
		bed:     b,
		mute:    mute,
		spans:   make([]span, len(b.strands)),
		ends:    make([]end, 2*len(b.strands)),
		holes:   make([]hole, b.total()+1),
		knots:   make([]knot, 0, 2*b.terms.Pieces),
		clamps:  [3]clamp{off(), off(), off()},
		gripper: none,
		last:    none,
		rest:    len(b.strands) - b.mains,
		weave:   make([]int, b.mains),
		lastCut: none,
	}
	if b.skipped() != none {
		t.rest--
	}
	t.pulling.also = none
	for i := range t.weave {
		t.weave[i] = none
	}
	for i := range t.ends {
		t.ends[i].link = none
	}
	t.makeHoles()
	return t, nil
}

// makeHoles makes the holes.
func (t *Table) makeHoles() {
	for i := range t.bed.strands {
		for _, pos := range t.bed.strands[i].ends {
			t.holes[pos].due++
		}
	}
	for _, h := range t.bed.terms.Shared {
		t.holes[t.bed.hole(h)].shared = true
	}
	for _, h := range t.bed.terms.TieMains {
		t.holes[t.bed.hole(h)].tieMains = true
	}
	for _, h := range t.bed.terms.TieCrosses {
		t.holes[t.bed.hole(h)].tieCrosses = true
	}
}

// Step plays one step and returns its breaches. After a breach the play goes on as the op says, as far as it can.
func (t *Table) Step(s *plan.Step) []Breach {
	t.found = nil
	t.steps++
	t.where = where{step: t.steps, hung: t.gripper != none}
	for i := range s.Ops {
		t.where.op, t.where.doing = i+1, &s.Ops[i]
		t.play(&s.Ops[i], s.Phase)
		if !still(s.Ops[i].Op) {
			t.boundaries()
		}
	}
	t.where.op, t.where.doing = 0, nil
	t.close(s)
	return t.found
}

// play does one op: each kind has a method of its own, which changes the table and says what breaks a rule.
func (t *Table) play(op *plan.Op, phase plan.Phase) {
	t.standing(op.Op)
	t.inPhase(op.Op, phase)
	t.avoidsLost(op)
	t.stubs(op)
	if !keepsWalk(op.Op) {
		t.walked = nil
	}
	switch op.Op {
	case plan.Mount:
		t.mount(op)
	case plan.Dismount:
		t.dismount(op)
	case plan.Thread, plan.Weave:
		t.lay(op)
	case plan.Pull:
		t.pull(op)
	case plan.Release:
		t.release()
	case plan.ClampOn:
		t.grab(op)
	case plan.Unclamp:
		t.unclamp(op)
	case plan.Tie:
		t.tie(op)
	case plan.Trim:
		t.trim(op)
	case plan.Straighten:
		t.straighten(op)
	case plan.Inspect:
		t.inspect(op)
	case plan.Note:
		t.needs("text", op.Text)
		t.announce(op.Text)
	default:
		t.astray = t.astray || op.Fault != plan.FaultPause
		t.recover(op)
	}
}

// recover does an op that only a recovery has.
func (t *Table) recover(op *plan.Op) {
	switch op.Op {
	case plan.Fault:
		t.fault(op)
	case plan.Slacken:
		t.slacken(op)
	case plan.Unthread, plan.Unweave:
		t.unlay(op)
	case plan.Move:
		t.move(op)
	case plan.Untie:
		t.untie(op)
	case plan.Cut:
		t.cut(op)
	case plan.WalkSlack:
		t.walk(op)
	case plan.Waive:
		t.waive(op)
	default:
		t.breach(ruleEnd, "no operation is called %q", op.Op)
	}
}

func (t *Table) breach(rule int, format string, args ...any) {
	if format == t.mute {
		return
	}
	b := Breach{Step: t.where.step, Op: t.where.op, Rule: rule, What: fmt.Sprintf(format, args...)}
	if t.where.doing != nil {
		b.Doing = doing(t.where.doing)
	}
	t.found = append(t.found, b)
}

// needs checks that a field says something.
func (t *Table) needs(field, value string) {
	if value == "" {
		t.breach(ruleEnd, "the %s is missing", field)
	}
}

// strand returns the index of a strand that an op names, or none after a breach.
func (t *Table) strand(name plan.Strand, rule int) int {
	s := t.bed.find(name)
	if s == none {
		t.breach(rule, "the frame has no strand %q", name)
	}
	return s
}

// laid returns the index of a strand that an op names and that is laid, or none after a breach.
func (t *Table) laid(name plan.Strand, rule int) int {
	s := t.strand(name, rule)
	if s != none && !t.spans[s].laid {
		t.breach(rule, "%s is not laid yet", name)
		return none
	}
	return s
}

// end returns the end at which a laid strand passes a hole, or none after a breach.
func (t *Table) end(name plan.Strand, hole plan.Hole, rule int) int {
	s := t.laid(name, rule)
	if s == none {
		return none
	}
	for _, e := range ends(s) {
		if t.ends[e].hole == t.bed.hole(hole) {
			return e
		}
	}
	t.breach(rule, "%s does not pass hole %q", name, hole)
	return none
}

// ends are where a strand enters the hoop and where it leaves it.
func ends(s int) [2]int { return [2]int{2 * s, 2*s + 1} }

// beside are an end and, where the string goes on there, the one at the other side of the run outside.
func (t *Table) beside(e int) []int {
	if next := t.ends[e].link; next != none {
		return []int{e, next}
	}
	return []int{e}
}

// nameOf is the name of the strand that an end belongs to.
func (t *Table) nameOf(e int) plan.Strand { return t.bed.strands[e/2].name }

// holeOf is the name of an end's hole.
func (t *Table) holeOf(e int) plan.Hole { return t.bed.name(t.ends[e].hole) }
