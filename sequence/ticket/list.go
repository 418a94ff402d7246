package ticket

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"pullcard/patterns/harmless"
	"pullcard/sequence/act"
	"pullcard/sequence/plan"
)

// Steps are the steps of a plan in print, with what stands above them.
type Steps struct {
	Plan           *plan.Plan
	Head, Warnings []string
	// Cuts are the lengths to cut of each piece of string, nil where nobody asked for them.
	Cuts map[plan.Piece]act.Length
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
	w := newWording(p, l.Cuts)
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
			fmt.Fprintf(b, "       → %s\n", w.grips(s))
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

// grips are where the clamps stand when a step is over; one that is free is not named.
func (w *wording) grips(s *plan.Step) string {
	var on []string
	for i, text := range w.table.Stand(func(c plan.Clamp) *plan.Grip { return s.Clamps[c] }) {
		if s.Clamps[plan.Clamps()[i]] != nil {
			on = append(on, text)
		}
	}
	if len(on) == 0 {
		return "no clamp is on"
	}
	return strings.Join(on, ", ")
}
