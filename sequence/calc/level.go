package calc

import (
	"fmt"
	"math"

	"pullcard/patterns/assume"
	"pullcard/sequence/plan"
	"pullcard/sequence/strain"
)

// Level is the boost that brings a boosted strand level with its neighbour when the frame is off the machine.
type Level struct {
	Strand    plan.Strand `json:"strand"`
	Neighbour plan.Strand `json:"neighbour"`
	// Percent is that boost, IsPercent the sheet's.
	Percent   float64 `json:"percent"`
	IsPercent float64 `json:"is_percent"`
	// Reached says whether it gets there; the most that is tried is mostBoost.
	Reached bool `json:"reached"`
}

// mostBoost is the largest boost that is tried, in percent: this program's own choice, past what a sheet may ask for.
const mostBoost = 60

// Levels finds the boosts that bring boosted strands level with their neighbours, all of them together.
func (w Work) Levels(house assume.Table) ([]Level, error) {
	m, err := w.Elastic(w.Assumptions(house))
	if err != nil {
		return nil, err
	}
	c, err := m.Play(w.Plan)
	if err != nil {
		return nil, err
	}
	index := map[plan.Strand]int{}
	for i, s := range c.Strands {
		index[plan.Strand(s.Name)] = i
	}
	var out []Level
	pulls := map[plan.Strand]float64{}
	for i, s := range c.Strands {
		if n, ok := beside(c, i, len(w.Plan.Terms.Mains)); ok && s.Pulled > s.Ordered*1.0001 {
			is := (s.Pulled/s.Ordered - 1) * 100
			out = append(out, Level{Strand: plan.Strand(s.Name), Neighbour: plan.Strand(c.Strands[n].Name), Percent: is, IsPercent: is})
			pulls[plan.Strand(s.Name)] = s.Pulled
		}
	}
	const rounds, enough = 12, 0.2 // N
	for range rounds {
		worst := 0.0
		for i := range out {
			l := &out[i]
			s, n := c.Strands[index[l.Strand]], c.Strands[index[l.Neighbour]]
			apart := n.OffMachine - s.OffMachine
			pulls[l.Strand] = math.Min(math.Max(pulls[l.Strand]+apart*s.Pulled/math.Max(s.OffMachine+s.Lost.Knot+s.Lost.Drawback, s.Pulled/4), s.Ordered*.5), s.Ordered*(1+mostBoost/100.0))
			l.Percent, l.Reached = (pulls[l.Strand]/s.Ordered-1)*100, math.Abs(apart) < 2
			worst = math.Max(worst, math.Abs(apart))
		}
		if worst < enough {
			break
		}
		if c, err = m.PlayAt(w.Plan, pulls); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// beside is the neighbour of a strand towards the middle that is not boosted itself.
func beside(c *strain.Course, i, mains int) (n int, ok bool) {
	lo, hi := 0, mains-1
	if i >= mains {
		lo, hi = mains, len(c.Strands)-1
	}
	step := 1
	if i > (lo+hi)/2 {
		step = -1
	}
	for n = i + step; n >= lo && n <= hi; n += step {
		if s := c.Strands[n]; s.Pulled <= s.Ordered*1.0001 {
			return n, true
		}
	}
	return 0, false
}

// Words says what boost a strand needs.
func (l Level) Words() string {
	if !l.Reached {
		return fmt.Sprintf("%s: no boost up to %d %% brings it level with %s", l.Strand, mostBoost, l.Neighbour)
	}
	return fmt.Sprintf("%s: %.0f %% instead of %.0f %%, level with %s", l.Strand, l.Percent, l.IsPercent, l.Neighbour)
}
