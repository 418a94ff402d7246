package ticket

import (
	"io"
	"strconv"

	"pullcard/patterns/harmless"
	"pullcard/sequence/plan"
)

// StepsCSV writes a row for each operation of a plan; its words are those of the act that it is, or is part of.
func StepsCSV(out io.Writer, p *plan.Plan) error {
	rows := [][]string{{"step", "phase", "title", "op", "strand", "from", "to", "hole", "tension", "clamp", "words"}}
	w := newWording(p)
	for i := range p.Steps {
		s := &p.Steps[i]
		words := w.ops(s)
		for j := range s.Ops {
			o := &s.Ops[j]
			rows = append(rows, []string{
				strconv.Itoa(s.N), string(s.Phase), s.Title, string(o.Op), string(o.Strand), string(o.From), string(o.To),
				string(o.Hole), o.Tension, string(o.Clamp), words[j],
			})
		}
	}
	return harmless.WriteCSV(out, rows)
}
