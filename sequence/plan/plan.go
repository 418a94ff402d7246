// Package plan holds what a plan is and nothing of how one is made: the steps, the operations that hands do in
// order, and the terms that the plan was asked to keep. Planner, referee, bench and book share these types.
//
// Start with Plan; its JSON form is what scripts read.
package plan

import (
	"slices"
	"strings"
)

// Version is the version of the JSON form of a Plan.
const Version = 1

// Strand names a span of string: "M3L" is the third main from the centre on the left, "C1" the cross nearest the head.
type Strand string

// IsMain says whether it is a main, and IsCross whether it is a cross; no strand, "", is neither.
func (s Strand) IsMain() bool  { return strings.HasPrefix(string(s), "M") }
func (s Strand) IsCross() bool { return strings.HasPrefix(string(s), "C") }

// Hole names a hole by number, end and side: "7HL" is the seventh from the head centre, left.
type Hole string

// Clamp names what holds string: A and B grip strands inside the hoop, S is the starting clamp.
type Clamp string

// The clamps of the contract. A is the left one, B the right one.
const (
	A Clamp = "A"
	B Clamp = "B"
	S Clamp = "S"
)

// Clamps lists every clamp in the order in which it is shown.
func Clamps() []Clamp { return []Clamp{A, B, S} }

// Phase is the part of the work that a step belongs to.
type Phase string

// The phases in their order.
const (
	PhaseMount   Phase = "mount"
	PhaseMains   Phase = "mains"
	PhaseCrosses Phase = "crosses"
	PhaseFinish  Phase = "finish"
)

// Phases lists the phases in the order of the work.
func Phases() []Phase { return []Phase{PhaseMount, PhaseMains, PhaseCrosses, PhaseFinish} }

// Plan is the ordered list of steps that strings one frame by one technique at given tensions.
type Plan struct {
	Version   int      `json:"version"`
	Plan      string   `json:"plan"` // fingerprint, lower-case hexadecimal
	Frame     string   `json:"frame"`
	Technique string   `json:"technique"`
	Totals    Totals   `json:"totals"`
	Loads     Loads    `json:"loads"`
	Warnings  []string `json:"warnings"`
	Terms     Terms    `json:"terms"`
	Steps     []Step   `json:"steps"`
}

// Totals counts what a plan contains.
type Totals struct {
	Pulls   int `json:"pulls"` // without re-pulls
	Knots   int `json:"knots"`
	MaxLead int `json:"max_lead"` // the most pulls by which one side of the mains runs ahead
}

// Step is what the stringer does between two presses of the key; it holds at most one pull.
type Step struct {
	N      int             `json:"n"` // from 1
	Phase  Phase           `json:"phase"`
	Title  string          `json:"title"`
	Ops    []Op            `json:"ops"`
	Clamps map[Clamp]*Grip `json:"clamps"` // where each clamp stands when the step is over; nil is free
	// Base is the number that the step has in the plan without mishaps, 0 for a step of a recovery.
	Base int `json:"base"`
	// Record says that the step only writes down what happened: the ops that were done of the step in hand, then the fault. It is
	// done when it is reported.
	Record bool `json:"record,omitempty"`
}

// Pull returns the step's pull, or nil.
func (s *Step) Pull() *Op { return s.find(Pull) }

// FromPull are the ops of the step from its pull on, all of them where it has none.
func (s *Step) FromPull() []Op {
	return s.Ops[max(slices.IndexFunc(s.Ops, func(o Op) bool { return o.Op == Pull }), 0):]
}

// Tie returns the step's knot, or nil.
func (s *Step) Tie() *Op { return s.find(Tie) }

// Mishap returns what the step writes down that went wrong, or nil.
func (s *Step) Mishap() *Op { return s.find(Fault) }

// TakesOut says whether string is cut or comes out in the step.
func (s *Step) TakesOut() bool {
	return slices.ContainsFunc(s.Ops, func(o Op) bool { return slices.Contains([]OpKind{Cut, Unthread, Unweave, Untie}, o.Op) })
}

// Regrips says whether clamps or the gripper take or let go of string in the step, or an end of it goes into another hole.
func (s *Step) Regrips() bool {
	return slices.ContainsFunc(s.Ops, func(o Op) bool {
		return slices.Contains([]OpKind{Pull, Release, Slacken, ClampOn, Unclamp, Move}, o.Op)
	})
}

// Lay returns the step's first thread or weave, or nil.
func (s *Step) Lay() *Op {
	if op := s.find(Weave); op != nil {
		return op
	}
	return s.find(Thread)
}

func (s *Step) find(do OpKind) *Op {
	for i := range s.Ops {
		if s.Ops[i].Op == do {
			return &s.Ops[i]
		}
	}
	return nil
}

// Grip says where a clamp stands.
type Grip struct {
	Strand  Strand `json:"strand"`
	Hole    Hole   `json:"hole"`
	Outside bool   `json:"outside,omitempty"` // outside the hoop, which only S can be
	With    Strand `json:"with,omitempty"`    // the neighbour that a flying clamp grips too
}

// On says whether the clamp grips a strand, alone or beside its neighbour.
func (g Grip) On(s Strand) bool { return g.Strand == s || g.With != "" && g.With == s }

// Cracked says whether the plan ends the work on a cracked frame and not with a strung racket.
func (p *Plan) Cracked() bool {
	for i := range p.Steps {
		for j := range p.Steps[i].Ops { // a step may say of a sleeve too
			if o := &p.Steps[i].Ops[j]; o.Op == Fault && o.Fault == FaultFrame {
				return true
			}
		}
	}
	return false
}
