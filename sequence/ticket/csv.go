package ticket

import (
	"io"
	"strconv"

	"pullcard/patterns/harmless"
)

// CSV writes a row for each operation of a plan; its words are those of the act that it is, or is part of. What hands do besides, as
// cutting string to its length, has a row without an operation.
func (l Steps) CSV(out io.Writer) error {
	p := l.Plan
	rows := [][]string{{"step", "phase", "title", "op", "strand", "from", "to", "hole", "tension", "clamp", "words"}}
	w := newWording(p, l.Cuts)
	for i := range p.Steps {
		s := &p.Steps[i]
		for _, r := range w.rows(s) {
			o := &r.op
			rows = append(rows, []string{
				strconv.Itoa(s.N), string(s.Phase), s.Title, string(o.Op), string(o.Strand), string(o.From), string(o.To),
				string(o.Hole), o.Tension, string(o.Clamp), r.words,
			})
		}
	}
	return harmless.WriteCSV(out, rows)
}
