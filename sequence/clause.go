package sequence

import (
	"fmt"
	"strings"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// Clause is one thing that a technique sheet settles, in words.
type Clause struct {
	Key  string // where a sheet says it, as "mains.lead"
	Says string
	// Usual says that the sheet leaves it open, and that it is as usual.
	Usual bool
}

// Clauses are all settings of a sheet in the order of the work, whether it says them itself or leaves them as usual.
func (t *Technique) Clauses() (out []Clause) {
	say := func(key, format string, args ...any) {
		out = append(out, Clause{key, fmt.Sprintf(format, args...), !t.written(key)})
	}
	one := t.Pieces == 1
	say("pieces", "strung with %s of string", [...]string{"one piece", "two pieces"}[t.Pieces-1])
	if one {
		say("around", "the long side %s around the outer main", map[bool]string{true: "goes", false: "does not go"}[t.Around])
	}
	say("mount.order", "supports go on in this order: %s", strings.Join(t.Mount.Order, ", "))
	say("mount.release", "they come off in this order: %s", strings.Join(t.Mount.Release, ", "))
	say("mount.mark", "the frame lies with %s", t.Mount.Mark)
	if t.Clamps.Flying > 0 {
		say("clamps.flying", "%s", counted(t.Clamps.Flying, "flying clamp"))
	} else {
		say("clamps.fixed", "%s", counted(t.Clamps.Fixed, "fixed clamp"))
	}
	say("clamps.starting", "%s", counted(t.Clamps.Starting, "starting clamp"))
	say("mains.first", "the first main pulled is on the %s", sideWord(t.Mains.First))
	say("mains.lead", "one side runs ahead by %s at most", counted(t.Mains.Lead, "pull"))
	say("mains.then", "%s", map[bool]string{true: "in turn each side runs on until it leads by that", false: "the side ahead runs until it leads by that, the other until it is level"}[t.Mains.Overtake])
	say("mains.boost", "%s of each side boosted", counted(t.Mains.Boost, "last main"))
	if one {
		say("mains.short", "the short side is the %s", sideWord(t.Mains.Short))
	} else {
		say("crosses.side", "the crosses' string begins on the %s", sideWord(t.Cross.Side))
		say("crosses.start", "%s", map[Start]string{StartClamp: "the starting clamp holds the first cross; its tail is pulled again and tied later",
			StartKnot: "the crosses begin with a starting knot", StartSkip: "the second cross goes in first; the first is doubled back and pulled last"}[t.Cross.Start])
		if t.Cross.Start == StartClamp {
			say("crosses.repull", "the first cross's tail is pulled again %s", map[bool]string{true: "at the end", false: "after the third cross"}[t.Cross.RepullEnd])
		}
	}
	say("crosses.from", "crosses go in from the %s", t.Cross.From)
	say("crosses.clamps", "%s free for the crosses", counted(t.Cross.Clamps, "clamp"))
	say("crosses.ahead", "%s", map[bool]string{true: "the next cross is woven before one is pulled", false: "each cross is woven when the one before is pulled"}[t.Cross.Ahead])
	if t.Cross.First == "" {
		say("crosses.first", "the first cross passes its first main as the grid of the bed has it")
	} else {
		say("crosses.first", "the first cross passes its first main %s", t.Cross.First)
	}
	if t.Boost.Amount.IsZero() {
		say("boost.percent", "a boost is %g %%", t.Boost.Percent)
	} else {
		say("boost.amount", "a boost is %s", t.Boost.Amount.Short())
	}
	say("tie.knot", "knots are %s", t.Knot)
	say("tie.tail", "%g mm of tail stay past a knot", t.TailMM)
	reach := t.Reach
	if reach == 0 {
		reach = plan.UsualReach
	}
	say("tie.reach", "a run outside takes %s at most", counted(reach, "hole-step"))
	walk := plan.Walk{Mains: plan.UsualWalkMains, Crosses: plan.UsualWalkCrosses}
	if t.Walk != nil {
		walk = *t.Walk
	}
	say("redo.walk.mains", "slack is walked out of %s at most, beyond it mains are undone", counted(walk.Mains, "main"))
	say("redo.walk.crosses", "and of %s", map[bool]string{true: "1 cross", false: fmt.Sprintf("%d crosses", walk.Crosses)}[walk.Crosses == 1])
	for _, sport := range patterns.Sports() {
		say("cut.walls."+string(sport), "a pass through the wall of a %s frame takes %g mm of string", sport, t.Walls[sport])
	}
	say("cut.margin", "%g mm of each piece are left to weave with", t.Cut.WeaveMM)
	say("cut.knot", "a starting knot takes %g mm", t.Cut.KnotMM)
	say("cut.tape", "lengths are rounded up to %g mm", t.Cut.TapeMM)
	return out
}

// written says whether the sheet has a key; a wall is also said for all sports together.
func (t *Technique) written(key string) bool {
	return t.keys[key] || strings.HasPrefix(key, "cut.walls.") && t.keys["cut.wall"]
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
