package sequence_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

var deeds = []plan.OpKind{plan.Mount, plan.Dismount, plan.Thread, plan.Weave, plan.Pull, plan.ClampOn, plan.Unclamp, plan.Release, plan.Tie, plan.Trim,
	plan.Straighten, plan.Inspect, plan.Note, plan.Fault, plan.Slacken, plan.Unthread, plan.Unweave, plan.Untie, plan.Cut, plan.Move, plan.WalkSlack, plan.Waive, "sing"}

// A breaker breaks plans by lot.
type breaker struct{ *rand.Rand }

// place is that of an op: of a kind drawn first, so that rare ones come up as often as others.
func (b breaker) place(p *plan.Plan) (step, op int) {
	places := map[plan.OpKind][][2]int{}
	for i := range p.Steps {
		for k := range p.Steps[i].Ops {
			o := &p.Steps[i].Ops[k]
			places[o.Op] = append(places[o.Op], [2]int{i, k})
		}
	}
	var kinds []plan.OpKind
	for kind := range places {
		kinds = append(kinds, kind)
	}
	slices.Sort(kinds)
	of := places[kinds[b.IntN(len(kinds))]]
	at := of[b.IntN(len(of))]
	return at[0], at[1]
}

// break1 changes one thing.
func (b breaker) break1(p, other *plan.Plan) {
	step, at := b.place(p)
	ops := &p.Steps[step].Ops
	op := (*ops)[at]
	switch b.IntN(13) {
	case 0, 1: // dropped
		*ops = slices.Delete(slices.Clone(*ops), at, at+1)
	case 2: // twice
		*ops = slices.Insert(slices.Clone(*ops), at, op)
	case 3: // before the one before it
		*ops = slices.Clone(*ops)
		if at > 0 {
			(*ops)[at], (*ops)[at-1] = (*ops)[at-1], op
		} else if step > 0 {
			*ops = (*ops)[1:]
			before := &p.Steps[step-1].Ops
			*before = slices.Insert(slices.Clone(*before), max(0, len(*before)-1), op)
		}
	case 4: // elsewhere too
		to := &p.Steps[min(max(step+b.IntN(9)-4, 0), len(p.Steps)-1)].Ops
		*to = slices.Insert(slices.Clone(*to), b.IntN(len(*to)+1), op)
	case 5: // one of another plan
		s, k := b.place(other)
		*ops = slices.Insert(slices.Clone(*ops), at, other.Steps[s].Ops[k])
	case 6: // something of the step
		s := &p.Steps[step]
		switch b.IntN(6) {
		case 0:
			s.N += b.IntN(3) - 1
		case 1:
			s.Phase = plan.Phases()[b.IntN(4)]
		case 2:
			s.Record = !s.Record
		case 3:
			s.Base = b.IntN(2)
		case 4:
			s.Clamps = other.Steps[b.IntN(len(other.Steps))].Clamps
		case 5:
			p.Steps = slices.Delete(p.Steps, step, step+1)
		}
	case 7:
		b.change(reflect.ValueOf(&p.Terms).Elem(), reflect.ValueOf(&other.Terms).Elem())
	case 8: // something is done, or goes wrong, that nobody thought of
		if op.Op = deeds[b.IntN(len(deeds))]; b.IntN(2) == 0 {
			op.Op, op.Fault = plan.Fault, plan.Mishaps()[b.IntN(len(plan.Mishaps()))]
		}
		op.Choose = []string{"", plan.Keep, plan.New, plan.Regrip, plan.Sleeve, plan.Undo, string(op.Hole)}[b.IntN(7)]
		op.Extent = []plan.Extent{plan.Crept, plan.Base, plan.Gone}[b.IntN(3)]
		op.Where = []plan.Place{"", plan.AtGripper, plan.AtJaw, plan.AtHole, plan.InBed}[b.IntN(5)]
		*ops = slices.Insert(slices.Clone(*ops), at+b.IntN(2), op)
	default: // it says something that another says
		*ops = slices.Clone(*ops)
		s, k := b.place(p)
		b.change(reflect.ValueOf(&(*ops)[at]).Elem(), reflect.ValueOf(&p.Steps[s].Ops[k]).Elem())
	}
}

// change changes a value, to what another is or by a little.
func (b breaker) change(v, other reflect.Value) {
	switch little := b.IntN(2) == 0; {
	case v.Kind() == reflect.Struct:
		var differ []int
		for i := range v.NumField() {
			if v.Field(i).Kind() == reflect.Slice && v.Field(i).Len() > 0 || !reflect.DeepEqual(v.Field(i).Interface(), other.Field(i).Interface()) {
				differ = append(differ, i)
			}
		}
		if len(differ) > 0 {
			i := differ[b.IntN(len(differ))]
			b.change(v.Field(i), other.Field(i))
		}
	case v.Kind() == reflect.Array:
		i := b.IntN(v.Len())
		b.change(v.Index(i), other.Index(1-i))
	case v.Kind() == reflect.Int && little:
		v.SetInt(v.Int() + int64(b.IntN(2)*2-1))
	case v.Kind() == reflect.String && little:
		was := v.String() + "0"
		v.SetString([]string{"", was, was[:max(0, len(was)-2)], was[1:], "1" + was[:len(was)-1]}[b.IntN(5)])
	case v.Kind() == reflect.Float64 && little:
		v.SetFloat(v.Float() * []float64{-1, 1.0001, 0.9999}[b.IntN(3)])
	case v.Kind() == reflect.Slice && v.Len() > 0 && (little || b.IntN(2) == 0):
		n := v.Len()
		all := reflect.MakeSlice(v.Type(), n, n)
		reflect.Copy(all, v)
		i, k := b.IntN(n), b.IntN(n)
		one, two := reflect.New(v.Type().Elem()).Elem(), reflect.New(v.Type().Elem()).Elem()
		one.Set(all.Index(i))
		two.Set(all.Index(k))
		switch b.IntN(4) {
		case 0:
			all.Index(i).Set(two)
			all.Index(k).Set(one)
		case 1:
			all.Index(i).Set(two)
		case 2:
			all = reflect.AppendSlice(all.Slice(0, i), all.Slice(i+1, n))
		case 3:
			b.change(all.Index(i), two)
		}
		v.Set(all)
	default:
		v.Set(other)
	}
}

// Nothing that the referee says of broken plans changes unseen; with -tags mutate.
func TestVerdictsKept(t *testing.T) {
	sweep.Net(t)
	all, before := rapid.Custom(anyBack), (*plan.Plan)(nil)
	kept(t, "verdicts", 400, func(i int, out *strings.Builder) {
		p := all.Example(i).Plan
		if p == nil {
			return
		}
		if before == nil {
			before = p
		}
		b := breaker{rand.New(rand.NewPCG(uint64(i), 0))}
		table, said := referee.From(&p.Terms, nil)
		for s := range p.Steps {
			said = append(said, table.Step(&p.Steps[s])...)
			if b.IntN(8) > 0 {
				continue
			}
			view := table.View(p.Steps[s+1:])
			text, err := json.Marshal(view)
			fmt.Fprintln(out, string(text), err, view.Differs(p.After(s+1)), view.Differs(p.After(b.IntN(len(p.Steps)))))
		}
		fmt.Fprintln(out, said)
		for range 80 {
			broken := *p
			broken.Steps = slices.Clone(p.Steps)
			for range 1 + b.IntN(2) {
				b.break1(&broken, before)
			}
			fmt.Fprintln(out, referee.Check(&broken))
		}
		before = p
	})
}
