package referee

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

// These tests change every field of what a right plan promises and does, whatever fields there are or will be, and demand
// that the referee says so, or that a table says why it need not.

// variants are other values than the one of a field, by its type.
func variants(v reflect.Value) (out []any) {
	add := func(values ...any) {
		for _, x := range values {
			if !reflect.DeepEqual(v.Interface(), x) {
				out = append(out, x)
			}
		}
	}
	switch x := v.Interface().(type) {
	case string:
		add("", "head", "throat", "L", "R", "clamp", "knot", "skip", "third", "end", "overtake", "level", "tennis", "x", x+"x")
	case bool:
		add(!x)
	case int:
		add(x-1, x+1)
	case float64:
		add(x-1, x+1)
	case plan.Face:
		add(plan.Over, plan.Under, plan.Face("x"))
	case plan.Piece:
		add(plan.PieceMains, plan.PieceCrosses, plan.PieceWhole, plan.Piece("x"))
	case plan.Strand:
		add(plan.Strand("M1L"), plan.Strand("M1R"), plan.Strand("M2R"), plan.Strand("C1"), plan.Strand("C4"), plan.Strand("M9L"), plan.Strand(""))
	case plan.Hole:
		add(plan.Hole("1HL"), plan.Hole("2TR"), plan.Hole("5HL"), plan.Hole("99HL"), plan.Hole(""))
	case plan.Clamp:
		add(plan.A, plan.B, plan.S, plan.Clamp("D"))
	case plan.WhenTight:
		add(plan.CutTight, plan.GripTight, plan.LeaveTight, plan.WhenTight("x"), plan.WhenTight(""))
	case plan.Mishap, plan.Extent, plan.Place, plan.OpKind, plan.Phase:
		add(reflect.ValueOf("x").Convert(v.Type()).Interface())
	case []plan.Hole:
		for i := range x {
			add(slices.Delete(slices.Clone(x), i, i+1))
		}
		add(append(slices.Clone(x), "7TL"))
	case []plan.Strand:
		if len(x) > 1 {
			r := slices.Clone(x)
			slices.Reverse(r)
			add(x[1:], x[:len(x)-1], r)
		}
		add([]plan.Strand{"M9L"}, []plan.Strand{})
	case []string:
		for i := range x {
			add(slices.Delete(slices.Clone(x), i, i+1))
		}
		add(append(slices.Clone(x), "x"), append(slices.Clone(x[1:]), x[0]))
	case []plan.Chord:
		r := slices.Clone(x)
		r[0].Ends[0], r[0].Ends[1] = r[0].Ends[1], r[0].Ends[0]
		add(x[1:], x[:len(x)-1], r)
	case map[plan.Strand]plan.Tension:
		add(map[plan.Strand]plan.Tension{"M2L": {Ordered: "20 kg", Newtons: 196}}, map[plan.Strand]plan.Tension{"C2": {Ordered: "20 kg", Newtons: 196}})
	case *plan.Walk:
		add(&plan.Walk{Mains: 1, Crosses: 1})
	case plan.Tension:
		for i := range v.NumField() {
			for _, y := range variants(v.Field(i)) {
				t := reflect.New(v.Type()).Elem()
				t.Set(v)
				t.Field(i).Set(reflect.ValueOf(y))
				add(t.Interface())
			}
		}
	default:
		panic(fmt.Sprintf("no other values are known for a field of type %T", x))
	}
	return out
}

// excuse says why a change of a field need not be a breach; p has the change already.
type excuse struct {
	field string
	when  func(p *plan.Plan, was, now any) bool
	why   string
}

func always(*plan.Plan, any, any) bool { return true }

