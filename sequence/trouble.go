package sequence

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// Trouble is something that went wrong at the bench.
type Trouble struct {
	Fault  plan.Mishap
	Strand plan.Strand // the strand that it happened to, where there is one
	With   plan.Strand // the other of two swapped strands; of a slip the first strand that was felt to be tight, where one was
	Hole   plan.Hole   // where a strand is by mistake, of a knot, the one that is split, or at which alone two strands are swapped
	Clamp  plan.Clamp
	Where  plan.Place
	Extent plan.Extent
	// Choose is what the stringer decided where there is a choice, see plan.New and its like; empty takes the usual way.
	Choose string
	// Ops is how many ops of the step in hand are done already.
	Ops  int
	Text string // in words; what Words says when empty
}

// op says in a plan that it happened.
func (t Trouble) op() plan.Op {
	return plan.Op{Op: plan.Fault, Fault: t.Fault, Strand: t.Strand, With: t.With, Hole: t.Hole, Clamp: t.Clamp,
		Where: t.Where, Extent: t.Extent, Choose: t.Choose, Text: t.Words()}
}

// Words says in a line what went wrong.
func (t Trouble) Words() string {
	if t.Text != "" {
		return t.Text
	}
	if t.With != "" && t.Fault != plan.FaultSwapped {
		felt := t
		felt.With = ""
		return fmt.Sprintf("%s; %s is still tight", felt.Words(), t.With)
	}
	switch t.Fault {
	case plan.FaultClamp:
		return fmt.Sprintf("clamp %s %s", t.Clamp, map[plan.Extent]string{plan.Crept: "crept", plan.Base: "slid on its base"}[t.Extent]) + gone(t.Extent)
	case plan.FaultGripper:
		return "the gripper slipped"
	case plan.FaultLate:
		return fmt.Sprintf("%s slipped, found late", t.Strand)
	case plan.FaultWeave:
		return fmt.Sprintf("%s is woven wrong", t.Strand)
	case plan.FaultHole:
		return fmt.Sprintf("%s is in %s", t.Strand, t.Hole)
	case plan.FaultSwapped:
		text := fmt.Sprintf("%s and %s are swapped", t.Strand, t.With)
		if t.Hole != "" {
			text += ", where " + string(t.Strand) + " belongs into " + string(t.Hole)
		}
		return text
	case plan.FaultBreak:
		return fmt.Sprintf("%s broke %s", t.Strand, where(t.Where))
	case plan.FaultKnot:
		return fmt.Sprintf("the knot in %s slipped", t.Hole)
	case plan.FaultKink:
		return fmt.Sprintf("%s has a kink or a nick", t.Strand)
	case plan.FaultTension:
		text := fmt.Sprintf("from %s on pulled at a wrong setting", t.Strand)
		if t.Extent == plan.High {
			text += ", too high"
		}
		return text
	case plan.FaultShort:
		return fmt.Sprintf("the tail of %s is too short", t.Strand)
	case plan.FaultSplit:
		return fmt.Sprintf("hole %s is split", t.Hole)
	case plan.FaultFrame:
		return "the frame is cracked"
	case plan.FaultPause:
		return "interrupted"
	}
	return string(t.Fault)
}

func gone(e plan.Extent) string {
	if e == plan.Crept || e == plan.Base {
		return ""
	}
	return "let go"
}

// outside says whether string broke outside the strand, at the gripper or at a jaw.
func (t Trouble) outside() bool { return t.Where == plan.AtGripper || t.Where == plan.AtJaw }

func where(p plan.Place) string {
	switch p {
	case plan.AtGripper:
		return "at the gripper"
	case plan.AtJaw:
		return "at the jaw"
	case plan.AtHole:
		return "in its hole"
	case plan.InBed:
		return "in the bed"
	}
	return ""
}

