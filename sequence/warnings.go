package sequence

import (
	"fmt"

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

// warnings are what a stringer should know before beginning; nothing is refused.
func warnings(f *patterns.Frame, o orders, mains, crosses measure.Tension) []string {
	out := []string{}
	out = append(out, unit("mains", f.Sport, mains)...)
	if crosses != mains {
		out = append(out, unit("crosses", f.Sport, crosses)...)
	}
	switch d := crosses.In(measure.Kg) - mains.In(measure.Kg); {
	case d > gap:
		out = append(out, fmt.Sprintf("the crosses at %s are much harder than the mains at %s: the frame is pressed short", crosses, mains))
	case -d > gap:
		out = append(out, fmt.Sprintf("the crosses at %s are much softer than the mains at %s", crosses, mains))
	}
	out = append(out, printedRange(f, "mains", mains, o.mains)...)
	return append(out, printedRange(f, "crosses", crosses, o.crosses)...)
}

func unit(what string, sport patterns.Sport, t measure.Tension) []string {
	lo, hi := likely(sport)
	if kg := t.In(measure.Kg); kg >= lo && kg <= hi {
		return nil
	}
	for _, u := range []measure.Unit{measure.Kg, measure.Lb, measure.N} {
		meant, err := measure.ParseTension(fmt.Sprintf("%g %s", t.Value(), u))
		if err == nil && u != t.Unit() && meant.In(measure.Kg) >= lo && meant.In(measure.Kg) <= hi {
			return []string{fmt.Sprintf("%s at %s: the unit looks wrong for %s; is %s meant?", what, t, sport, meant)}
		}
	}
	return []string{fmt.Sprintf("%s at %s: unusual for %s; check number and unit", what, t, sport)}
}

func printedRange(f *patterns.Frame, what string, t measure.Tension, o plan.Tension) []string {
	r := f.Printed
	switch {
	case r == nil:
		return nil
	case t.Newtons() > r.Max.Newtons():
		return []string{fmt.Sprintf("%s at %s lie above the frame's printed range, %s to %s: the frame may break", what, t, r.Min, r.Max)}
	case o.BoostedNewtons > r.Max.Newtons():
		return []string{fmt.Sprintf("boosted %s are pulled at %s, above the frame's printed range, %s to %s", what, o.Boosted, r.Min, r.Max)}
	case t.Newtons() < r.Min.Newtons():
		return []string{fmt.Sprintf("%s at %s lie below the frame's printed range, %s to %s", what, t, r.Min, r.Max)}
	}
	return nil
}
