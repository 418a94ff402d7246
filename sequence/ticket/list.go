package ticket

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"pullcard/patterns/harmless"
	"pullcard/sequence/plan"
)

// Steps are the steps of a plan in print, with what stands above them.
type Steps struct {
	Plan           *plan.Plan
	Head, Warnings []string
}

// manyDeferred is how many strands that are pulled later are named one by one.
const manyDeferred = 3

// Text writes the steps to read at the bench.
func (l Steps) Text(out io.Writer) error {
	b := bufio.NewWriter(out)
	p := l.Plan
	fmt.Fprintf(b, "%s · %s\n", harmless.Text(p.Frame), harmless.Text(p.Technique))
	for _, line := range l.Head {
		fmt.Fprintln(b, harmless.Text(line))
	}
	for _, warning := range l.Warnings {
		fmt.Fprintf(b, "! %s\n", harmless.Text(warning))
	}
	w := newWording(p)
	var phase plan.Phase
	for i := range p.Steps {
		s := &p.Steps[i]
		if s.Phase != phase {
			phase = s.Phase
			fmt.Fprintf(b, "\n%s\n", strings.ToUpper(string(phase)))
		}
		fmt.Fprintf(b, "%3d  %s\n", s.N, s.Title)
		for _, line := range w.step(s) {
			fmt.Fprintf(b, "       %s\n", harmless.Text(line.text))
		}
		if phase == plan.PhaseMains || phase == plan.PhaseCrosses {
			fmt.Fprintf(b, "       → %s\n", grips(s))
		}
		deferred := p.Deferred(s.N)
		if n := len(deferred); n > manyDeferred { // what waits in a way back is as long as the line that went slack
			fmt.Fprintf(b, "       deferred: %d strands, the first %s, the last %s\n", n, deferred[0], deferred[n-1])
			continue
		}
		for _, d := range deferred {
			fmt.Fprintf(b, "       deferred: %s\n", d)
		}
	}
	return b.Flush()
}

// grips writes where the clamps stand, "A on M1L at 1HL, S outside on C1 at 7HL".
func grips(s *plan.Step) string {
	text := ""
	for _, c := range plan.Clamps() {
		if g := s.Clamps[c]; g != nil {
			if text != "" {
				text += ", "
			}
			text += string(c) + " "
			if g.Outside {
				text += "outside "
			}
			text += "on " + string(g.Strand)
			if g.With != "" {
				text += " and " + string(g.With)
			}
			text += " at " + string(g.Hole)
		}
	}
	if text == "" {
		return "no clamp is on"
	}
	return text
}
