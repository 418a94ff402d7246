// Package verdict turns what a player said of strung rackets into what the next ones should be strung at, with the
// evidence beside it. It only suggests; the stringer decides.
//
// Parse reads an answer, Suggest makes a suggestion of a player's Past rackets of one set-up, and SameFeel says what
// another set-up is strung at. A Bed, as BedOf makes one of a job, lets both say what the change does to the bed.
package verdict

import (
	"strconv"
	"time"

	"pullcard/patterns/measure"
)

// Setup is all that must be the same for two rackets to be compared by their tension. Each is a name as the house
// writes it; a string's name tells its gauge too.
type Setup struct{ Frame, Technique, Mains, Crosses, Machine string }

// Differences say in what another set-up differs, as "mains: X instead of Y", none for the same one.
func (s Setup) Differences(from Setup) []string {
	var out []string
	for _, d := range [][3]string{
		{"frame", s.Frame, from.Frame}, {"technique", s.Technique, from.Technique}, {"mains' string", s.Mains, from.Mains},
		{"crosses' string", s.Crosses, from.Crosses}, {"machine", s.Machine, from.Machine},
	} {
		if d[1] != d[2] {
			out = append(out, d[0]+": "+named(d[1])+" instead of "+named(d[2]))
		}
	}
	return out
}

func named(name string) string {
	if name == "" {
		return "(not told)"
	}
	return strconv.Quote(name)
}

// Verdict is what a player said of a strung racket, and when.
type Verdict struct {
	At     time.Time
	Answer Answer
}

// Past is one racket that was strung for the player.
type Past struct {
	Job   int64 // number of the job, told apart by it
	Setup Setup
	// Mains and Crosses are the reference tensions really used, which may be others than were suggested or first ordered.
	// The offset of the machine is not in them. Both are above nought.
	Mains, Crosses measure.Tension
	At             time.Time // when it was strung
	Verdicts       []Verdict // in any order, may be none
	// Stiffness under a ball in N/mm and Hz, the lowest frequency, are what its bed computed to; 0 where it was not.
	Stiffness, Hz float64
}

// level is the one tension by which rackets of a set-up are compared: halfway between mains and crosses, as both make
// the bed.
func (p Past) level() measure.Tension { return half(p.Mains.Plus(p.Crosses)) }

func half(t measure.Tension) measure.Tension { return t.Percent(-50) }

// Bed computes a bed at the given tensions of mains and crosses: its stiffness under a ball in N/mm and its lowest
// frequency in Hz, 0 where the mass of the string is not known.
type Bed func(mains, crosses measure.Tension) (stiffness, hz float64, err error)

// Decision is what was suggested and what the stringer made of it, each tension as text, as "23.5 kg".
type Decision struct {
	SuggestedMains   string `json:"suggested_mains"`
	SuggestedCrosses string `json:"suggested_crosses"`
	DecidedMains     string `json:"decided_mains"`
	DecidedCrosses   string `json:"decided_crosses"`
	Reason           string `json:"reason,omitempty"`
}

// Decide is the decision for some tensions; reason may be empty.
func (s Suggestion) Decide(mains, crosses measure.Tension, reason string) Decision {
	return Decision{s.Mains.String(), s.Crosses.String(), mains.String(), crosses.String(), reason}
}