var excuses = []excuse{
	{"Sport", always, "it names the game, and no rule hangs on it"},
	{"Around", func(p *plan.Plan, _, _ any) bool { return p.Terms.Pieces == 2 }, "two pieces go around nothing"},
	{"Short", func(p *plan.Plan, _, _ any) bool { return p.Terms.Pieces == 2 }, "two pieces have no short side"},
	{"BoostMains", func(p *plan.Plan, _, _ any) bool { return p.Terms.Pieces == 1 }, "in one piece the short side's last main is boosted, and no other"},
	{"Side", func(p *plan.Plan, _, _ any) bool { return p.Terms.Pieces == 1 }, "in one piece the crosses follow on the mains"},
	{"Start", func(p *plan.Plan, _, _ any) bool { return p.Terms.Pieces == 1 }, "in one piece the crosses follow on the mains"},
	{"Repull", func(p *plan.Plan, _, _ any) bool { return p.Terms.Pieces == 1 || p.Terms.Start != "clamp" }, "only a start with S is pulled again"},
	{"Then", func(p *plan.Plan, _, _ any) bool {
		return p.Terms.Around && slices.Contains([]string{"overtake", "level"}, p.Terms.Then)
	}, "with two mains against three and a lead of one both ways are R1 L1 R2 L2 R3"},
	{"HolesLeft", oneMore, "the reader of layouts refuses a hole that carries no string"},
	{"HolesRight", oneMore, "the reader of layouts refuses a hole that carries no string"},
	{"TieMains", unused, "no knot goes into that hole"},
	{"TieCrosses", unused, "no knot goes into that hole"},
	{"PrintedRange", func(p *plan.Plan, _, _ any) bool { return p.Terms.PrintedRange == "" }, "without a printed range there is nothing to be looked at"},
	{"FirstFace", func(p *plan.Plan, _, _ any) bool { return p.Terms.FirstFace == firstWeave(p).First }, "it is the face that the grid gave"},
	{"Walk", always, "slack is walked in ways back only, see TestWalksAreLimited"},
}

// unused says whether no knot sits in the holes that a list of tie-off holes lost. The one that may come, 7TL, is no
// nearer to any tail.
func unused(p *plan.Plan, was, now any) bool {
	old, left := was.([]plan.Hole), now.([]plan.Hole)
	for _, s := range p.Steps {
		if tie := s.Tie(); tie != nil && slices.Contains(old, tie.Hole) && !slices.Contains(left, tie.Hole) {
			return false
		}
	}
	return true
}

// oneMore says whether a side has a hole more than before.
func oneMore(_ *plan.Plan, was, now any) bool { return now.(int) > was.(int) }

func firstWeave(p *plan.Plan) *plan.Op {
	for i := range p.Steps {
		for k := range p.Steps[i].Ops {
			if p.Steps[i].Ops[k].Op == plan.Weave {
				return &p.Steps[i].Ops[k]
			}
		}
	}
	return nil
}

func TestEveryTermIsProven(t *testing.T) {
	changes, excused := map[string]int{}, map[string]bool{}
	for _, s := range samples(t) {
		fields := reflect.TypeOf(s.Terms)
		for i := range fields.NumField() {
			field := fields.Field(i).Name
			was := reflect.ValueOf(s.Terms).Field(i)
			for _, v := range variants(was) {
				p := *s.Plan
				reflect.ValueOf(&p.Terms).Elem().Field(i).Set(reflect.ValueOf(v))
				k := slices.IndexFunc(excuses, func(e excuse) bool { return e.field == field && e.when(&p, was.Interface(), v) })
				breaches := Check(&p)
				if k < 0 {
					assert.NotEmpty(t, breaches, "%s: %s %v instead of %v", s.name, field, v, was)
					changes[field]++
				} else if len(breaches) == 0 {
					excused[excuses[k].field+excuses[k].why] = true
				}
			}
		}
	}
	for i := range reflect.TypeOf(plan.Terms{}).NumField() {
		field := reflect.TypeOf(plan.Terms{}).Field(i).Name
		if field != "Sport" && field != "Walk" {
			assert.Positive(t, changes[field], "no change of %s is a breach", field)
		}
	}
	for _, e := range excuses {
		assert.True(t, excused[e.field+e.why], "nothing is excused because %s", e.why)
	}
}

