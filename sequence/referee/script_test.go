package referee

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// The plans of these tests are written by hand, an op a line, in this small language:
//
//	# crosses                                    a new step of that phase
//	thread M2R 2TR 2HR after M1R covers 3HR
//	weave C1 3HL 3HR over 4 blocked 3HL,3HR
//	pull C1 3HL repull boost
//	clamp S C1 3HL outside
//	tie C1 3HL 4HL M3L                           strand, out, hole, anchor
//	fault clamp A extent crept                   clamp A; gripper; late C2; weave C2; hole C2 6HL; break C2 where bed; knot M3R 2TR;
//	                                             split 2TR choose 1TR; kink C2; swapped C2 with C3; tension M2R; short C5 choose new; frame
//	press M1R                                    an inspect that names a strand
//	walk M1R,M1L
//	waive C2 from 5HL to 5TL                     or without holes
//	slacken C2 5HL
//	unweave C2 5HR 5HL
//	untie C1 3HL 4HL                             strand, out, hole
//
// A line that begins with "ahead:" or "later:" counts only with, or only without, weaving ahead.

// write turns a script into a plan of these terms.
func write(t testing.TB, terms plan.Terms, script string, totals plan.Totals) *plan.Plan {
	t.Helper()
	p := &plan.Plan{Version: plan.Version, Terms: terms, Totals: totals}
	for _, line := range strings.Split(script, "\n") {
		line = strings.TrimSpace(line)
		if rest, ok := strings.CutPrefix(line, "ahead:"); ok {
			if !terms.Ahead {
				continue
			}
			line = strings.TrimSpace(rest)
		}
		if rest, ok := strings.CutPrefix(line, "later:"); ok {
			if terms.Ahead {
				continue
			}
			line = strings.TrimSpace(rest)
		}
		switch {
		case line == "":
		case line[0] == '#':
			p.Steps = append(p.Steps, plan.Step{N: len(p.Steps) + 1, Phase: plan.Phase(strings.TrimSpace(line[1:]))})
		default:
			require.NotEmpty(t, p.Steps, "the script begins with a step")
			s := &p.Steps[len(p.Steps)-1]
			s.Ops = append(s.Ops, writeOp(t, &terms, line))
		}
	}
	stand(p)
	return p
}

func writeOp(t testing.TB, terms *plan.Terms, line string) plan.Op {
	t.Helper()
	w := strings.Fields(line)
	op := plan.Op{Op: plan.OpKind(w[0])}
	piece := func(pieces plan.Piece) plan.Piece {
		if terms.Pieces == 1 {
			return plan.PieceWhole
		}
		return pieces
	}
	switch op.Op {
	case plan.Mount, plan.Dismount:
		op.Support = strings.Join(w[1:], " ")
	case plan.Inspect, plan.Note:
		op.Text = strings.Join(w[1:], " ")
	case plan.Thread:
		op.Strand, op.From, op.To, op.Piece = plan.Strand(w[1]), plan.Hole(w[2]), plan.Hole(w[3]), piece(plan.PieceMains)
		options(t, &op, w[4:])
	case plan.Weave:
		op.Strand, op.From, op.To, op.Piece = plan.Strand(w[1]), plan.Hole(w[2]), plan.Hole(w[3]), piece(plan.PieceCrosses)
		op.First = plan.Face(w[4])
		n, err := strconv.Atoi(w[5])
		require.NoError(t, err, line)
		op.Meets = n
		options(t, &op, w[6:])
	case plan.Pull:
		op.Strand, op.Hole = plan.Strand(w[1]), plan.Hole(w[2])
		op.Repull = slices.Contains(w, "repull")
		op.Also = plan.Strand(word(w, "also"))
		force(&op, terms, slices.Contains(w, "boost"))
	case plan.ClampOn:
		op.Clamp, op.Strand, op.Hole, op.Outside = plan.Clamp(w[1]), plan.Strand(w[2]), plan.Hole(w[3]), slices.Contains(w, "outside")
		op.With = plan.Strand(word(w, "with"))
	case plan.Unclamp:
		op.Clamp = plan.Clamp(w[1])
	case plan.Release:
	case plan.Tie:
		op.Strand, op.Out, op.Hole, op.Anchor = plan.Strand(w[1]), plan.Hole(w[2]), plan.Hole(w[3]), plan.Strand(w[4])
		op.Knot = "double half hitch"
		options(t, &op, w[5:])
	case plan.Trim:
		op.Hole, op.TailMM = plan.Hole(w[1]), terms.TailMM
	case plan.Straighten:
		op.Strand = plan.Strand(w[1])
	case plan.Fault:
		fault(t, &op, w[1:])
	case plan.Slacken:
		op.Strand, op.Hole = plan.Strand(w[1]), plan.Hole(w[2])
	case plan.Move:
		op.Strand, op.From, op.To = plan.Strand(w[1]), plan.Hole(w[2]), plan.Hole(w[3])
		options(t, &op, w[4:])
	case plan.Unthread, plan.Unweave:
		op.Strand, op.From, op.To = plan.Strand(w[1]), plan.Hole(w[2]), plan.Hole(w[3])
	case plan.Untie:
		op.Strand, op.Out, op.Hole = plan.Strand(w[1]), plan.Hole(w[2]), plan.Hole(w[3])
	case plan.Cut:
		op.Strand = plan.Strand(w[1])
	case "press":
		op.Op, op.Strand, op.Text = plan.Inspect, plan.Strand(w[1]), "is it slack?"
		if len(w) > 2 && w[2] != "tight" {
			op.Hole = plan.Hole(w[2])
		}
		op.Tight = plan.WhenTight(word(w, "tight"))
	case plan.WalkSlack:
		for _, s := range strings.FieldsFunc(w[1], func(r rune) bool { return r == ',' || r == '-' }) {
			op.Strands = append(op.Strands, plan.Strand(s))
		}
	case plan.Waive:
		op.Strand, op.Text = plan.Strand(w[1]), "the owner wants it so"
		op.From, op.To = plan.Hole(word(w, "from")), plan.Hole(word(w, "to"))
	default:
		require.Fail(t, "no such op", line)
	}
	return op
}

