package patterns

import (
	"fmt"
	"strconv"
	"strings"
)

// Side is a side of the frame. It belongs to the frame, not to how the frame stands on the machine.
type Side uint8

// The two sides.
const (
	Left Side = iota
	Right
)

// Sides lists both sides.
func Sides() [2]Side { return [2]Side{Left, Right} }

// Other is the opposite side.
func (s Side) Other() Side { return 1 - s }

// String is "L" or "R".
func (s Side) String() string { return string("LR"[s]) }

// End is an end of the hoop.
type End uint8

// The two ends.
const (
	Head End = iota
	Throat
)

// Other is the opposite end.
func (e End) Other() End { return 1 - e }

// String is "head" or "throat".
func (e End) String() string {
	if e == Head {
		return "head"
	}
	return "throat"
}

// Letter is "H" or "T", as in the name of a hole.
func (e End) Letter() string { return string("HT"[e]) }

// Hole is a hole of the frame, counted on its side from the head centre, from 1.
type Hole struct {
	Side Side
	N    int
}

// Ref is a hole as it is written: a number counted from an end, and a side unless both are meant.
type Ref struct {
	N    int
	End  End
	Side Side
	Both bool // no side was written
}

// String writes the reference as the layout does, "7HL" or "7H".
func (r Ref) String() string {
	s := strconv.Itoa(r.N) + r.End.Letter()
	if !r.Both {
		s += r.Side.String()
	}
	return s
}

// ParseRef reads "7H", "7T", "7HL" or "7TR"; the error says what a hole looks like.
func ParseRef(text string) (Ref, error) {
	bad := fmt.Errorf(`%q is no hole; write the number, H or T for the end that it is counted from, and L or R for one side, as "7H" or "9TL"`, text)
	r := Ref{Both: true}
	digits := strings.TrimRight(text, "HTLR")
	n, err := strconv.Atoi(digits)
	if err != nil || n < 1 || n > 999 || digits[0] == '+' {
		return r, bad
	}
	r.N = n
	switch rest := text[len(digits):]; rest {
	case "H", "HL", "HR":
		r.End = Head
	case "T", "TL", "TR":
		r.End = Throat
	default:
		return r, bad
	}
	switch text[len(text)-1] {
	case 'L':
		r.Side, r.Both = Left, false
	case 'R':
		r.Side, r.Both = Right, false
	}
	return r, nil
}
