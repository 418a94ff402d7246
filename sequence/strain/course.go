package strain

import (
	"pullcard/sequence/plan"
)

// Course is what a plan does to strings and hoop, from the first step to a day after the last.
type Course struct {
	Model *Model
	Plan  *plan.Plan
	// At is how things stand when each step is over.
	At []State
	// Strands are what became of every strand, in the order of the plan.
	Strands []Strand
	// Hoop are the changes of length and width when phases were over.
	Hoop []Size
	// Supports are the largest loads of the supports that pushed, the throat's yoke among them.
	Supports []Peak
	// Bending is the largest moment in the tube.
	Bending Moment
	// Work is where the gripper's work went until the last step was done.
	Work Work
	// MostMM is the farthest that a place of the hoop was moved, or by how much its length or width changed at most.
	MostMM float64
}

// Beyond says whether the hoop moves farther than the model holds.
func (c *Course) Beyond() bool { return c.MostMM > Beyond }

// State is how things stand when a step is over.
type State struct {
	Newtons []float64 // by strand; nought where it is not tight
	// LengthMM and WidthMM are by how much longer and wider the hoop is than unstrung.
	LengthMM, WidthMM float64
	// SupportN is the largest load of a support within the step, Support which, empty where none pushed.
	SupportN float64
	Support  string
	// BendingNm is the largest moment within the step.
	BendingNm float64

	load []float64
}

// Strand is what became of a strand, in newtons.
type Strand struct {
	Name                                             string
	Ordered, Pulled, OnMachine, OffMachine, AfterDay float64
	// Lost is where what is missing between Pulled and AfterDay went; below nought where it gained.
	Lost Lost
	// Profile is the tension at the ends of the chord over the mean, as friction left it.
	Profile [2]float64
	// Slack says that it was slack at some time after it had been pulled.
	Slack bool
}

// Lost is where the tension of a strand went, in newtons.
type Lost struct{ Hoop, Weaving, Drawback, Friction, Knot, Creep float64 }

// Sum is all of it.
func (l Lost) Sum() float64 { return l.Hoop + l.Weaving + l.Drawback + l.Friction + l.Knot + l.Creep }

// Size is by how much the hoop is longer and wider than unstrung, in mm, when a phase is over.
type Size struct {
	After             string // "mount", "mains", "crosses" or "dismount"
	LengthMM, WidthMM float64
}

// Peak is the largest load of a support, in newtons, and the step in which it has it.
type Peak struct {
	Support string
	Newtons float64
	Step    int
}

// Moment is the largest bending moment, in N·m, the step in which it is there, and the hole nearest to it.
type Moment struct {
	Nm   float64
	Step int
	Hole string
}

// Beyond is the displacement in mm beyond which the model no longer holds.
const Beyond = 5.0
