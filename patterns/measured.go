package patterns

import (
	"cmp"
	"fmt"
	"slices"

	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// Measured holds what was measured on a frame with a tape and wins over what is worked out. Its zero value measures
// nothing.
type Measured struct {
	// MainPitchMM and CrossPitchMM are the distances of neighbouring strands in the middle of the bed; 0 is not measured.
	MainPitchMM, CrossPitchMM float64
	// Along is a hole's distance from the head's centre along the inside of the hoop, down its own side, in mm.
	Along map[Hole]float64
}

// The pitches that a strung bed of any of the sports stays well within, in mm.
const minPitchMM, maxPitchMM = 3.0, 40.0

// measuredEntry is the place of a hole as it is written.
type measuredEntry struct{ hole, along source.Text }

// readMeasured asks for the keys of [measured].
func (l *Layout) readMeasured(root *source.Table) {
	t := root.Table("measured")
	if t == nil {
		return
	}
	l.MainPitch, l.CrossPitch = t.Text("main_pitch"), t.Text("cross_pitch")
	if holes := t.Table("holes"); holes != nil {
		for _, key := range holes.Keys() {
			l.measuredHoles = append(l.measuredHoles, measuredEntry{key, holes.Text(key.Value)})
		}
	}
}

// measured takes over what was measured; it is called when the holes of the frame are known.
func (l *Layout) measured(f *Frame) {
	f.Measured = Measured{MainPitchMM: l.pitch("main_pitch", l.MainPitch), CrossPitchMM: l.pitch("cross_pitch", l.CrossPitch)}
	at := map[Hole]source.Pos{}
	for _, e := range l.measuredHoles {
		l.place(f, e, at)
	}
	for _, side := range Sides() {
		l.inOrder(f, side, at)
	}
}

func (l *Layout) pitch(key string, t source.Text) float64 {
	return l.doc.Measured("measured."+key, t, measure.ParseLength, minPitchMM, maxPitchMM,
		fmt.Sprintf(`strands lie %g to %g mm from their neighbours, as "12.5 mm"`, minPitchMM, maxPitchMM))
}

// place reads where a hole lies, on both sides when none is named.
func (l *Layout) place(f *Frame, e measuredEntry, at map[Hole]source.Pos) {
	ref, err := ParseRef(e.hole.Value)
	if err != nil {
		l.doc.Problem(e.hole.Pos, "measured.holes: %v", err)
		return
	}
	if !e.along.Given {
		return // of another kind, which is reported
	}
	mm, err := measure.ParseLength(e.along.Value)
	if err != nil {
		l.doc.Problem(e.along.Pos, "measured.holes.%s: %v", e.hole.Value, err)
		return
	}
	if h := f.Hoop; h != nil && mm >= h.LengthMM+h.WidthMM {
		l.doc.Problem(e.along.Pos, "measured.holes.%s is %q, more than half way round the hoop; measure down each side from the head's centre", e.hole.Value, e.along.Value)
		return
	}
	sides := []Side{ref.Side}
	if ref.Both {
		sides = []Side{Left, Right}
	}
	for _, side := range sides {
		ref.Side = side
		hole, ok := f.Hole(ref)
		if !ok {
			l.doc.Problem(e.hole.Pos, "measured.holes: there is no hole %s; a side has %d", e.hole.Value, f.Holes[side])
			continue
		}
		if _, twice := at[hole]; twice {
			l.doc.Problem(e.hole.Pos, "measured.holes names %s twice; keep one place", f.HoleName(hole))
		}
		if f.Measured.Along == nil {
			f.Measured.Along = map[Hole]float64{}
		}
		f.Measured.Along[hole], at[hole] = mm, e.along.Pos
	}
}

// inOrder reports holes of a side whose places do not follow each other as the holes do.
func (l *Layout) inOrder(f *Frame, side Side, at map[Hole]source.Pos) {
	var holes []Hole
	for h := range f.Measured.Along {
		if h.Side == side {
			holes = append(holes, h)
		}
	}
	slices.SortFunc(holes, func(a, b Hole) int { return cmp.Compare(a.N, b.N) })
	for i := 1; i < len(holes); i++ {
		a, b := holes[i-1], holes[i]
		if f.Measured.Along[a] >= f.Measured.Along[b] {
			l.doc.Problem(at[b], "measured.holes: %s at %g mm does not lie beyond %s at %g mm; measure down each side from the head's centre",
				f.HoleName(b), f.Measured.Along[b], f.HoleName(a), f.Measured.Along[a])
		}
	}
}
