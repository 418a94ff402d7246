package referee

import (
	"fmt"
	"strings"

	"pullcard/sequence/plan"
)

// The rules by number.
const (
	ruleHeld    = 1  // where tensioned string meets slack string something holds it
	ruleStock   = 2  // no more clamps than there are, one gripper
	ruleOnce    = 3  // a span is laid once, pulled once, from its exit, nothing slack behind it; what is lost stays alone
	ruleHole    = 4  // what a hole carries
	ruleWeave   = 5  // over and under alternate
	ruleRun     = 6  // runs outside the frame
	ruleLead    = 7  // neither side runs ahead, no cross over a slack main
	ruleAhead   = 8  // the next cross is woven before one is pulled
	ruleKnot    = 9  // knots and tails
	ruleTension = 10 // boosts
	ruleEnd     = 11 // the end of the work, even cuts, and the book-keeping of the plan
	ruleOrder   = 12 // as long as nothing goes wrong the order is the one that the terms promise
)

// Breach is one place where a plan breaks a rule.
type Breach struct {
	Step  int    // from 1; 0 for the terms and for the end of the plan
	Op    int    // from 1 in the step; 0 for the step as a whole
	Doing string // the op in short, "pull M3L"; "terms" for the terms; otherwise empty
	Rule  int    // 1 to 12
	What  string // what is wrong, in plain words
}

// String is like "step 12, op 3 (pull M3L): rule 3: M2L is slack behind it".
func (b Breach) String() string {
	where := "at the end"
	switch {
	case b.Op > 0:
		where = fmt.Sprintf("step %d, op %d (%s)", b.Step, b.Op, b.Doing)
	case b.Step > 0:
		where = fmt.Sprintf("step %d", b.Step)
	case b.Doing != "":
		where = b.Doing
	}
	return fmt.Sprintf("%s: rule %d: %s", where, b.Rule, b.What)
}

// doing says an op in short.
func doing(op *plan.Op) string {
	words := []string{string(op.Op)}
	for _, w := range []string{string(op.Clamp), string(op.Strand), op.Support} {
		if w != "" {
			words = append(words, w)
		}
	}
	if len(words) == 1 && op.Hole != "" {
		words = append(words, string(op.Hole))
	}
	return strings.Join(words, " ")
}
