package patterns

import (
	"fmt"
	"strconv"
	"strings"
)

// Kind tells mains from crosses.
type Kind uint8

// The two kinds of strand.
const (
	Main Kind = iota
	Cross
)

// Strand is one span of string: a main, counted on its side from the centre, or a cross, counted from the head.
type Strand struct {
	Kind   Kind
	Number int
	Side   Side // of a main; Left for every cross
}

// String is "M3L" or "C1".
func (s Strand) String() string {
	if s.Kind == Cross {
		return "C" + strconv.Itoa(s.Number)
	}
	return "M" + strconv.Itoa(s.Number) + s.Side.String()
}

// ParseStrand reads a strand's name, "M3L" or "C1"; the error says what one looks like.
func ParseStrand(text string) (Strand, error) {
	s := Strand{Kind: Cross}
	digits, main := strings.CutPrefix(text, "M")
	if main {
		s.Kind = Main
		if rest, right := strings.CutSuffix(digits, "R"); right {
			digits, s.Side = rest, Right
		} else {
			digits = strings.TrimSuffix(digits, "L")
		}
	} else {
		digits = strings.TrimPrefix(text, "C")
	}
	s.Number, _ = strconv.Atoi(digits)
	if s.Number < 1 || s.String() != text {
		return s, fmt.Errorf(`%q is no strand; write M, the number from the centre and the side, as "M3L", or C and the number from the head, as "C1"`, text)
	}
	return s, nil
}

// MainStrand is the n-th main from the centre on a side.
func MainStrand(n int, side Side) Strand { return Strand{Main, n, side} }

// CrossStrand is the n-th cross from the head.
func CrossStrand(n int) Strand { return Strand{Kind: Cross, Number: n} }

// Chord is a strand between its two holes: a main's at the head and at the throat, a cross's on the left and right.
type Chord struct {
	Strand
	Ends [2]Hole
	// Line is the line of the layout file that the chord comes from, 0 when it follows from the counts.
	Line int
}

// At is the hole of a main at an end.
func (c Chord) At(e End) Hole { return c.Ends[e] }

// On is the hole of a cross on a side.
func (c Chord) On(s Side) Hole { return c.Ends[s] }