// ParseTrouble reads what went wrong as scripts write it: "AT KIND key=value …", where AT is the step, from 1, before whose
// first op it happened, and done=N says how many of its ops are done. It returns the number of steps that are done.
func ParseTrouble(text string) (done int, t Trouble, err error) {
	words := strings.Fields(text)
	if len(words) < 2 {
		return 0, t, fmt.Errorf(`%q says no step and kind; write "12 misweave strand=C5"`, text)
	}
	if done, _ = strconv.Atoi(words[0]); done < 1 || fmt.Sprint(done) != words[0] {
		return 0, t, fmt.Errorf("%q is no step; write its number, from 1", words[0])
	}
	t.Fault = plan.Mishap(strings.ReplaceAll(words[1], "-", " "))
	if !slices.Contains(plan.Mishaps(), t.Fault) {
		return 0, t, fmt.Errorf("no mishap is called %q; %s", words[1], source.Instead(words[1], mishapNames()))
	}
	for _, w := range words[2:] {
		key, value, ok := strings.Cut(w, "=")
		if !ok || value == "" {
			return 0, t, fmt.Errorf("%q is no key=value", w)
		}
		switch key {
		case "strand":
			t.Strand = plan.Strand(value)
		case "with":
			t.With = plan.Strand(value)
		case "hole":
			t.Hole = plan.Hole(value)
		case "clamp":
			t.Clamp = plan.Clamp(value)
		case "where":
			t.Where = plan.Place(value)
		case "extent":
			t.Extent = plan.Extent(value)
		case "choose":
			t.Choose = value
		case "done":
			if t.Ops, _ = strconv.Atoi(value); t.Ops < 0 || fmt.Sprint(t.Ops) != value {
				return 0, t, fmt.Errorf("done=%s is no number of ops", value)
			}
		default:
			return 0, t, fmt.Errorf("a mishap has no %q; it has strand, with, hole, clamp, where, extent, choose and done", key)
		}
	}
	return done - 1, t, nil
}

func mishapNames() []string {
	var out []string
	for _, m := range plan.Mishaps() {
		out = append(out, strings.ReplaceAll(string(m), " ", "-"))
	}
	return out
}

// check says why a mishap cannot have happened to a racket as it is.
func (t Trouble) check(r *plan.Racket) error {
	if o := t.op(); t.With != "" && t.Fault != plan.FaultSwapped && !r.MayHold(t.With, &o) {
		return fmt.Errorf("no corner holds %s: it is neither the centre main beyond the centre loop from what let go nor along the crosses; leave with= away", t.With)
	}
	if err := t.checkChoice(r); err != nil {
		return err
	}
	switch t.Fault {
	case plan.FaultClamp:
		switch {
		case !slices.Contains(plan.Clamps(), t.Clamp):
			return fmt.Errorf("there is no clamp %q; write clamp=A, B or S", t.Clamp)
		case r.Grip(t.Clamp) == nil:
			return fmt.Errorf("clamp %s is free", t.Clamp)
		case !r.Holds(t.Clamp):
			return fmt.Errorf("clamp %s let go already", t.Clamp)
		case !slices.Contains([]plan.Extent{"", plan.Crept, plan.Base, plan.Gone}, t.Extent):
			return fmt.Errorf("a clamp does not slip by %q; write extent=crept, base or gone", t.Extent)
		}
	case plan.FaultGripper:
		if r.Gripper() == nil {
			return fmt.Errorf("the gripper does not pull; say with done=N how many ops of the step are done")
		}
	case plan.FaultKnot:
		if k := r.KnotIn(t.Hole); k == nil || k.Slipped {
			return fmt.Errorf("no knot that holds sits in %q", t.Hole)
		}
	case plan.FaultSplit:
		if r.At(t.Hole) == 0 {
			return fmt.Errorf("the frame has no hole %q", t.Hole)
		}
	}
	return t.checkStrand(r)
}

// choices are what can be chosen of what went wrong, where there is a choice; some mishaps take a hole as well.
var choices = map[plan.Mishap][]string{
	plan.FaultWeave: {plan.Keep}, plan.FaultHole: {plan.Keep}, plan.FaultSwapped: {plan.Keep}, plan.FaultKnot: {plan.Keep},
	plan.FaultTension: {plan.Anew, plan.Undo, plan.Keep}, plan.FaultKink: {plan.Past, plan.New}, plan.FaultBreak: {plan.Regrip, plan.New},
	plan.FaultShort: {plan.Bridge, plan.New}, plan.FaultSplit: {plan.Sleeve},
}

