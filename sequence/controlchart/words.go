package controlchart

import "fmt"

// Words say what the chart comes to: its stringings, the baseline and how it was judged, and what an alarm of it is worth.
func (c *Chart) Words() []string {
	out := []string{fmt.Sprintf("%d stringings, each as what its bed kept of the ordered tension", len(c.Points))}
	if c.Base == nil {
		return append(out, fmt.Sprintf("mean %.3f; limits come with a baseline of %d stringings, until then nothing is judged", c.centre(), LeastBaseline))
	}
	return append(out, c.Base.Words()...)
}

// Words say what the baseline is, what limits it makes, and what those cost and see.
func (b Baseline) Words() []string {
	lower, upper := b.Limits()
	name := b.Name
	if name == "" {
		name = fmt.Sprintf("the first %d, not decided on", b.N)
	}
	trend := fmt.Sprintf("it shows no trend (p %s)", chance(b.TrendP))
	if b.Trend() {
		trend = fmt.Sprintf("it drifts (p %s): find out why, then name another one", chance(b.TrendP))
	}
	return []string{
		fmt.Sprintf("baseline %s: %d stringings until %s, centre %.3f, sigma %.4f; %s", name, b.N, b.Until.Format("2006-01-02"), b.Centre, b.Sigma, trend),
		fmt.Sprintf("limits %.3f to %.3f (%.1f sigma); EWMA %.1f of its sigma; together they alarm on at most 1 in 10 charts of %d good stringings",
			lower, upper, perWidth*at(b.N).width, at(b.N).width, PricedOver),
		fmt.Sprintf("a shift of %.1f sigma (%.3f) is seen within %d stringings with a chance of %.0f %%; a longer baseline sees more",
			Shift, Shift*b.Sigma, Within, 100*b.Power()),
	}
}

// chance writes a p with the sign that it needs before it.
func chance(p float64) string {
	if text := Chance(p); text[0] == '<' {
		return text
	}
	return "= " + Chance(p)
}
