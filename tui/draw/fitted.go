package draw

import "slices"

// fitted is where everything lies in a picture of a size. It depends on the frame alone, so that the scenes of a job can
// share it.
type fitted struct {
	w, h   int
	view   View
	chords [][2]int
	grid   *grid
	layout layout
}

// Fitted works out where everything lies in a picture of that size, so that Render need not: most of its work. What
// before, a scene of the same frame, has worked out already is taken from there.
func (s Scene) Fitted(w, h int, view View, before Scene) Scene {
	if s.empty() {
		return s
	}
	if f := before.fitted; f.serves(w, h, view) && slices.Equal(f.chords, s.chords()) {
		s.fitted = f
		return s
	}
	g, l := s.layout(w, h, view)
	s.fitted = &fitted{w, h, view, s.chords(), g, l}
	return s
}

// empty says whether there is nothing to lay out.
func (s Scene) empty() bool { return len(s.mains) == 0 || len(s.crosses) == 0 }

func (f *fitted) serves(w, h int, view View) bool {
	return f != nil && f.w == w && f.h == h && f.view == view
}

// chords are the ends of all strands in the layout.
func (s Scene) chords() [][2]int {
	var out [][2]int
	for c := range s.spans {
		out = append(out, c.home)
	}
	return out
}

// fit is where everything lies, worked out before or now.
func (s Scene) fit(w, h int, view View) (*grid, layout) {
	if f := s.fitted; f.serves(w, h, view) {
		return f.grid, f.layout
	}
	return s.layout(w, h, view)
}
