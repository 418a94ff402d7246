package sequence

import (
	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
)

// SpanTension is what one span is pulled at.
type SpanTension struct {
	Strand  patterns.Strand
	MM      float64
	Tension measure.Tension
}

// Proportional are the tensions of a bed whose spans are pulled in proportion to their length: the longest main and the
// longest cross get what was ordered, every other span less by as much as it is shorter. Mains come from left to right,
// crosses from the head.
func Proportional(g *grid.Grid, mains, crosses measure.Tension) []SpanTension {
	return append(proportional(g.Columns, mains), proportional(g.Rows, crosses)...)
}

func proportional(lines []grid.Line, ordered measure.Tension) []SpanTension {
	longest := 0.0
	for _, l := range lines {
		longest = max(longest, l.MM())
	}
	out := make([]SpanTension, len(lines))
	for i, l := range lines {
		out[i] = SpanTension{l.Strand, l.MM(), ordered.Percent((l.MM()/longest - 1) * 100)}
	}
	return out
}
