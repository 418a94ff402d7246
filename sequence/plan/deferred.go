package plan

import "strconv"

// Deferral is a strand that was begun and has to be finished later.
type Deferral struct {
	Strand Strand
	Hole   Hole // where it is finished
	Repull bool // it was pulled once; its tail is still to be pulled again and tied
	Step   int  // the step that finishes it
}

// String is "C1 at 7HL, pulled in step 61".
func (d Deferral) String() string {
	what := "pulled"
	if d.Repull {
		what = "pulled again and tied"
	}
	return string(d.Strand) + " at " + string(d.Hole) + ", " + what + " in step " + strconv.Itoa(d.Step)
}

// Deferred lists what is deferred when step n is over: a strand that is laid and held by the starting clamp while the
// work goes on elsewhere, and one whose pull comes after that of a strand laid later.
func (p *Plan) Deferred(n int) []Deferral {
	laid := map[Strand]int{}
	pulled := map[Strand]bool{}
	order := 0
	for i := range p.Steps[:n] {
		for j := range p.Steps[i].Ops {
			switch o := &p.Steps[i].Ops[j]; o.Op {
			case Weave, Thread:
				order++
				laid[o.Strand] = order
			case Pull:
				pulled[o.Strand] = true
			}
		}
	}
	var out []Deferral
	seen := map[Strand]bool{}
	for i := range p.Steps[n:] {
		for j := range p.Steps[n+i].Ops {
			o := &p.Steps[n+i].Ops[j]
			if o.Op != Pull {
				continue
			}
			at := laid[o.Strand]
			if at > 0 && (o.Repull && pulled[o.Strand] || !pulled[o.Strand] && overtaken(seen, laid, at)) {
				out = append(out, Deferral{o.Strand, o.Hole, o.Repull, p.Steps[n+i].N})
			}
			seen[o.Strand] = true
		}
	}
	return out
}

// overtaken says whether a strand laid later than the one laid at a place in the order is pulled before it.
func overtaken(seen map[Strand]bool, laid map[Strand]int, at int) bool {
	for s := range seen {
		if l, ok := laid[s]; !ok || l > at {
			return true
		}
	}
	return false
}
