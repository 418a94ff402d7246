package referee

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"pullcard/sequence/plan"
)

// scene is a recovery's plan, flat, to be changed at an op.
type scene struct {
	recovery
	ops []plan.Op
	at  int
}

func (s *scene) a() *plan.Op { return &s.ops[s.at] }
func (s *scene) b() *plan.Op { return &s.ops[s.at+1] }

// slips says whether the clamp that an op moves let go and was not set since.
func (s *scene) slips(op *plan.Op) (slipped bool) {
	for _, o := range s.ops[:s.at] {
		if o.Clamp == op.Clamp && op.Clamp != "" {
			slipped = o.Fault == plan.FaultClamp && o.Extent != plan.Crept && o.Extent != plan.Base
		}
	}
	return slipped
}

// waived says whether what went wrong with a strand is left as it is later.
func (s *scene) waived(op *plan.Op) bool {
	return slices.ContainsFunc(s.ops[s.at:], func(o plan.Op) bool { return o.Op == plan.Waive && o.Strand == op.Strand })
}

// presses says whether an op presses a strand.
func presses(op *plan.Op) bool { return does(op, plan.Inspect) && op.Strand != "" }

// on is the strand that a clamp is on before the op.
func (s *scene) on(c plan.Clamp) (strand plan.Strand) {
	for _, op := range s.ops[:s.at] {
		if op.Op == plan.ClampOn && op.Clamp == c {
			strand = op.Strand
		}
	}
	return strand
}

// evenly says whether the cuts are even when the two at hand are swapped. A fault begins them anew, and a kind that is
// cut only after it was not to be cut before.
func (s *scene) evenly() bool {
	ops := slices.Clone(s.ops)
	ops[s.at], ops[s.at+1] = ops[s.at+1], ops[s.at]
	var parts []order // from fault to fault: what is cut, and what later
	for i := range ops {
		switch {
		case does(&ops[i], plan.Fault):
			parts = append(parts, order{})
		case does(&ops[i], plan.Cut):
			for k := range parts {
				parts[k].left = append(parts[k].left, ops[i].Strand)
			}
			last := &parts[len(parts)-1]
			last.cut = append(last.cut, ops[i].Strand)
		}
	}
	for _, part := range parts {
		part.left = slices.DeleteFunc(part.left, func(s plan.Strand) bool { return len(order{cut: part.cut}.of(s[0]).cut) == 0 })
		for n := 1; n <= len(part.cut); n++ {
			if !(order{part.cut[:n], part.left[n:]}).even() {
				return false
			}
		}
	}
	return true
}

// said says whether a mishap does nothing to the string.
func said(op *plan.Op) bool {
	return op.Fault != "" && !slices.Contains([]plan.Mishap{plan.FaultClamp, plan.FaultGripper, plan.FaultBreak, plan.FaultKnot,
		plan.FaultSplit, plan.FaultFrame, plan.FaultPause}, op.Fault) && !(op.Fault == plan.FaultHole && op.From != "") && (op.Fault != plan.FaultShort || !nameIn.MatchString(op.Choose))
}

// allowance is a change to a recovery that leaves it correct, and why.
type allowance struct {
	why  string
	fits func(s *scene) bool
}

var dropped = []allowance{
	{"a mishap that does nothing to the string is only said", func(s *scene) bool { return said(s.a()) && !s.waived(s.a()) }},
	{"a sleeve leaves the hole as it was", func(s *scene) bool { return s.a().Fault == plan.FaultSplit && s.a().Choose == "sleeve" }},
	{"what slipped was held by something else", func(s *scene) bool { return s.idle && s.a().Fault != "" }},
	{"the same with a clamp that has not slipped is a redo, but the first tail's has a boost and a slack main none", func(s *scene) bool {
		return s.a().Fault == plan.FaultClamp && !s.loop() && s.ops[s.at+2].Also == "" && (does(s.b(), plan.ClampOn, plan.Note) ||
			does(s.b(), plan.Pull) && !firstTail(s.b()) && s.b().Hole != "1HL" && s.b().Also == "")
	}},
	{"a gripper that lost its string is eased or not", func(s *scene) bool {
		return does(s.a(), plan.Release) && s.ops[s.at-1].Fault != ""
	}},
	{"the first cut loses a piece as well as a break", func(s *scene) bool {
		return s.a().Fault == plan.FaultBreak && does(s.b(), plan.Cut, plan.Untie) || s.a().Fault == plan.FaultKnot && does(s.b(), plan.Cut)
	}},
	{"an end may be anywhere whose strand is cut out", func(s *scene) bool { return s.a().Fault == plan.FaultHole && does(s.b(), plan.Cut) }},
	{"a starting knot falls when the main is cut that it sits on", func(s *scene) bool {
		return does(s.a(), plan.Untie) && does(s.b(), plan.Cut)
	}},
}

