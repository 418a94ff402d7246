package sequence

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/sequence/plan"
)

// likely is the range in which a tension of a sport lies however hard or soft one strings, in kg: common practice of
// the trade, widened, so that only a wrong unit or a slip of the finger falls outside.
func likely(s patterns.Sport) (lo, hi float64) {
	switch s {
	case patterns.Badminton:
		return 6, 17
	case patterns.Squash:
		return 7, 18
	case patterns.Racquetball:
		return 8, 22
	}
	return 12, 38
}

// gap is the difference between mains and crosses, in kg, above which one is asked whether it is meant: common
// practice of the trade.
const gap = 2.0

// warnings are what a stringer should know before beginning a plan, apart from its runs; nothing is refused.
func warnings(p *plan.Plan) []string {
	t := &p.Terms
	mains, crosses := read(t.PullMains.Ordered), read(t.PullCrosses.Ordered)
	out := append([]string{}, units(t, mains, crosses)...)
	switch d := crosses.In(measure.Kg) - mains.In(measure.Kg); {
	case d > gap:
		out = append(out, fmt.Sprintf("the crosses at %s are much harder than the mains at %s: the frame is pressed short", crosses, mains))
	case -d > gap:
		out = append(out, fmt.Sprintf("the crosses at %s are much softer than the mains at %s", crosses, mains))
	}
	return append(append(out, towardsHead(t)...), ranges(p, mains, crosses)...)
}

// Doubts are those of a plan's warnings of which somebody says why it is so all the same: a tension whose unit looks wrong, and
// pulls that the range printed on the frame does not have, with their boost.
func Doubts(p *plan.Plan) []string {
	mains, crosses := read(p.Terms.PullMains.Ordered), read(p.Terms.PullCrosses.Ordered)
	return slices.Concat(units(&p.Terms, mains, crosses), ranges(p, mains, crosses))
}

func units(t *plan.Terms, mains, crosses measure.Tension) (out []string) {
	sport := patterns.Sport(t.Sport)
	out = unit("mains", sport, mains)
	if crosses != mains {
		out = append(out, unit("crosses", sport, crosses)...)
	}
	for _, s := range slices.Sorted(maps.Keys(t.Pulls)) {
		if own := read(t.Pulls[s].Ordered); own.Newtons() > max(mains.Newtons(), crosses.Newtons()) {
			out = append(out, unit(string(s), sport, own)...)
		}
	}
	return out
}

func ranges(p *plan.Plan, mains, crosses measure.Tension) []string {
	return append(printedRange(p, "mains", mains), printedRange(p, "crosses", crosses)...)
}

// read is a tension as a plan holds it.
func read(text string) measure.Tension {
	t, err := measure.ParseTension(text)
	if err != nil {
		panic(fmt.Errorf("sequence: a plan with a tension that is none: %w", err))
	}
	return t
}

// towardsHead warns of crosses that go up the frame: the force of the bed then moves to the head, the weaker end. With
// badminton in two pieces that is usual. Common practice of the trade.
func towardsHead(t *plan.Terms) []string {
	one, tennis := t.Pieces == 1, t.Sport == string(patterns.Tennis)
	if t.From != patterns.Throat.String() || !one && !tennis {
		return nil
	}
	why := "with tennis frames"
	if one {
		why = "in one piece"
	}
	return []string{"the crosses go from the throat to the head, " + why + ": the bed presses towards the head; do it only where the frame's maker allows it"}
}

func unit(what string, sport patterns.Sport, t measure.Tension) []string {
	lo, hi := likely(sport)
	if kg := t.In(measure.Kg); kg >= lo && kg <= hi {
		return nil
	}
	for _, u := range []measure.Unit{measure.Kg, measure.Lb, measure.N} {
		meant := read(fmt.Sprintf("%g %s", t.Value(), u))
		if kg := meant.In(measure.Kg); kg >= lo && kg <= hi {
			return []string{fmt.Sprintf("%s at %s: the unit looks wrong for %s; is %s meant?", what, t, sport, meant)}
		}
	}
	return []string{fmt.Sprintf("%s at %s: unusual for %s; check number and unit", what, t, sport)}
}

// printedRange warns where a kind of strand is not in the range that the frame's maker printed on it: the largest pull
// shall not lie above it, and what was ordered not below.
func printedRange(p *plan.Plan, what string, ordered measure.Tension) []string {
	lo, hi, given := strings.Cut(p.Terms.PrintedRange, " to ")
	if !given {
		return nil
	}
	most := ordered.Newtons()
	var largest *plan.Op
	for i := range p.Steps {
		if o := p.Steps[i].Pull(); o != nil && o.Strand.IsMain() == (what == "mains") && o.Newtons > most {
			largest, most = o, o.Newtons
		}
	}
	switch top := read(hi).Newtons(); {
	case ordered.Newtons() > top:
		return []string{fmt.Sprintf("%s at %s lie above the frame's printed range, %s to %s: the frame may break", what, ordered, lo, hi)}
	case most > top && largest.BoostPercent > 0:
		return []string{fmt.Sprintf("boosted %s are pulled at %s, above the frame's printed range, %s to %s", what, largest.Tension, lo, hi)}
	case most > top:
		return []string{fmt.Sprintf("%s is pulled at %s, above the frame's printed range, %s to %s: the frame may break", largest.Strand, largest.Tension, lo, hi)}
	case ordered.Newtons() < read(lo).Newtons():
		return []string{fmt.Sprintf("%s at %s lie below the frame's printed range, %s to %s", what, ordered, lo, hi)}
	}
	return nil
}
