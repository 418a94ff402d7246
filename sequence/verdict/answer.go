package verdict

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"pullcard/patterns/measure"
)

// Direction is on which side of right a bed is.
type Direction string

// What a player can say of a bed.
const (
	TooTight Direction = "too tight"
	Right    Direction = "right"
	TooLoose Direction = "too loose"
)

// Degree is how far off right a bed is.
type Degree string

// The degrees; right has none.
const (
	ABit    Degree = "a bit"
	Plainly Degree = "plainly"
	Far     Degree = "far"
)

// Answer is a player's answer. The zero Answer is none.
type Answer struct {
	Way    Direction
	Degree Degree
}

// String writes the answer as Parse reads it: "too tight, a bit", "right".
func (a Answer) String() string {
	if a.Degree == "" {
		return string(a.Way)
	}
	return string(a.Way) + ", " + string(a.Degree)
}

// toward is where the next tension lies: -1 for lower, 1 for higher, 0 for right.
func (a Answer) toward() float64 {
	return map[Direction]float64{TooTight: -1, TooLoose: 1}[a.Way]
}

// Against says whether to string the next racket at other tensions than one that was judged, or at the same again, is not what the
// player asks for: anything but lower where it was too tight, anything but higher where it was too loose, and anywhere else where it was
// right. It goes by the tension halfway between mains and crosses, and what comes of rounding to a machine's step is no move.
func (a Answer) Against(mains, crosses, newMains, newCrosses measure.Tension) bool {
	by := Past{Mains: newMains, Crosses: newCrosses}.level().In(measure.Kg) - Past{Mains: mains, Crosses: crosses}.level().In(measure.Kg)
	if toward := a.toward(); toward != 0 {
		return by*toward <= same/2
	}
	return a.Way == Right && math.Abs(by) > same
}

// Parse reads "too tight, a bit", "a bit too tight", "loose far" or "right". Without a degree "plainly" is meant. "Hard"
// and "soft" are refused: players say them of the string itself as well, so one asks.
func Parse(text string) (Answer, error) {
	var a Answer
	for _, word := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) }) {
		switch way, degree := meaning(word); {
		case word == "hard" || word == "soft":
			return Answer{}, fmt.Errorf(`%q may mean the string, its gauge or its tension: ask, and where it is the tension write "too tight, a bit" or the like`, text)
		case way != "" && (a.Way == "" || a.Way == way):
			a.Way = way
		case degree != "" && (a.Degree == "" || a.Degree == degree):
			a.Degree = degree
		case word != "too" && word != "a":
			return Answer{}, notAnswer(text)
		}
	}
	switch {
	case a.Way == "" || a.Way == Right && a.Degree != "":
		return Answer{}, notAnswer(text)
	case a.Way != Right && a.Degree == "":
		a.Degree = Plainly
	}
	return a, nil
}

func notAnswer(text string) error {
	return fmt.Errorf(`%q is no verdict; write "right", or "too tight" or "too loose" with "a bit", "plainly" or "far", as "too tight, a bit"`, text)
}

// meaning is what a word says; neither for any other word.
func meaning(word string) (Direction, Degree) {
	switch word {
	case "tight":
		return TooTight, ""
	case "loose":
		return TooLoose, ""
	case "right", "good", "fine", "ok":
		return Right, ""
	case "bit", "little", "slightly":
		return "", ABit
	case "plainly", "plain", "clearly":
		return "", Plainly
	case "far", "much", "very", "way":
		return "", Far
	}
	return "", ""
}
