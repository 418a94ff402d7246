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
	var phase plan.Phase
	for i := range p.Steps {
		s := &p.Steps[i]
		if s.Phase != phase {
			phase = s.Phase
			fmt.Fprintf(b, "\n%s\n", strings.ToUpper(string(phase)))
		}
		fmt.Fprintf(b, "%3d  %s\n", s.N, s.Title)
		for j := range s.Ops {
			fmt.Fprintf(b, "       %s\n", harmless.Text(s.Ops[j].Words()))
		}
		if phase == plan.PhaseMains || phase == plan.PhaseCrosses {
			fmt.Fprintf(b, "       → %s\n", grips(s))
		}
		for _, d := range p.Deferred(s.N) {
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
