package shop

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"pullcard/patterns/measure"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/report"
)

// Tell tells it.
func (c Compared) Tell() (s report.Section) {
	level := controlchart.Percent(c.Level)
	s.Say("at %.1f kg as ordered, read with %s, %s", c.OrderedKg, c.Instrument, c.Age)
	for _, text := range c.Converted {
		s.Add(text)
	}
	for _, text := range c.LeftOut {
		s.Add("left out: " + text)
	}
	if len(c.Factors) > 0 {
		s.Say("beside the machine it takes into account what these differ by: %s", strings.Join(c.Factors, ", "))
	}
	for _, p := range c.Pairs {
		p.tell(&s, level, len(c.Pairs) > 1)
	}
	if len(c.Pairs) > 1 {
		s.Say("%d pairs: %s", len(c.Pairs), c.Corrected)
	}
	var spreads []string
	for _, p := range slices.Sorted(maps.Keys(c.SpreadKg)) {
		spreads = append(spreads, fmt.Sprintf("%s %.2f kg", p, c.SpreadKg[p]))
	}
	needed := fmt.Sprintf("it takes %d stringings on each", c.NeededEach)
	if c.NeededEach == 0 {
		needed = "it takes more stringings than anybody reads"
	}
	s.Say("one stringing spreads by %s; to see %g kg %s (chance of %.0f %%, false alarm %.0f %%)", strings.Join(spreads, ", "),
		controlchart.Worth, needed, 100*controlchart.LowPower, 100*(1-c.Level))
	return s
}

// tell tells a pair.
func (p ComparedPair) tell(s *report.Section, level string, several bool) {
	holm := ""
	if several {
		holm = ", by Holm " + controlchart.Chance(p.Holm)
	}
	s.Say("%s, %d stringings, against %s, %d: %s kg as ordered, %s between %s and %s kg (%.1f degrees of freedom, p %s%s)", p.A, p.NA, p.B, p.NB,
		measure.Signed(p.DifferenceKg, 2), level, measure.Signed(p.LowKg, 2), measure.Signed(p.HighKg, 2), p.DF, controlchart.Chance(p.P), holm)
	if !p.Apart {
		s.Add("  that does not tell them apart")
	}
	if p.Power < controlchart.LowPower {
		s.Say("  so few see %g kg with a chance of %.0f %% only", controlchart.Worth, 100*p.Power)
	}
	if p.Proposed == nil {
		s.Say("  no offset is proposed: %s", p.Refused)
		return
	}
	again := ""
	if math.Abs(p.Proposed.OffsetKg) > controlchart.AskTwice {
		again = fmt.Sprintf(" --again %q", fmt.Sprintf("%+.1f kg", p.Proposed.OffsetKg))
	}
	s.Say("  proposed: offset %s kg on %s, %s between %s and %s kg (the gauge alone says that it pulls %s kg); a person accepts it with",
		measure.Signed(p.Proposed.OffsetKg, 1), p.A, level, measure.Signed(p.Proposed.LowKg, 2), measure.Signed(p.Proposed.HighKg, 2), measure.Signed(p.Proposed.GaugeKg, 2))
	s.Say("    pullcard book machine correct %q --offset \"%+.1f kg\"%s --accepted NAME --why \"gauge check\"", p.A, p.Proposed.OffsetKg, again)
}
