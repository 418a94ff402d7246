package contrast

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
	"pullcard/sequence/report"
	"pullcard/sequence/sequencetest"
)

// plans draws a frame and two plans of it.
func plans(t *rapid.T) (own, other Way) {
	frame := sequencetest.Layout(t, rapid.SampledFrom(library.Layouts()).Draw(t, "frame"))
	var both [2]Way
	for i, name := range []string{"own", "other"} {
		sheet := rapid.SampledFrom(append(library.Techniques(), sequencetest.Flying)).Draw(t, name)
		w, err := sequencetest.Make(t, frame, sequencetest.Sheet(t, sheet))
		if err != nil {
			t.Skip("the frame cannot be strung so")
		}
		both[i] = Way{Plan: w.Plan}
	}
	return both[0], both[1]
}

// A way differs in nothing from itself, and two ways differ alike from either side.
func TestFromEitherSide(t *testing.T) {
	rapid.Check(t, sweep.Some(10, func(t *rapid.T) {
		own, other := plans(t)
		same := Of(own, own)
		require.Nil(t, same.First)
		require.Empty(t, same.Differences)
		there, back := Of(own, other), Of(other, own)
		for i, d := range back.Differences {
			back.Differences[i].Own, back.Differences[i].Other = d.Other, d.Own
		}
		require.ElementsMatch(t, there.Differences, back.Differences)
		if there.First == nil {
			require.Nil(t, back.First)
			require.Empty(t, there.Differences)
			return
		}
		f, b := there.First, back.First
		require.Equal(t, *f, Parting{b.Same, b.Other, b.Own, b.OtherActs, b.OwnActs})
		require.NotEqual(t, f.OwnActs, f.OtherActs)
		require.True(t, slices.IsSortedFunc(there.Differences, func(a, b Difference) int { return a.Step - b.Step }))
	}))
}

// Whatever is changed in a plan is named, by topic and strand, and nothing else that the change has no part in.
func TestEachChangeIsNamed(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-clamp").Plan
	changes := map[plan.OpKind]struct {
		topic  Topic
		change func(*plan.Op)
	}{
		plan.Mount:    {Mount, func(o *plan.Op) { o.Support = "elsewhere" }},
		plan.Dismount: {Mount, func(o *plan.Op) { o.Support = "elsewhere" }},
		plan.Thread:   {Feed, func(o *plan.Op) { o.From, o.To = o.To, o.From }},
		plan.Weave: {Weave, func(o *plan.Op) {
			o.First = map[plan.Face]plan.Face{plan.Over: plan.Under, plan.Under: plan.Over}[o.First]
		}},
		plan.Pull:    {Pull, func(o *plan.Op) { o.Tension = "19 kg" }},
		plan.ClampOn: {Clamp, func(o *plan.Op) { o.Outside = !o.Outside }},
		plan.Tie:     {Knot, func(o *plan.Op) { o.Anchor = "M1L" }},
	}
	tried := map[plan.OpKind]int{}
	for i := range p.Steps {
		for k := range p.Steps[i].Ops {
			c, is := changes[p.Steps[i].Ops[k].Op]
			if !is {
				continue
			}
			other := *p
			other.Steps = slices.Clone(p.Steps)
			other.Steps[i].Ops = slices.Clone(p.Steps[i].Ops)
			o := &other.Steps[i].Ops[k]
			c.change(o)
			tried[o.Op]++
			got := Of(Way{Plan: p}, Way{Plan: &other})
			require.NotEmpty(t, got.Differences, "%+v", o)
			for _, d := range got.Differences {
				require.Equal(t, c.topic, d.Topic, "%+v", o)
				require.Contains(t, []string{string(o.Strand), "tail at " + string(o.Out), "supports go on", "supports come off"}, d.What)
				require.NotEqual(t, d.Own, d.Other)
			}
		}
	}
	assert.Len(t, tried, len(changes))
}

// A skip start beside a clamp start, as every stringer knows it: the first cross is pulled last and once, and stands for the starting clamp.
func TestSkipBesideClampStart(t *testing.T) {
	skip, clamp := sequencetest.Of(t, "club-sixteen", "two-piece-skip"), sequencetest.Of(t, "club-sixteen", "two-piece-clamp")
	c := Of(Way{Plan: skip.Plan}, Way{Plan: clamp.Plan})
	byTopic := map[string]Difference{}
	for _, d := range c.Differences {
		byTopic[string(d.Topic)+" "+d.What] = d
	}
	pull := byTopic["pull C1"]
	assert.Equal(t, "25.3 kg at the left, boosted 10 %", pull.Own)
	assert.Equal(t, "23 kg at the right, again 25.3 kg at the left, boosted 10 %", pull.Other)
	order := byTopic["order crosses"]
	assert.True(t, strings.HasPrefix(order.Own, "C2 C3 ") && strings.HasSuffix(order.Own, " C1") && strings.HasPrefix(order.Other, "C1 C2 "), order)
	assert.Contains(t, byTopic["clamp C1"].Other, "S at the left, outside")
	assert.NotContains(t, byTopic, "knot tail at 7TL")

	var out strings.Builder
	report.Write(&out, c.Tell()...)
	for _, want := range []string{"Two pieces, skip start (own) and Two pieces, clamp start (other)", "acts are the same; then", "crosses, pull 1 on  C2 C3", "\nPULL\n"} {
		assert.Contains(t, out.String(), want)
	}
	assert.Less(t, strings.Index(out.String(), "\nORDER"), strings.Index(out.String(), "\nCOUNT"))
}
