package draw

import "pullcard/tui/theme"

// Sign is a mark of the picture and what it means, for a legend.
type Sign struct {
	Mark string // one to three cells
	Role theme.Role
	Text string
}

// Legend explains the marks of the picture as the palette draws them.
func (p Palette) Legend() []Sign {
	line := func(weight arms, s stroke) string {
		r := string(p.line(levelArms*weight, s))
		return r + r + r
	}
	mark := func(m mark) string { return string(p.sign(m)) }
	return []Sign{
		{line(2, whole), theme.Current, "in hand, pulled now"},
		{line(2, dashed), theme.Current, "in hand, laid now"},
		{line(1, dashed), theme.Slack, "laid, not pulled"},
		{line(1, dotted), theme.Next, "comes next"},
		{line(2, dotted), theme.Warn, "to the wrong hole that it is in"},
		{mark(markEntry), theme.Current, "goes in here"},
		{mark(markPull + armRight), theme.Current, "the gripper pulls here"},
		{mark(markOut + armRight), theme.Current, "comes out here"},
		{"A B", theme.ClampA, "clamps; small: where they go"},
		{"S", theme.ClampS, "starting clamp; small: where it goes"},
		{mark(markBlocked), theme.Blocked, "blocked by a run outside"},
		{mark(markSoon), theme.Soon, "will be covered"},
		{mark(markKnot), theme.Knot, "knot"},
		{mark(markTie), theme.Current, "knot to make"},
		{mark(markLater), theme.Deferred, "pulled later"},
	}
}
