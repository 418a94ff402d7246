package plan

import "strings"

// Names writes a list of strands in their order, "M1L, M2L, M3L".
func Names(strands []Strand) string {
	words := make([]string, len(strands))
	for i, s := range strands {
		words[i] = string(s)
	}
	return strings.Join(words, ", ")
}

// Holes writes a list of holes, "7HL and 7HR".
func Holes(holes []Hole) string {
	words := make([]string, len(holes))
	for i, h := range holes {
		words[i] = string(h)
	}
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// HoleParts is a hole's name in its parts.
type HoleParts struct {
	N    int    // counted from its end, 0 for a name that is none
	End  string // "H" or "T"
	Side string // "L" or "R"
}

// The words of a plan by which acts tell what they are about.
const (
	JawsCleaned = ": jaws cleaned and set to the gauge of the string" // behind a clamp that slipped on string
	BaseCleaned = ": rail and base cleaned, the base locks again"     // behind one that slid
	HardWeave   = "hard weave: "                                      // begins a note that weaving brings with it
)

// Parts takes the name of a hole apart.
func (h Hole) Parts() (p HoleParts) {
	for i, c := range h {
		switch {
		case c >= '0' && c <= '9' && p.End == "":
			p.N = 10*p.N + int(c-'0')
		case (c == 'H' || c == 'T') && p.End == "" && i > 0:
			p.End = string(c)
		case (c == 'L' || c == 'R') && p.End != "" && p.Side == "":
			p.Side = string(c)
		default:
			return HoleParts{}
		}
	}
	if p.End == "" {
		return HoleParts{}
	}
	return p
}

// Parts takes the name of a strand apart: 'M' or 'C', its number, 0 for a name that is none, and of a main its side.
func (s Strand) Parts() (kind byte, n int, side string) {
	if len(s) < 2 || s[0] != 'M' && s[0] != 'C' {
		return 0, 0, ""
	}
	for _, c := range s[1:] {
		switch {
		case c >= '0' && c <= '9' && side == "":
			n = 10*n + int(c-'0')
		case (c == 'L' || c == 'R') && s[0] == 'M' && side == "":
			side = string(c)
		default:
			return 0, 0, ""
		}
	}
	return s[0], n, side
}
