package lot

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"pullcard/patterns/measure"
	"pullcard/sequence/verdict"
)

// hundredths writes a tension to a hundredth of its unit: half a step of badminton has two digits.
func hundredths(t measure.Tension) string {
	return strconv.FormatFloat(math.Round(t.Value()*100)/100, 'f', -1, 64) + " " + string(t.Unit())
}

// pair writes the tensions of mains and crosses, once where they are the same.
func pair(mains, crosses measure.Tension) string {
	if mains == crosses {
		return hundredths(mains)
	}
	return hundredths(mains) + " / " + hundredths(crosses)
}

// short is a pair as narrow as it can be said, "24/23 kg".
func short(mains, crosses measure.Tension) string {
	a, b := hundredths(mains), hundredths(crosses)
	switch {
	case mains == crosses:
		return a
	case mains.Unit() == crosses.Unit():
		a, _, _ = strings.Cut(a, " ")
	}
	return a + "/" + b
}

// outcome is what is suggested, or what the stringer says otherwise: some words to stand out and some more.
func (m Model) outcome() (loud, more string) {
	switch s := m.sheet.Suggestion; {
	case !m.suggested() && s.Outcome == verdict.Unjudged:
		return "nobody has said yet", ""
	case !m.suggested():
		return "nothing is suggested", ""
	case m.differs():
		return "you say", m.forThose()
	case s.Outcome == verdict.Moved:
		return m.moves()
	case s.Outcome == verdict.Contradictory:
		return "the verdicts do not go together: nothing changes", ""
	}
	return "stays", m.those()
}

// moves is by how much the suggestion lies from the racket that was judged.
func (m Model) moves() (loud, more string) {
	s := m.sheet.Suggestion
	loud, by := "moves up", s.Mains.Minus(s.Judged.Mains)
	if by.Value() < 0 {
		loud, by = "moves down", s.Judged.Mains.Minus(s.Mains)
	}
	return loud, "by " + hundredths(by) + " " + m.those()
}

// caption says in words what the figures show.
func (m Model) caption() string {
	s := m.sheet.Suggestion
	words := strands(m.mains, m.crosses)
	switch {
	case m.differs():
		words += "; suggested is " + pair(s.Mains, s.Crosses)
	case s.Outcome == verdict.Moved:
		words += "; judged was " + pair(s.Judged.Mains, s.Judged.Crosses)
	}
	return words
}

// strands says which tension is whose.
func strands(mains, crosses measure.Tension) string {
	if mains == crosses {
		return "mains and crosses " + hundredths(mains)
	}
	return "mains " + hundredths(mains) + ", crosses " + hundredths(crosses)
}

// those are the rackets that a decision sets.
func (m Model) those() string {
	switch m.sheet.Waiting {
	case 0:
		return "and no racket waits"
	case 1:
		return "for the one that waits"
	}
	return fmt.Sprintf("for the %d that wait", m.sheet.Waiting)
}

// forThose says what is decided, and for which rackets.
func (m Model) forThose() string { return pair(m.mains, m.crosses) + " " + m.those() }
