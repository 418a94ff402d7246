package ticket

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"pullcard/patterns/harmless"
	"pullcard/sequence/plan"
)

// Markdown writes a card to print: a table for each phase, with a box to tick.
func (l Steps) Markdown(out io.Writer) error {
	b := bufio.NewWriter(out)
	p := l.Plan
	fmt.Fprintf(b, "# %s · %s\n\n", cell(p.Frame), cell(p.Technique))
	for _, line := range l.Head {
		fmt.Fprintf(b, "%s  \n", cell(line))
	}
	for _, warning := range l.Warnings {
		fmt.Fprintf(b, "\n**Caution:** %s\n", cell(warning))
	}
	w := newWording(p, l.Cuts)
	var phase plan.Phase
	for i := range p.Steps {
		s := &p.Steps[i]
		if s.Phase != phase {
			phase = s.Phase
			fmt.Fprintf(b, "\n## %s\n\n| | step | what | do | clamps then |\n|-|-:|-|-|-|\n", strings.ToUpper(string(phase[:1]))+string(phase[1:]))
		}
		var words []string
		for _, line := range w.step(s) {
			words = append(words, cell(line.text))
		}
		fmt.Fprintf(b, "| ☐ | %d | %s | %s | %s |\n", s.N, cell(s.Title), strings.Join(words, "<br>"), w.grips(s))
	}
	fmt.Fprintf(b, "\nThe makers' instructions, local rules and a trained stringer's judgement come first. Eye protection on.\n")
	return b.Flush()
}

// cell makes text safe inside a table.
func cell(text string) string {
	return strings.NewReplacer("|", `\|`, "<", "&lt;", "*", `\*`, "`", "'", "[", `\[`).Replace(harmless.Text(text))
}
