package frame

import (
	"fmt"

	"pullcard/patterns"
)

// count says how the holes of a side add up, and whether they do.
func count(c *patterns.Card, bed bool) (text string, closes bool) {
	if c.Mains == 0 || c.Crosses == 0 {
		return "", false
	}
	shared := sharedOn(c, patterns.Left)
	sum := c.Mains + c.Crosses - shared
	have := c.Holes
	if have == 0 {
		have = sum
	}
	less := ""
	if shared > 0 {
		less = fmt.Sprintf(" - %d shared", shared)
	}
	verdict := "closes"
	switch over := have - sum; {
	case over == 1:
		verdict = "one hole too many"
	case over > 1:
		verdict = fmt.Sprintf("%d holes too many", over)
	case over == -1:
		verdict = "one hole too few"
	case over < 0:
		verdict = fmt.Sprintf("%d holes too few", -over)
	case !bed:
		verdict = "does not close yet"
	default:
		closes = true
	}
	return fmt.Sprintf("%d holes a side: %d mains + %d crosses%s = %d, %s", have, c.Mains, c.Crosses, less, sum, verdict), closes
}
