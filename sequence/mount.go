package sequence

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/plan"
)

// mounting is the title of the step in which the frame comes on.
const mounting = "Mount the frame"

// prepare writes the steps before the first string: frame, machine, mounting.
func (h *planner) prepare() {
	h.phase = plan.PhaseMount
	h.look("Inspect the frame", func() {
		h.note("eye protection on; the makers' instructions, local rules and your own trained judgement come first")
		for _, text := range []string{
			"cracks: white lines, a click on squeezing; a cracked frame is not strung",
			"grommets split or missing, a sunken bumper, sharp holes",
			"the tension range printed on the frame: " + h.printedRange(),
			"length and width inside the hoop, measured and noted",
		} {
			h.inspect(text)
		}
	})
	h.look("Check the machine", func() {
		h.inspect("clamps clean, jaws set to the gauge of the string")
		h.inspect("tension read from a gauge today, after every move, at the working tension")
		h.note("face out of the line of the pull; the awl away from the other hand")
	})
	h.look(mounting, func() {
		h.note(h.t.Mount.Mark)
		for _, s := range h.t.Mount.Order {
			if !slices.Contains(h.racket.Mounted(), s) {
				h.op(plan.Op{Op: plan.Mount, Support: s})
			}
		}
		h.note("fingertip tight, then all round again, each just touching")
	})
}

// printedRange is the range printed on the frame, as far as the layout knows.
func (h *planner) printedRange() string {
	if h.printed == "" {
		return "not in the layout, read it off the frame"
	}
	return h.printed
}

// dismount writes the steps after the last knot.
func (h *planner) dismount() {
	h.phase = plan.PhaseFinish
	h.begin("Inspect the bed")
	for _, text := range []string{
		"every cross and every main over and under in turn",
		"crosses straight, loops seated, nothing crossed outside",
		"knots tight, tails tucked in, no clamp marks",
	} {
		h.inspect(text)
	}
	h.end()
	h.begin("Take the frame off")
	h.note("release " + strings.Join(h.t.Mount.Release, ", then "))
	for _, s := range h.t.Mount.Release {
		if slices.Contains(h.racket.Mounted(), s) {
			h.op(plan.Op{Op: plan.Dismount, Support: s})
		}
	}
	h.inspect("length and width inside the hoop, within 3 mm of before")
	h.end()
}

// prestretch is how the title of the step begins in which a string is stretched.
const prestretch = "Pre-stretch "

// stretchString writes the step in which a string is stretched before it is threaded; a new piece is stretched anew.
func (h *planner) stretchString(percent float64, piece plan.Piece, whose string) {
	if percent == 0 {
		return
	}
	h.begin(prestretch + whose)
	if !h.seen[h.ordinal] || h.racket.BegunAnew(piece) {
		h.note(fmt.Sprintf("stretch %s by %g %%, slowly, and let it rest; this is not the tension that is set", whose, percent))
	}
	h.end()
}