var doubled = []allowance{
	{"what went wrong goes no further wrong", func(s *scene) bool {
		return does(s.a(), plan.Fault) && !s.loop() && s.a().Fault != plan.FaultKnot && s.a().Fault != plan.FaultFrame && s.a().Fault != plan.FaultGripper
	}},
	{"what is noted can be again", func(s *scene) bool { return does(s.a(), plan.Note) }},
	{"slack is walked twice", func(s *scene) bool { return does(s.a(), plan.WalkSlack) }},
	{"a strand is pressed twice", func(s *scene) bool { return presses(s.a()) }},
}

// What may stand in another step, since in a way back the gripper pulls on from step to step.
var onward = []allowance{
	{"what lies behind is clamped while the gripper still holds", func(s *scene) bool {
		return does(s.a(), plan.Slacken) && does(s.b(), plan.ClampOn) && s.a().Strand != s.b().Strand
	}},
	{"the gripper pulls when a clamp that crept is told of", func(s *scene) bool {
		return does(s.a(), plan.Pull) && s.b().Fault == plan.FaultClamp && s.b().Extent == plan.Crept
	}},
	{"the gripper takes the load before a note or after it", func(s *scene) bool {
		return does(s.a(), plan.Note) && does(s.b(), plan.Pull) && s.b().Repull
	}},
}

var swapped = []allowance{
	{"a mishap that does nothing to the string is only said, while the strand is there", func(s *scene) bool {
		return said(s.a()) && !(does(s.b(), plan.Unthread, plan.Unweave, plan.Waive) && s.a().Strand == s.b().Strand) &&
			!(s.a().Choose == "new" && does(s.b(), plan.Cut)) && !(s.a().Fault == plan.FaultTension && does(s.b(), plan.Pull)) || said(s.b()) && does(s.a(), plan.Trim)
	}},
	{"a short tail's piece is lost by the first cut too", func(s *scene) bool { return s.a().Choose == "new" && does(s.b(), plan.Cut) }},
	{"what is left as it is was said before, in any order", func(s *scene) bool {
		return does(s.a(), plan.Waive) && does(s.b(), plan.Waive)
	}},
	{"a hole splits before or after the clamp moves or the knot is open", func(s *scene) bool {
		return s.a().Fault == plan.FaultSplit && does(s.b(), plan.ClampOn, plan.Untie) || s.b().Fault == plan.FaultSplit && s.a().Fault == ""
	}},
	{"the gripper holds already when the clamp slips", func(s *scene) bool {
		return s.a().Fault == plan.FaultClamp && !s.loop() && (does(s.b(), plan.ClampOn) ||
			does(s.b(), plan.Pull) && !firstTail(s.b()) && s.b().Hole != "1HL" && s.b().Also == "")
	}},
	{"a clamp that let go comes off before or after the gripper takes the string or another clamp is set", func(s *scene) bool {
		return does(s.a(), plan.Pull, plan.ClampOn) && does(s.b(), plan.Unclamp) && s.slips(s.b()) ||
			does(s.a(), plan.Unclamp) && does(s.b(), plan.Pull) && s.slips(s.a())
	}},
	{"a clamp that let go comes off before or after slack is walked, and slack is walked while it keeps the pull from it", func(s *scene) bool {
		return does(s.a(), plan.Unclamp) && does(s.b(), plan.WalkSlack) && s.slips(s.a()) ||
			does(s.a(), plan.WalkSlack) && does(s.b(), plan.Pull) && does(&s.ops[s.at+2], plan.Unclamp)
	}},
	{"a strand is pressed as early as the mishap, and as late as it is needed", func(s *scene) bool {
		return presses(s.b()) && !does(s.a(), plan.Fault) || presses(s.a()) && !does(s.b(), plan.Unclamp, plan.WalkSlack)
	}},
	{"tensioned string is clamped before or under the pull, or while other string is drawn out", func(s *scene) bool {
		return does(s.a(), plan.ClampOn) && does(s.b(), plan.Pull) && s.b().Repull ||
			does(s.a(), plan.Unweave, plan.Unthread) && does(s.b(), plan.ClampOn, plan.Pull) && s.a().Strand != s.b().Strand
	}},
	{"tensioned string is clamped where corners hold it, before or after another clamp creeps or string is laid", func(s *scene) bool {
		return does(s.a(), plan.ClampOn) && (s.b().Fault == plan.FaultClamp && s.b().Extent == plan.Crept || does(s.b(), plan.Thread))
	}},
	{"a clamp comes off slack string before or after another strand is drawn out", func(s *scene) bool {
		return does(s.a(), plan.Unthread, plan.Unweave) && does(s.b(), plan.Unclamp) && s.on(s.b().Clamp) != s.a().Strand ||
			does(s.a(), plan.Unclamp) && s.slips(s.a()) && does(s.b(), plan.Unweave) && s.on(s.a().Clamp) != s.b().Strand
	}},
	{"another order of cuts is even too", func(s *scene) bool {
		return does(s.a(), plan.Cut) && does(s.b(), plan.Cut) && s.evenly()
	}},
	{"a clamp on lost string comes off before or after another strand of it is cut", func(s *scene) bool {
		return does(s.a(), plan.Unclamp) && does(s.b(), plan.Cut) && s.on(s.a().Clamp) != s.b().Strand
	}},
	{"an end is found in a wrong hole before or after another strand is out", func(s *scene) bool {
		return s.a().Fault == plan.FaultHole && does(s.b(), plan.Cut, plan.Unweave) && s.a().Strand != s.b().Strand
	}},
	{"a frame cracks before or after string that is lost anyway is cut or let go", func(s *scene) bool {
		return s.a().Fault == plan.FaultFrame && does(s.b(), plan.Cut) || does(s.a(), plan.Unclamp) && s.b().Fault == plan.FaultFrame
	}},
	{"a break before or after the first cut, the knot that is opened or what is drawn out loose", func(s *scene) bool {
		return s.a().Fault == plan.FaultBreak && does(s.b(), plan.Cut, plan.Untie, plan.Unweave) || does(s.a(), plan.Untie) && does(s.b(), plan.Cut) ||
			s.a().Fault == plan.FaultKnot && does(s.b(), plan.Cut)
	}},
}