// checkChoice says why nobody can choose so.
func (t Trouble) checkChoice(r *plan.Racket) error {
	of, hole := choices[t.Fault], t.Fault == plan.FaultShort || t.Fault == plan.FaultSplit
	switch {
	case t.Choose == "" || slices.Contains(of, t.Choose) && (t.Fault != plan.FaultKnot || t.Extent == plan.Crept) || hole && r.At(plan.Hole(t.Choose)) > 0:
		return nil
	case len(of) == 0:
		return fmt.Errorf("there is nothing to choose; leave choose=%s away", t.Choose)
	case t.Fault == plan.FaultKnot:
		return fmt.Errorf("only a knot that gave a little is left as it is; write extent=%s choose=%s, or leave both away", plan.Crept, plan.Keep)
	case hole:
		of = append(slices.Clone(of), "a hole of the frame")
	}
	return fmt.Errorf("choose=%s is no answer to that; write choose=%s, or leave it away", t.Choose, strings.Join(of, " or "))
}

// checkStrand says why it cannot have happened to its strand.
func (t Trouble) checkStrand(r *plan.Racket) error {
	switch t.Fault {
	case plan.FaultLate, plan.FaultTension:
		if err := t.lies(r); err != nil {
			return err
		}
		if !r.Tight(t.Strand) {
			return fmt.Errorf("%s: %s is not pulled", t.Fault, t.Strand)
		}
		switch {
		case t.Fault == plan.FaultLate:
		case t.Extent != "" && t.Extent != plan.High:
			return fmt.Errorf("a setting is not wrong by %q; write extent=high, or leave it away where it was too low", t.Extent)
		case t.Extent == plan.High && t.Choose == plan.Anew:
			return fmt.Errorf("what was pulled too high is let go before it is pulled again; write choose=%s or %s", plan.Undo, plan.Keep)
		}
	case plan.FaultWeave:
		if t.Strand.IsMain() {
			return fmt.Errorf("%s is a main, it is not woven", t.Strand)
		}
		return t.lies(r)
	case plan.FaultHole:
		if r.At(t.Hole) == 0 {
			return fmt.Errorf("the frame has no hole %q; write hole= where the strand is", t.Hole)
		}
		if err := t.lies(r); err != nil {
			return err
		}
		if s := r.Span(t.Strand); r.At(s.In) == r.At(t.Hole) || r.At(s.Out) == r.At(t.Hole) {
			return fmt.Errorf("%s is in %s, as far as the plan knows; write hole= where it is instead of there", t.Strand, t.Hole)
		}
	case plan.FaultSwapped:
		if with := r.Span(t.With); with == nil || t.With == t.Strand || t.With[0] != t.Strand[0] {
			return fmt.Errorf("%s cannot be swapped with %q; write with= the other main or cross", t.Strand, t.With)
		}
		if s := r.Span(t.Strand); t.Hole != "" && s != nil && (t.Choose == plan.Keep || r.At(t.Hole) != r.At(s.In) && r.At(t.Hole) != r.At(s.Out)) {
			return fmt.Errorf("%s is not swapped at %q alone; write hole= that one of its two where it is, or leave it away", t.Strand, t.Hole)
		}
		return t.lies(r)
	case plan.FaultBreak:
		if !slices.Contains([]plan.Place{"", plan.AtGripper, plan.AtJaw, plan.AtHole, plan.InBed}, t.Where) {
			return fmt.Errorf("string does not break at %q; write where=gripper, jaw, hole or bed", t.Where)
		}
		return t.lies(r)
	case plan.FaultKink:
		if s := r.Span(t.Strand); s != nil && !s.Laid() && (t.Choose == "" || t.Choose == plan.Past) {
			return nil // what is still to be laid is worked past it
		}
		if err := t.lies(r); err != nil || t.Choose != plan.Past || !r.Span(t.Strand).Pulled {
			return err
		}
		return fmt.Errorf("%s was pulled with its kink, which cannot be worked past any more; write choose=%s", t.Strand, plan.New)
	case plan.FaultShort:
		return t.lies(r)
	}
	return nil
}

// lies says why its strand is none that lies in the frame.
func (t Trouble) lies(r *plan.Racket) error {
	switch s := r.Span(t.Strand); {
	case t.Strand == "":
		return fmt.Errorf("%s: no strand is named; write strand=M3L", t.Fault)
	case s == nil:
		return fmt.Errorf("the frame has no strand %q", t.Strand)
	case !s.Laid():
		return fmt.Errorf("%s: %s does not lie in the frame yet", t.Fault, t.Strand)
	}
	return nil
}
