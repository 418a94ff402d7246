package controlchart

import "fmt"

// Rule is a pattern that chance seldom makes. All rules are always looked at; together they raise a false alarm far more
// often than the first one alone, so a point that breaks one is a reason to look, not a verdict.
//
// They are the Western Electric rules with the trend rules as in the NIST/SEMATECH e-Handbook of Statistical Methods,
// 6.3.2 (their wording from memory). A point on a line is not beyond it. The rule is broken by the point that completes the pattern.
type Rule int

// The rules; their values are the numbers that drawings show.
const (
	// Beyond: the point lies beyond three sigma.
	Beyond Rule = iota + 1
	// TwoOfThree: two of the last three points lie beyond two sigma on one side.
	TwoOfThree
	// FourOfFive: four of the last five lie beyond one sigma on one side.
	FourOfFive
	// EightOnSide: eight in a row lie on one side of the centre.
	EightOnSide
	// SixTrending: six in a row, each above or each below the one before it.
	SixTrending
	// FourteenAlternating: fourteen in a row, up and down by turns.
	FourteenAlternating
)

// Rules are all rules in order.
func Rules() []Rule {
	return []Rule{Beyond, TwoOfThree, FourOfFive, EightOnSide, SixTrending, FourteenAlternating}
}

// String says what breaks the rule.
func (r Rule) String() string {
	switch r {
	case Beyond:
		return "beyond 3 sigma"
	case TwoOfThree:
		return "2 of 3 beyond 2 sigma on one side"
	case FourOfFive:
		return "4 of 5 beyond 1 sigma on one side"
	case EightOnSide:
		return "8 in a row on one side of the centre"
	case SixTrending:
		return "6 in a row up or down"
	case FourteenAlternating:
		return "14 in a row up and down by turns"
	}
	return fmt.Sprintf("rule %d", int(r))
}

// span is how many points the rule looks at.
func (r Rule) span() int {
	switch r {
	case TwoOfThree:
		return 3
	case FourOfFive:
		return 5
	case EightOnSide:
		return 8
	case SixTrending:
		return 6
	case FourteenAlternating:
		return 14
	}
	return 1
}

// broken are the rules that point i breaks.
func (c *Chart) broken(i int) []Rule {
	var out []Rule
	for _, r := range Rules() {
		if c.breaks(i, r) {
			out = append(out, r)
		}
	}
	return out
}

func (c *Chart) breaks(i int, r Rule) bool {
	switch r {
	case Beyond:
		return c.crowd(i, r, 1, 3)
	case TwoOfThree:
		return c.crowd(i, r, 2, 2)
	case FourOfFive:
		return c.crowd(i, r, 4, 1)
	case EightOnSide:
		return c.crowd(i, r, 8, 0)
	case SixTrending:
		return c.steps(i, r, 1)
	case FourteenAlternating:
		return c.steps(i, r, -1)
	}
	return false
}

// crowd says whether point i and at least so many in all of the rule's last points lie further than some sigmas out on one
// side. Only a point that lies there itself completes the pattern; a crowd that ended before was marked when it did.
func (c *Chart) crowd(i int, r Rule, many int, sigmas float64) bool {
	for _, side := range []float64{1, -1} {
		beyond := func(j int) bool { return side*(c.Points[j].Value-c.Centre) > sigmas*c.Sigma }
		n := 0
		for j := i; beyond(i) && j >= 0 && j > i-r.span(); j-- {
			if beyond(j) {
				n++
			}
		}
		if n >= many {
			return true
		}
	}
	return false
}

// steps says whether the steps between the rule's last points all go one way (turn is 1) or each the other way than the
// one before it (-1). Equal points make no step.
func (c *Chart) steps(i int, r Rule, turn float64) bool {
	if i < r.span()-1 {
		return false
	}
	step := func(j int) float64 { return c.Points[j].Value - c.Points[j-1].Value }
	for j := i; j > i-r.span()+2; j-- {
		if step(j)*step(j-1)*turn <= 0 {
			return false
		}
	}
	return true
}
