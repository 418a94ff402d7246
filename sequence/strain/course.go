package strain

import (
	"pullcard/sequence/plan"
)

// Course is what a plan does to strings and hoop, from the first step to a day after the last.
type Course struct {
	Model *Model     `json:"-"`
	Plan  *plan.Plan `json:"-"`
	// At is how things stand when each step is over.
	At []State `json:"-"`
	// Strands are what became of every strand, in the order of the plan.
	Strands []Strand `json:"strands"`
	// Hoop are the changes of length and width when phases were over.
	Hoop []Size `json:"hoop"`
	// Supports are the largest loads of the supports that pushed, the throat's yoke among them.
	Supports []Peak `json:"supports"`
	// Bending is the largest moment in the tube.
	Bending Moment `json:"bending"`
	// MostMM is the farthest that a place of the hoop was moved, or by how much its length or width changed at most, and Beyond says
	// whether that is farther than the model holds.
	MostMM float64 `json:"-"`
	Beyond bool    `json:"beyond_model"`
	// Work is where the gripper's work went until the last step was done.
	Work Work `json:"work_joules"`
}

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
	Name       string  `json:"strand"`
	Ordered    float64 `json:"ordered_newtons"`
	Pulled     float64 `json:"pulled_newtons"`
	OnMachine  float64 `json:"on_machine_newtons"`
	OffMachine float64 `json:"off_machine_newtons"`
	AfterDay   float64 `json:"day_newtons"`
	// Lost is where what is missing between Pulled and AfterDay went; below nought where it gained.
	Lost Lost `json:"lost"`
	// Profile is the tension at the ends of the chord over the mean, as friction left it.
	Profile [2]float64 `json:"-"`
	// Slack says that it was slack at some time after it had been pulled.
	Slack bool `json:"slack"`
}

// Lost is where the tension of a strand went, in newtons.
type Lost struct {
	Hoop     float64 `json:"hoop"`
	Weaving  float64 `json:"weaving"`
	Drawback float64 `json:"drawback"`
	Friction float64 `json:"friction"`
	Knot     float64 `json:"knot"`
	Creep    float64 `json:"creep"`
}

// Sum is all of it.
func (l Lost) Sum() float64 { return l.Hoop + l.Weaving + l.Drawback + l.Friction + l.Knot + l.Creep }

// Size is by how much the hoop is longer and wider than unstrung, in mm, when a phase is over.
type Size struct {
	After    string  `json:"after"` // "mount", "mains", "crosses" or "dismount"
	LengthMM float64 `json:"length_mm"`
	WidthMM  float64 `json:"width_mm"`
}

// Peak is the largest load of a support, in newtons, and the step in which it has it.
type Peak struct {
	Support string  `json:"support"`
	Newtons float64 `json:"peak_newtons"`
	Step    int     `json:"step"`
}

// Moment is the largest bending moment, in N·m, the step in which it is there, and the hole nearest to it.
type Moment struct {
	Nm   float64 `json:"peak_newton_metres"`
	Step int     `json:"step"`
	Hole string  `json:"hole"`
}

// beyondMM is the displacement in mm beyond which the model no longer holds.
const beyondMM = 5.0
