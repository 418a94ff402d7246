package ticket

import (
	"fmt"
	"strings"

	"pullcard/patterns/measure"
)

// cautions are what the player should know: first what was out of the ordinary with this racket, then what holds for
// all of them.
func (t *Ticket) cautions() []string {
	var out []string
	if s := t.above(); s != "" {
		out = append(out, s)
	}
	if t.redos != nil {
		out = append(out, "done again at the bench: "+strings.Join(t.redos, ", "))
	}
	if t.right != nil {
		out = append(out, "put right at the bench: "+strings.Join(t.right, "; "))
	}
	out = append(out, t.lasting...)
	out = append(out, t.firstDay())
	if t.PlaysAWeek > 0 {
		out = append(out, "restring as many times a year as you play a week: common practice, no promise; sooner when a string frays")
	}
	for _, s := range t.machineCautions() {
		out = append(out, bindUnits(s))
	}
	if t.Notes {
		for _, s := range t.notes {
			out = append(out, "note: "+s)
		}
	}
	return out
}

// firstDay says how much a new bed gives: common practice of the trade, it varies.
func (t *Ticket) firstDay() string {
	return fmt.Sprintf("the strings lose %s of their tension in the first day (common practice), more in a warm car", t.drop())
}

// polyester gives more than the other materials.
const polyester = "polyester"

func (t *Ticket) drop() string {
	usual, most := fmt.Sprintf("5 to 10%c%%", glue), fmt.Sprintf("up to 15%c%%", glue)
	mains, crosses := t.Mains.Material, t.Crosses.Material
	switch {
	case mains == polyester && crosses == polyester:
		return most
	case mains != "" && crosses != "" && mains != polyester && crosses != polyester:
		return usual
	}
	return usual + ", polyester " + most + ","
}

// above counts the pulls that the printed range does not allow.
func (t *Ticket) above() string {
	_, top, _ := strings.Cut(t.Plan.Terms.PrintedRange, " to ")
	most, err := measure.ParseTension(top)
	if err != nil {
		return "" // the layout gives no range
	}
	n, hardest, newtons := 0, "", most.Newtons()
	for i := range t.followed.Steps {
		o := t.followed.Steps[i].Pull()
		if o == nil || o.Newtons <= most.Newtons() {
			continue
		}
		if n++; o.Newtons > newtons {
			hardest, newtons = o.Tension, o.Newtons
		}
	}
	if v, err := measure.ParseTension(hardest); err == nil && v.Unit() != most.Unit() {
		hardest += " or " + v.To(most.Unit()).Short()
	}
	hardest = bindUnits(hardest)
	switch n {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf("1 pull lies above the frame's printed range, %s: %s", printedRange(&t.Plan.Terms), hardest)
	}
	return fmt.Sprintf("%d pulls lie above the frame's printed range, %s: %s at the most", n, printedRange(&t.Plan.Terms), hardest)
}

func (t *Ticket) machineCautions() []string {
	mains, err := measure.ParseTension(t.Plan.Terms.PullMains.Ordered)
	if err != nil {
		return nil
	}
	crosses, err := measure.ParseTension(t.Plan.Terms.PullCrosses.Ordered)
	if err != nil {
		return nil
	}
	return t.Machine.Cautions(mains, crosses)
}
