package strain

// hold says what takes the load at an end of a tight strand.
type hold int

const (
	onHoop hold = iota // the hole: string runs on outside, or S or a knot lies there
	ground             // a fixed clamp inside, which stands with the machine
	pulled             // the gripper
	onMate             // a flying clamp: the hole of its neighbour
)

// ending is what holds a strand's ends and which actions its tension loads there, −1 for an end that the hoop does not feel.
type ending struct {
	hold [2]hold
	acts [2]int
}

// cause is where tension goes.
type cause int

// The causes, in the order in which they are told.
const (
	toHoop cause = iota
	toWeaving
	toDrawback
	toFriction
	toKnot
	toCreep
	causes
)

// span is a strand while a plan is played.
type span struct {
	ending
	tight, low bool
	turn       int // of the racket, when it was pulled last

	t       float64 // tension, the mean of its profile, N
	e       float64 // by how much it is shorter than the way between what holds it, hoop unloaded and not crimped, mm
	crimp   float64 // what weaving takes of its length, mm
	angle   float64 // by which it turns at all its crossings together, radians
	give    float64 // by how much the hoop brings its ends together, mm
	fixed   bool    // the gripper keeps its tension
	at      int     // its place among the unknowns, −1 where it is none
	firm    float64 // stiffness with hoop and weaving behind it, N/mm
	drawn   bool    // its string was drawn straight in the op, and has no tension yet
	gripped bool    // the gripper drew it and has not let go since
	on      bool    // it was not slack when it was last solved for

	pull    float64    // what the gripper pulled, N
	as      float64    // its tension when the gripper had pulled, N
	profile [2]float64 // tension at the ends over the mean
	age     float64    // since the pull, s
	lost    [causes]float64

	before before
}

// before is what a strand was when the op began, so that what is lost is put to its cause.
type before struct {
	t, e, crimp, give, pull float64
	moved                   [causes]float64 // by how much e was changed, and why
	handed                  []handed
	loose                   bool // it was tight and is not any more
	kept                    bool // the gripper kept its tension
}

// handed is a load that went from one place to another: what the hoop felt of it and what it feels now, as actions, −1 for
// nothing.
type handed struct{ from, to int }

// contact is a support while a plan is played.
type contact struct {
	mounted bool
	gap     float64 // how far it stood off when it was set, less where the hoop then was, mm
	along   float64 // where its hold was set, mm
	r, h    float64 // push and hold, N
	touches bool
	wasR    float64 // push and hold when the op began
	wasH    float64
	off     bool // it was taken off in the op
}

// gripperDraws says whether the gripper holds the strand at one of its ends.
func (s *span) gripperDraws() bool { return s.tight && (s.hold[0] == pulled || s.hold[1] == pulled) }
