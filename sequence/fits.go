package sequence

import (
	"pullcard/patterns"
	"pullcard/patterns/source"
)

// fits reports what of a technique a frame cannot take, and the nearest setting that works.
func fits(f *patterns.Frame, t *Technique) (problems source.Problems) {
	add := func(key, format string, args ...any) { problems = append(problems, t.problem(key, format, args...)) }
	switch {
	case t.flying():
		flyingFits(f, t, add)
	case t.Clamps.Fixed < 2:
		add("clamps.fixed", "the mains take two fixed clamps, one on each side; write fixed = 2, or flying = 2")
	}
	switch {
	case t.Pieces == 2 && t.Around:
		add("around", "around = true is a way of stringing with one piece; write pieces = 1, or around = false")
	case t.Pieces == 2:
		twoPieceFits(f, t, add)
	case t.Around:
		aroundFits(f, t, add)
	default:
		onePieceFits(f, t, add)
	}
	return problems
}

type adder func(key, format string, args ...any)

func twoPieceFits(f *patterns.Frame, t *Technique, add adder) {
	if t.Clamps.Starting < 1 && t.Cross.Start != StartKnot {
		add("clamps.starting", `crosses.start = %q takes a starting clamp; write starting = 1, or start = "knot"`, t.Cross.Start)
	}
	if len(f.Crosses) < 2 && t.Cross.Start == StartSkip {
		add("crosses.start", `crosses.start = "skip" takes two crosses and %s has %d; write start = "clamp"`, f.Name, len(f.Crosses))
	}
}

func onePieceFits(f *patterns.Frame, t *Technique, add adder) {
	end := f.MainsEnd(t.Mains.Short.Other())
	switch {
	case end == t.Cross.From:
	case end == patterns.Throat:
		add("pieces", `in one piece the crosses follow on where the mains end, and those of %s end at the throat, not at the head; write around = true, or pieces = 2, or crosses.from = "throat" if the frame allows that`, f.Name)
	default:
		add("crosses.from", `in one piece the crosses follow on where the mains end, and those of %s end at the head, not at the throat; write crosses.from = "head", or pieces = 2`, f.Name)
	}
}

func aroundFits(f *patterns.Frame, t *Technique, add adder) {
	short := f.Mains[t.Mains.Short]
	switch {
	case f.MainsEnd(t.Mains.Short.Other()) == patterns.Head:
		add("around", `the mains of %s end at the head, where the crosses begin; write around = false`, f.Name)
	case t.Cross.From == patterns.Throat:
		add("crosses.from", `around = true brings the crosses to the head; write crosses.from = "head"`)
	case len(short) < 2:
		add("around", "%s has too few strands to go around; write pieces = 2", f.Name)
	case f.Interleaves(f.Crosses[len(f.Crosses)-1], short[len(short)-1]):
		add("around", "the lowest cross of %s meets the outer main that would still be missing; write pieces = 2", f.Name)
	}
}