// The most strands that slack is walked out of is a term that only ways back have to keep.
func TestWalksAreLimited(t *testing.T) {
	all, n := samples(t), 0
	for _, r := range recoveries {
		p, _ := r.play(t, all)
		if !strings.Contains(r.script, "walk ") {
			continue
		}
		p.Terms.Walk = &plan.Walk{Mains: 1, Crosses: 1}
		assert.Contains(t, rules(Check(p)), ruleOnce, r.name)
		n++
	}
	assert.Greater(t, n, 10)
}

// opExcuses are the changes of an op's fields, by kind and field, that need not be a breach. The words of the field are
// those of the JSON form.
var opExcuses = map[string]string{
	"inspect text":       "words, but for the printed range",
	"inspect strand":     "it presses one that need not be pressed",
	"inspect hole none":  "an older plan does not say where",
	"inspect tight none": "an older plan says it in words",
	"fault from none":    "an older plan does not say which end",
	"note strand":        "a note presses nothing",
	"note text":          "words, but for the holes that it names",
	"fault text":         "words",
	"waive text":         "words",
	"fault where":        "an older plan does not say where",
	"fault extent":       "an older plan does not say by how much",
	"fault choose":       "what nobody chose is not known, or another choice",
	"fault hole":         "the hole in which a strand is by mistake",
	"fault strand":       "what went wrong with another strand may be put right by the same",
	"fault with":         "the other strand may be put right by the same",
	"fault fault":        "",
	"fault clamp":        "another clamp that slipped may be put right by the same",
	"tie knot starting":  "a starting knot has a name of its own",
	"clamp outside back": "in a way back S holds inside as well as outside",
	"clamp clamp back":   "another clamp may do it as well",
	"unclamp clamp back": "of two clamps at one place either may come off",
	"cut strand":         "another order of cuts may be even too",
	"untie strand":       "",
}

// excusedOp is the reason why a change of an op need not be a breach, empty when it has to be.
func excusedOp(p *plan.Plan, op, now *plan.Op, field string, back bool) string {
	key := string(op.Op) + " " + field
	switch {
	case op.Op == plan.Tie && field == "knot" && strings.Contains(p.Terms.Start, "knot") && op.Strand == "C1" && now.Knot != "":
		return opExcuses["tie knot starting"]
	case op.Op == plan.Inspect && field == "hole" && now.Hole == "":
		return opExcuses["inspect hole none"]
	case op.Op == plan.Inspect && field == "tight" && now.Tight == "":
		return opExcuses["inspect tight none"]
	case op.Op == plan.Fault && field == "from" && now.From == "":
		return opExcuses["fault from none"]
	case (field == "text" && now.Text == "") || field == "" || now.Text != op.Text && nameIn.MatchString(op.Text):
		return ""
	case back && opExcuses[key+" back"] != "":
		return opExcuses[key+" back"]
	}
	return opExcuses[key]
}

// fieldsOf are the fields that an op of its kind has, by their name in the JSON form.
func fieldsOf(t testing.TB, op *plan.Op) (names []string) {
	data, err := json.Marshal(op)
	require.NoError(t, err)
	var fields map[string]any
	require.NoError(t, json.Unmarshal(data, &fields))
	for i := range reflect.TypeOf(*op).NumField() {
		name, _, _ := strings.Cut(reflect.TypeOf(*op).Field(i).Tag.Get("json"), ",")
		if _, has := fields[name]; has && name != "op" {
			names = append(names, name)
		}
	}
	return names
}

func opField(op *plan.Op, name string) reflect.Value {
	v := reflect.ValueOf(op).Elem()
	for i := range v.NumField() {
		if tag, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ","); tag == name {
			return v.Field(i)
		}
	}
	panic(name)
}

