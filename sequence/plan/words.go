package plan

import (
	"fmt"
	"strings"
)

// Words says in the trade's short words what hands do; screens, commands and print all use these.
func (o *Op) Words() string {
	switch o.Op {
	case Mount:
		return "set the support: " + o.Support
	case Dismount:
		return "loosen the support: " + o.Support
	case Thread:
		return fmt.Sprintf("thread %s from %s to %s", o.Strand, o.From, o.To) + under(o.Blocked)
	case Weave:
		return fmt.Sprintf("weave %s from %s to %s, %s first, %s", o.Strand, o.From, o.To, o.First, count(o.Meets, "main")) + under(o.Blocked)
	case Pull:
		return o.pullWords()
	case ClampOn:
		if o.Outside {
			return fmt.Sprintf("clamp %s outside the frame on %s at %s", o.Clamp, o.Strand, o.Hole)
		}
		if o.With != "" {
			return fmt.Sprintf("clamp %s on %s and %s at %s", o.Clamp, o.Strand, o.With, o.Hole)
		}
		return fmt.Sprintf("clamp %s on %s at %s: jaws, then base", o.Clamp, o.Strand, o.Hole)
	case Unclamp:
		return fmt.Sprintf("clamp %s off: base, then jaws", o.Clamp)
	case Release:
		return "ease the gripper"
	case Tie:
		return fmt.Sprintf("tie %s, out at %s, in %s on %s: %s", o.Strand, o.Out, o.Hole, o.Anchor, o.Knot)
	case Trim:
		return fmt.Sprintf("trim the tail at %s to %g mm, tuck it in", o.Hole, o.TailMM)
	case Straighten:
		return fmt.Sprintf("straighten %s under tension", o.Strand)
	case Slacken:
		return fmt.Sprintf("let the gripper give way slowly: %s goes slack", o.Strand)
	case Unthread:
		return fmt.Sprintf("draw %s back out of %s and %s", o.Strand, o.To, o.From)
	case Unweave:
		return fmt.Sprintf("draw %s back out, from %s to %s", o.Strand, o.To, o.From)
	case Untie:
		return fmt.Sprintf("open the knot of %s in %s", o.Strand, o.Hole)
	case Cut:
		return fmt.Sprintf("cut %s", o.Strand)
	case WalkSlack:
		return "walk the slack to the gripper: " + Names(o.Strands)
	case Waive:
		return fmt.Sprintf("%s stays as it is: %s", o.Strand, o.Text)
	}
	return o.Text
}

func (o *Op) pullWords() string {
	again, boost := "", ""
	if o.Repull {
		again = " again"
	}
	if o.Also != "" {
		again = " and " + string(o.Also) + again
	}
	if o.BoostPercent > 0 {
		boost = fmt.Sprintf(", boosted by %.3g %%", o.BoostPercent)
	}
	return fmt.Sprintf("pull %s%s at %s with %s%s", o.Strand, again, o.Hole, o.Tension, boost)
}

func under(blocked []Hole) string {
	if len(blocked) == 0 {
		return ""
	}
	return "; blocked: " + Holes(blocked) + ", use the scrap left there"
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Names writes a list of strands in their order, "M1L, M2L, M3L".
func Names(strands []Strand) string {
	words := make([]string, len(strands))
	for i, s := range strands {
		words[i] = string(s)
	}
	return strings.Join(words, ", ")
}

// Holes writes a list of holes, "7HL and 7HR".
func Holes(holes []Hole) string {
	words := make([]string, len(holes))
	for i, h := range holes {
		words[i] = string(h)
	}
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
