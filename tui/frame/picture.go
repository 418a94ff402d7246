package frame

import (
	"pullcard/patterns"
	"pullcard/tui/draw"
)

// picture draws the racket as far as it is settled; a bed that does not close leaves the last one standing.
func (m *Model) picture(bed *patterns.Frame) {
	if m.seen.bed != nil {
		bed = m.seen.bed
	}
	if bed == nil {
		return
	}
	f := *bed
	if !m.settled(fTieMains) && m.at != fTieMains {
		f.TieMains = nil
	}
	if !m.settled(fTieCrosses) && m.at != fTieCrosses {
		f.TieCrosses = nil
	}
	m.scene, m.drawn = draw.Bed(&f, m.planned(&f)), true
}

// planned is how far the racket is settled, and what the field in hand speaks of.
func (m *Model) planned(f *patterns.Frame) draw.Planned {
	c := &m.seen.card
	on := draw.Planned{
		Mains:   m.settled(fStrings) && c.Mains > 0,
		Crosses: m.settled(fStrings) && c.Crosses > 0 && m.settled(fSkipHead) && m.settled(fSkipThroat),
		Loops:   m.settled(fStart) && (c.Start == "head" || c.Start == "throat"), Ties: true,
		InHand: patterns.Main,
	}
	switch m.at {
	case fSkipHead:
		on.InHand, on.Hand = patterns.Cross, refs(f, holes(m.current(m.at), "H"))
	case fSkipThroat:
		on.InHand, on.Hand = patterns.Cross, refs(f, holes(m.current(m.at), "T"))
	case fShared:
		on.InHand, on.Hand = patterns.Cross, refs(f, c.Shared)
	case fStart:
		for _, side := range patterns.Sides() {
			if len(f.Mains[side]) > 0 {
				on.Hand = append(on.Hand, f.Mains[side][0].At(f.Start))
			}
		}
	case fTieMains:
		on.Hand = refs(f, c.TieMains)
	case fTieCrosses:
		on.Hand = refs(f, c.TieCrosses)
	}
	return on
}

// refs are the holes of a frame that some words name.
func refs(f *patterns.Frame, words []string) (out []patterns.Hole) {
	for _, text := range words {
		r, err := patterns.ParseRef(text)
		for _, side := range patterns.Sides() {
			if err == nil && (r.Both || r.Side == side) {
				r.Side = side
				if h, ok := f.Hole(r); ok {
					out = append(out, h)
				}
			}
		}
	}
	return out
}

// pictureWidth is the room for the picture beside the form, 0 where it does not fit.
func (m *Model) pictureWidth() int {
	if !m.drawn {
		return 0
	}
	return m.scene.Beside(m.turned, m.Width, m.Height-2, formLeast)
}

// hidden says whether there is a picture that does not fit beside the form.
func (m *Model) hidden() bool { return m.drawn && m.pictureWidth() == 0 }
