package draw

import "math"

// layout is how much of the picture there is room for.
type layout struct {
	hoop    bool // the frame is drawn round the holes
	thick   bool // and twice as thick
	numbers bool // the holes are numbered
	tail    int  // cells for the throat
}

const (
	letters = 1 // columns at either side for the letters of the frame
	digits  = 2 // columns at either side for the numbers of holes
)

// Size is the smallest picture, in columns and rows, that shows every crossing of the bed in a view. Render shows a
// part of the bed when it gets less.
func (s Scene) Size(v View) (w, h int) {
	across, down := s.counts(v)
	return 2*across - 1 + 4 + 2*letters, down + 2
}

// Fits says whether a picture of w columns and h rows shows every crossing of the bed.
func (s Scene) Fits(w, h int, v View) bool {
	leastW, leastH := s.Size(v)
	return w >= leastW && h >= leastH
}

// counts are the strands that lie side by side across the screen and down it.
func (s Scene) counts(v View) (across, down int) {
	if v.level() {
		return len(s.crosses), len(s.mains)
	}
	return len(s.mains), len(s.crosses)
}

// Room, in pitches, that the hoop's ends and sides leave beyond the outermost strands.
const (
	endRoom  = 2.2
	sideRoom = 1.7
	lowRoom  = 1.0 // sides above and below, where rows are dear
)

// layout fits the bed into w columns and h rows: first all crossings, then the hoop, room for clamps, numbers, and what is
// left goes into wider pitches as long as the bed keeps the shape of a racket.
func (s Scene) layout(w, h int, v View) (*grid, layout) {
	across, down := s.counts(v)
	leastW, leastH := s.Size(v)
	w, h = max(w, leastW), max(h, leastH)
	var l layout
	l.hoop = h >= leastH+2 && w >= leastW+2
	l.numbers = l.hoop && h >= leastH+6 && w >= leastW+2+2*(digits+1)
	rimW, rimH := letters, 0
	l.thick = l.hoop && h >= leastH+20 && w >= leastW+2*across
	if l.hoop {
		rimW, rimH = rimW+1, rimH+1
	}
	if l.thick {
		rimW++
	}
	if l.numbers {
		rimW, rimH = rimW+digits+1, rimH+1
	}
	// A cell is about twice as high as wide, and mains stand a little closer than crosses.
	roomW, roomH, shape := sideRoom, endRoom, 1.75
	if v.level() {
		roomW, roomH, shape = endRoom, lowRoom, 2.2
	}
	freeW, freeH := w-2*rimW-2, h-2*rimH-2
	pitchW, pitchH := pitch(freeW, across, roomW), pitch(freeH, down, roomH)
	if l.numbers && pitchH >= 1.4 && !v.level() {
		l.tail = int(2 * pitchH)
		freeH -= l.tail
		pitchH = pitch(freeH, down, roomH)
	}
	pitchH = min(pitchH, max(1, pitchW/shape))
	pitchW = max(2, min(math.Floor(pitchW), math.Ceil(shape*pitchH-.4)))

	x, y := fit(freeW, across, pitchW, 2, roomW).axis(rimW), fit(freeH, down, pitchH, 1, roomH).axis(rimH)
	if v.level() {
		if l.numbers {
			l.tail = min(w-x.size, int(4*pitchH))
		}
		x.size += l.tail
		return newGrid(&s, y, x), l
	}
	y.size += l.tail
	return newGrid(&s, x, y), l
}

// pitch is the widest pitch at which n strands and the room beyond them fit into free cells.
func pitch(free, n int, room float64) float64 {
	return float64(free+1) / (float64(n-1) + 2*room)
}

// spacing is how strands are spread over an axis.
type spacing struct{ n, least, extra, room int }

// fit turns a pitch into whole cells.
func fit(free, n int, pitch float64, least int, room float64) spacing {
	p := max(least, int(pitch))
	extra := int(math.Round((pitch - float64(p)) * float64(n-1)))
	// With fewer than four narrow gaps left in the middle these look like a mistake.
	extra = max(0, min(extra-extra%2, (n-5)/2*2))
	bed := p*(n-1) + extra + 1
	most := max(0, (free-bed)/2)
	want := max(1, int(math.Round(room*max(pitch, float64(least))))-1)
	return spacing{n, p, extra, min(most, want)}
}

func (s spacing) axis(rim int) axis { return spread(s.n, s.least, s.extra, s.room, rim) }