func TestEveryFieldOfAnOpIsProven(t *testing.T) {
	proven, n := map[string]int{}, 0
	judge := func(name string, p *plan.Plan, from, to int, back bool) {
		ops, step, sizes := flat(p)
		for i := range ops {
			if step[i] < from || step[i] >= to {
				continue
			}
			for _, field := range fieldsOf(t, &ops[i]) {
				for _, v := range variants(opField(&ops[i], field)) {
					if n++; proven[string(ops[i].Op)+" "+field] > 0 && !sweep.Take(n, 41) {
						continue
					}
					changed := slices.Clone(ops)
					opField(&changed[i], field).Set(reflect.ValueOf(v))
					if excusedOp(p, &ops[i], &changed[i], field, back) != "" {
						assert.NotPanics(t, func() { Check(change(p, changed, sizes)) })
						continue
					}
					assert.NotEmpty(t, Check(change(p, changed, sizes)), "%s, step %d: %s %v instead of %v in %s", name, step[i]+1, field, v,
						opField(&ops[i], field), doing(&ops[i]))
					proven[string(ops[i].Op)+" "+field]++
				}
			}
		}
	}
	all := samples(t)
	for _, s := range all {
		if !strings.Contains(s.name, " R ") && !strings.Contains(s.name, "throat") && !strings.Contains(s.name, "in turn") {
			judge(s.name, s.Plan, 0, len(s.Steps), false)
		}
	}
	for _, r := range recoveries {
		p, n := r.play(t, all)
		judge(r.name, p, r.done, r.done+n, true)
	}
	t.Log(proven)
	for _, do := range opKinds() {
		op := plan.Op{Op: do, After: "M1L", Also: "M1L", With: "M1L", Strands: []plan.Strand{"M1L"}, Where: "x", Extent: "x", Choose: "x", Tight: "x", Strand: "M1L", Hole: "1HL", Clamp: "A"}
		for _, field := range fieldsOf(t, &op) {
			key := string(do) + " " + field
			assert.True(t, proven[key] > 0 || opExcuses[key] != "", "%s is neither proven nor excused", key)
		}
	}
}

func TestTotalsAndStepsAreProven(t *testing.T) {
	words := map[string]string{
		"Title":  "words",
		"Base":   "where the step stands in the plan without mishaps, which no op depends on",
		"Undoes": "which steps a step takes back, which no op depends on",
		"Ops":    "see the tests of ops",
	}
	for _, s := range samples(t) {
		for i := range reflect.TypeOf(s.Totals).NumField() {
			p := *s.Plan
			f := reflect.ValueOf(&p.Totals).Elem().Field(i)
			f.SetInt(f.Int() + 1)
			assert.Equal(t, []int{ruleEnd}, rules(Check(&p)), "%s: %s", s.name, reflect.TypeOf(p.Totals).Field(i).Name)
		}
		for k := range s.Steps {
			for i := range reflect.TypeOf(plan.Step{}).NumField() {
				name := reflect.TypeOf(plan.Step{}).Field(i).Name
				if words[name] != "" {
					continue
				}
				p := *s.Plan
				p.Steps = slices.Clone(p.Steps)
				switch step := &p.Steps[k]; name {
				case "N":
					step.N++
				case "Phase":
					step.Phase = "x"
				case "Record":
					step.Record = true
				case "Clamps":
					if g := step.Clamps[plan.A]; g != nil && g.Strand == "M1L" && g.Hole == "1TL" {
						continue
					}
					step.Clamps = map[plan.Clamp]*plan.Grip{plan.A: {Strand: "M1L", Hole: "1TL"}}
				default:
					require.Fail(t, "a step's field that no test changes", name)
				}
				assert.NotEmpty(t, Check(&p), "%s, step %d: %s", s.name, k+1, name)
			}
		}
	}
}

// opKinds are the kinds of op; TestOpsMeanOneThing counts them in the source.
func opKinds() []plan.OpKind {
	return []plan.OpKind{plan.Mount, plan.Dismount, plan.Thread, plan.Weave, plan.Pull, plan.ClampOn, plan.Unclamp, plan.Release, plan.Tie,
		plan.Trim, plan.Straighten, plan.Inspect, plan.Note, plan.Fault, plan.Slacken, plan.Unthread, plan.Unweave, plan.Untie, plan.Cut,
		plan.Move, plan.WalkSlack, plan.Waive}
}