func fault(t testing.TB, op *plan.Op, w []string) {
	t.Helper()
	op.Text = "something went wrong"
	mishaps := map[string]plan.Mishap{
		"clamp": plan.FaultClamp, "late": plan.FaultLate, "weave": plan.FaultWeave, "hole": plan.FaultHole,
		"break": plan.FaultBreak, "knot": plan.FaultKnot, "split": plan.FaultSplit, "frame": plan.FaultFrame,
		"gripper": plan.FaultGripper, "kink": plan.FaultKink, "swapped": plan.FaultSwapped,
		"tension": plan.FaultTension, "interrupted": plan.FaultPause, "short": plan.FaultShort,
	}
	require.Contains(t, mishaps, w[0])
	op.Fault = mishaps[w[0]]
	op.With, op.Choose = plan.Strand(word(w, "with")), word(w, "choose")
	op.Where, op.Extent = plan.Place(word(w, "where")), plan.Extent(word(w, "extent"))
	switch op.Fault {
	case plan.FaultClamp:
		op.Clamp = plan.Clamp(w[1])
	case plan.FaultSplit:
		op.Hole = plan.Hole(w[1])
	case plan.FaultFrame, plan.FaultGripper, plan.FaultPause:
	default:
		op.Strand = plan.Strand(w[1])
		if len(w) > 2 && (op.Fault == plan.FaultHole || op.Fault == plan.FaultKnot) {
			op.Hole, op.From = plan.Hole(w[2]), plan.Hole(word(w, "from"))
		}
		if op.Fault == plan.FaultSwapped {
			op.Hole = plan.Hole(word(w, "at"))
		}
	}
}

func options(t testing.TB, op *plan.Op, w []string) {
	t.Helper()
	for i := 0; i+1 < len(w); i += 2 {
		var holes []plan.Hole
		for _, h := range strings.Split(w[i+1], ",") {
			holes = append(holes, plan.Hole(h))
		}
		switch w[i] {
		case "after":
			op.After = plan.Strand(w[i+1])
		case "blocked":
			op.Blocked = holes
		case "covers":
			op.Covers = holes
		default:
			require.Fail(t, "no such option", w[i])
		}
	}
}

// word is what follows a word in a line, empty when the line does not have it.
func word(w []string, key string) string {
	if i := slices.Index(w, key); i >= 0 && i+1 < len(w) {
		return w[i+1]
	}
	return ""
}

func force(op *plan.Op, terms *plan.Terms, boost bool) {
	ordered := terms.PullMains
	if op.Strand[0] == 'C' {
		ordered = terms.PullCrosses
	}
	op.Newtons, op.Tension, op.BoostPercent = ordered.Newtons, ordered.Ordered, 0
	if boost {
		op.Newtons, op.Tension, op.BoostPercent = ordered.BoostedNewtons, ordered.Boosted, ordered.BoostPercent
	}
}

// stand writes into every step where the clamps stand when its ops are done, by the last op that moved each.
func stand(p *plan.Plan) {
	at := map[plan.Clamp]*plan.Grip{}
	for i := range p.Steps {
		for _, op := range p.Steps[i].Ops {
			switch op.Op {
			case plan.ClampOn:
				at[op.Clamp] = &plan.Grip{Strand: op.Strand, Hole: op.Hole, Outside: op.Outside, With: op.With}
			case plan.Unclamp:
				at[op.Clamp] = nil
			case plan.Cut: // a loose clamp that could not come off before comes away
				for c, g := range at {
					if g != nil && g.Strand == op.Strand && (c == plan.S || g.With != "") {
						at[c] = nil
					}
				}
			}
		}
		p.Steps[i].Clamps = map[plan.Clamp]*plan.Grip{}
		for _, c := range plan.Clamps() {
			p.Steps[i].Clamps[c] = at[c]
		}
	}
}

var nameIn = regexp.MustCompile(`\b(M\d+[LR]|C\d+|\d+[HT][LR])\b`)

// mirror swaps left and right in a script.
func mirror(script string) string {
	return nameIn.ReplaceAllStringFunc(script, func(s string) string {
		switch last := len(s) - 1; s[last] {
		case 'L':
			return s[:last] + "R"
		case 'R':
			return s[:last] + "L"
		}
		return s
	})
}

// upend swaps head and throat in a script of a frame with so many crosses.
func upend(script string, crosses int) string {
	return nameIn.ReplaceAllStringFunc(script, func(s string) string {
		switch {
		case s[0] == 'C':
			n, _ := strconv.Atoi(s[1:])
			return "C" + strconv.Itoa(crosses+1-n)
		case s[0] == 'M':
			return s
		}
		end := "T"
		if s[len(s)-2] == 'T' {
			end = "H"
		}
		return s[:len(s)-2] + end + s[len(s)-1:]
	})
}
