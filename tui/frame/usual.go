package frame

import (
	"slices"
	"strconv"
	"strings"

	"pullcard/patterns"
)

// usual is what a field has most often, given what the fields before it say; empty where nothing can be guessed, as for
// what has to be read from the frame or measured. All of it is common practice of the trade and no frame's data.
func usual(f id, c *patterns.Card, bed *patterns.Frame) string {
	switch f {
	case fSport:
		return string(patterns.Tennis)
	case fStrings:
		return usualStrings(c.Sport)
	case fSkipHead, fSkipThroat:
		return usualSkips(f, c)
	case fStart:
		if c.Sport == string(patterns.Badminton) {
			return "head"
		}
		return "throat"
	case fShared:
		if feathers(c) {
			return "10H 11H 13H 9T 10T 12T"
		}
	case fHoles:
		if n := c.Mains + c.Crosses - sharedOn(c, patterns.Left); c.Mains > 0 && c.Crosses > 0 && n > 0 {
			return strconv.Itoa(n)
		}
	case fTieMains:
		return usualTies(bed, mainsTie)
	case fTieCrosses:
		return usualTies(bed, func(f *patterns.Frame, side patterns.Side) []patterns.Hole { return crossesTies(f, side, c.TieMains) })
	}
	return ""
}

func usualStrings(sport string) string {
	switch patterns.Sport(sport) {
	case patterns.Badminton:
		return "22x22"
	case patterns.Squash:
		return "14x18"
	case patterns.Racquetball:
		return "16x18"
	}
	return "16x19"
}

// usualSkips are the two holes beside the last main but one, or with few mains the one before the last.
func usualSkips(f id, c *patterns.Card) string {
	half := c.Mains / 2
	switch {
	case feathers(c) && f == fSkipHead:
		return "8 12"
	case feathers(c):
		return "7"
	case half >= 8:
		return strconv.Itoa(half-1) + " " + strconv.Itoa(half+1)
	case half >= 3:
		return strconv.Itoa(half)
	}
	return ""
}

// feathers says whether a card has the strings of most badminton frames, some of which share holes.
func feathers(c *patterns.Card) bool {
	return c.Sport == string(patterns.Badminton) && c.Mains == 22 && (c.Crosses == 22 || c.Crosses == 21)
}

// sharedOn counts the shared holes of a side.
func sharedOn(c *patterns.Card, side patterns.Side) (n int) {
	for _, hole := range c.Shared {
		if r, err := patterns.ParseRef(hole); err == nil && (r.Both || r.Side == side) {
			n++
		}
	}
	return n
}

// usualTies are the holes that a rule finds on both sides: without the side where both have the same.
func usualTies(bed *patterns.Frame, rule func(*patterns.Frame, patterns.Side) []patterns.Hole) string {
	if bed == nil {
		return ""
	}
	var both [2][]string
	for _, side := range patterns.Sides() {
		for _, h := range rule(bed, side) {
			if name := strings.TrimRight(bed.HoleName(h), "LR"); !slices.Contains(both[side], name) {
				both[side] = append(both[side], name)
			}
		}
	}
	if slices.Equal(both[patterns.Left], both[patterns.Right]) {
		return strings.Join(both[patterns.Left], " ")
	}
	var out []string
	for _, side := range patterns.Sides() {
		for _, name := range both[side] {
			out = append(out, name+side.String())
		}
	}
	return strings.Join(out, " ")
}

// mainsTie is the hole of the last main but one, at the end where the mains end.
func mainsTie(f *patterns.Frame, side patterns.Side) []patterns.Hole {
	mains := f.Mains[side]
	if len(mains) < 2 {
		return nil
	}
	return []patterns.Hole{mains[len(mains)-2].At(f.MainsEnd(side))}
}

// crossesTies are the holes with a main nearest to the first and the last cross, at a draw towards the middle of their
// end, but for those where the mains are tied.
func crossesTies(f *patterns.Frame, side patterns.Side, taken []string) (out []patterns.Hole) {
	free := map[patterns.Hole]bool{}
	for _, m := range f.Mains[side] {
		free[m.Ends[0]], free[m.Ends[1]] = true, true
	}
	for _, h := range refs(f, taken) {
		delete(free, h)
	}
	for i, c := range []patterns.Chord{f.Crosses[0], f.Crosses[len(f.Crosses)-1]} {
		h := c.On(side)
		for n := 1; n <= f.Holes[side]; n++ {
			near, far := patterns.Hole{Side: side, N: h.N - n}, patterns.Hole{Side: side, N: h.N + n}
			if i == 1 {
				near, far = far, near
			}
			if !free[near] {
				near = far
			}
			if free[near] {
				out = append(out, near)
				break
			}
		}
	}
	return out
}
