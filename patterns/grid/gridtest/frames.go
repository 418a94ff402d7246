// Package gridtest makes frames for tests from lists of holes, without reading a layout. The layouts are invented.
//
// Call Make with a Layout, or one of the ready ones.
package gridtest

import (
	"fmt"
	"strings"

	"pullcard/patterns"
)

// Layout lists the holes of a frame: mains from the centre outwards, crosses from the head down. A hole without a side
// stands for both; the right lists are the left ones when they are empty.
type Layout struct {
	Name                                 string
	Sport                                patterns.Sport
	Holes, HolesRight                    int // a side; the right's are the left's when nought
	Head, Throat, Crosses                string
	HeadRight, ThroatRight, CrossesRight string
	Hoop                                 patterns.Hoop
}

// Make builds the frame; it panics on a hole that is none.
func Make(l Layout) *patterns.Frame {
	hoop := l.Hoop
	f := &patterns.Frame{Name: l.Name, Sport: l.Sport, Holes: [2]int{l.Holes, l.Holes}, Hoop: &hoop, Shared: map[patterns.Hole]bool{}}
	if l.HolesRight > 0 {
		f.Holes[patterns.Right] = l.HolesRight
	}
	used := map[patterns.Hole]bool{}
	take := func(side patterns.Side, text string) []patterns.Hole {
		var out []patterns.Hole
		for _, w := range strings.Fields(text) {
			r, err := patterns.ParseRef(w)
			r.Side = side
			h, ok := f.Hole(r)
			if err != nil || !ok {
				panic(fmt.Sprintf("no hole %q: %v", w, err))
			}
			f.Shared[h] = used[h]
			if !used[h] {
				delete(f.Shared, h)
			}
			used[h] = true
			out = append(out, h)
		}
		return out
	}
	or := func(right, left string) string {
		if right == "" {
			return left
		}
		return right
	}
	for _, s := range patterns.Sides() {
		head, throat := l.Head, l.Throat
		if s == patterns.Right {
			head, throat = or(l.HeadRight, head), or(l.ThroatRight, throat)
		}
		h, t := take(s, head), take(s, throat)
		for i := range h {
			f.Mains[s] = append(f.Mains[s], patterns.Chord{Strand: patterns.MainStrand(i+1, s), Ends: [2]patterns.Hole{h[i], t[i]}})
		}
	}
	left, right := take(patterns.Left, l.Crosses), take(patterns.Right, or(l.CrossesRight, l.Crosses))
	for i := range left {
		f.Crosses = append(f.Crosses, patterns.Chord{Strand: patterns.CrossStrand(i + 1), Ends: [2]patterns.Hole{left[i], right[i]}})
	}
	return f
}

// Ellipse is an elliptical hoop.
func Ellipse(length, width float64) patterns.Hoop {
	return patterns.Hoop{LengthMM: length, WidthMM: width, Exponent: 2}
}

// Sixteen is a tennis frame with 16 mains and 19 crosses, holes 7 and 9 skipped at both ends.
func Sixteen(h patterns.Hoop) *patterns.Frame {
	return Make(Layout{Name: "sixteen", Sport: patterns.Tennis, Holes: 35, Hoop: h,
		Head: "1H 2H 3H 4H 5H 6H 8H 10H", Throat: "1T 2T 3T 4T 5T 6T 8T 10T",
		Crosses: "7H 9H 11H 12H 13H 14H 15H 16H 17H 18T 17T 16T 15T 14T 13T 12T 11T 9T 7T"})
}

// Twenty is a tennis frame with 16 mains and 20 crosses whose head and throat differ.
func Twenty(h patterns.Hoop) *patterns.Frame {
	return Make(Layout{Name: "twenty", Sport: patterns.Tennis, Holes: 36, Hoop: h,
		Head: "1H 2H 3H 4H 5H 6H 8H 9H", Throat: "1T 2T 3T 4T 5T 6T 8T 10T",
		Crosses: "7H 10H 11H 12H 13H 14H 15H 16H 17H 18H 18T 17T 16T 15T 14T 13T 12T 11T 9T 7T"})
}

// Shuttle is a badminton frame with 22 mains and 22 crosses, six shared holes a side.
func Shuttle(h patterns.Hoop) *patterns.Frame {
	return Make(Layout{Name: "shuttle", Sport: patterns.Badminton, Holes: 38, Hoop: h,
		Head: "1H 2H 3H 4H 5H 6H 7H 9H 10H 11H 13H", Throat: "1T 2T 3T 4T 5T 6T 8T 9T 10T 11T 12T",
		Crosses: "8H 10H 11H 12H 13H 14H 15H 16H 17H 18H 19H 19T 18T 17T 16T 15T 14T 13T 12T 10T 9T 7T"})
}

// Dense is a tennis frame with 18 mains and 20 crosses, holes 8 and 10 skipped at both ends.
func Dense(h patterns.Hoop) *patterns.Frame { return Skipping("dense", 18, 20, h, 8, 10) }

// Skipping is a frame whose mains pass by the given holes at both ends; mains is even.
func Skipping(name string, mains, crosses int, h patterns.Hoop, skip ...int) *patterns.Frame {
	skipped := map[int]bool{}
	for _, k := range skip {
		skipped[k] = true
	}
	n := mains + crosses // a side: half the mains twice, every cross once
	taken := map[int]bool{}
	var head, throat, rows []string
	for k := 1; len(head) < mains/2; k++ {
		if skipped[k] {
			continue
		}
		head, throat = append(head, fmt.Sprintf("%dH", k)), append(throat, fmt.Sprintf("%dT", k))
		taken[k], taken[n+1-k] = true, true
	}
	for k := 1; k <= n; k++ {
		if !taken[k] {
			rows = append(rows, fmt.Sprintf("%dH", k))
		}
	}
	return Make(Layout{Name: name, Sport: patterns.Tennis, Holes: n, Hoop: h,
		Head: strings.Join(head, " "), Throat: strings.Join(throat, " "), Crosses: strings.Join(rows, " ")})
}