// loop says whether a mishap stops at the centre loop.
func (s *scene) loop() bool { return s.a().With != "" && s.a().Fault != plan.FaultSwapped }

func firstTail(op *plan.Op) bool {
	return op.Strand == "C1" && op.Hole == "3HL" && op.BoostPercent == 0
}

func TestRecoveriesChanged(t *testing.T) {
	all, met, old := samples(t), map[string]bool{}, map[string]bool{}
	allows := func(list []allowance, s *scene) bool {
		i := slices.IndexFunc(list, func(a allowance) bool { return a.fits(s) })
		if i >= 0 {
			met[list[i].why] = true
		}
		return i >= 0
	}
	for _, r := range recoveries {
		p, n := r.play(t, all)
		ops, step, sizes := flat(p)
		judge := func(kind string, i int, changed []plan.Op, grow int, fine bool) {
			m := slices.Clone(sizes)
			m[step[i]] += grow
			breaches := Check(change(p, changed, m))
			assert.Equal(t, fine, len(breaches) == 0, "%s: %s op %d of step %d (%s): %v",
				r.name, kind, i, step[i]+1, doing(&ops[i]), breaches)
		}
		for i := range ops {
			if step[i] < r.done || step[i] >= r.done+n {
				continue
			}
			s := &scene{r, ops, i}
			alone := fits(single, old, &ops[i], nil)
			judge("drop", i, slices.Delete(slices.Clone(ops), i, i+1), -1, alone || allows(dropped, s))
			judge("double", i, slices.Insert(slices.Clone(ops), i, ops[i]), 1, alone || allows(doubled, s))
			if i+1 < len(ops) && step[i+1] < r.done+n {
				turned := slices.Clone(ops)
				turned[i], turned[i+1] = ops[i+1], ops[i]
				movable := step[i] == step[i+1] || !does(&ops[i+1], plan.Pull) && !does(&ops[i], plan.Fault)
				judge("swap", i, turned, 0, movable && (fits(swaps, old, &ops[i], &ops[i+1]) || allows(swapped, s)) || allows(onward, s))
			}
		}
	}
	for _, a := range slices.Concat(dropped, doubled, swapped, onward) {
		assert.True(t, met[a.why], "no change is harmless because %s", a.why)
	}
}

// toldOnly leaves of a recovery's script what went wrong and nothing that is done about it, and says whether that does
// nothing to the string.
func (r recovery) toldOnly(t testing.TB, terms *plan.Terms) (alone recovery, quiet bool) {
	var lines []string
	for _, line := range strings.Split(r.script, "\n") {
		switch {
		case strings.HasPrefix(line, "fault"):
			op := writeOp(t, terms, line)
			if !said(&op) || op.Choose != "" {
				return r, false
			}
			quiet = true
			fallthrough
		case strings.HasPrefix(line, "#"):
			lines = append(lines, line)
		}
	}
	r.script, r.resume, r.pulls = strings.Join(lines, "\n"), r.done+1, 0
	return r, quiet
}

// Who goes on as if nothing had happened has a racket in which a strand lies wrong or is doubted, and nothing else is
// amiss.
func TestRepairsDropped(t *testing.T) {
	all, n := samples(t), 0
	for _, r := range recoveries {
		alone, quiet := r.toldOnly(t, new(smallTerms()))
		if !quiet || r.edit != nil { // an edited sample is finished by the repair only
			continue
		}
		p, _ := alone.play(t, all)
		assert.Empty(t, Check(untold(p)), r.name)
		breaches := Check(p)
		assert.NotEmpty(t, breaches, r.name)
		for _, b := range breaches {
			assert.Regexp(t, "^at the end: rule 11: .* (was never (taken out|let go and pulled anew)|was neither pulled anew nor kept by name)$", b.String(), r.name)
		}
		n++
	}
	assert.Greater(t, n, 10)
}

// untold is a plan without what was said of mishaps.
func untold(p *plan.Plan) *plan.Plan {
	ops, step, sizes := flat(p)
	var kept []plan.Op
	for i := range ops {
		if does(&ops[i], plan.Fault) {
			sizes[step[i]]--
			continue
		}
		kept = append(kept, ops[i])
	}
	return change(p, kept, sizes)
}
