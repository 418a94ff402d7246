package sequence

import (
	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/sequence/plan"
)

// orders are the tensions of a job, with and without boost.
type orders struct {
	mains, crosses plan.Tension
	strands        map[plan.Strand]plan.Tension // of single strands, where they are not those of their kind
}

// ordersOf are the tensions that a plan was asked for.
func ordersOf(t *plan.Terms) orders { return orders{t.PullMains, t.PullCrosses, t.Pulls} }

func newOrders(mains, crosses measure.Tension, b Boost) orders {
	return orders{mains: withBoost(mains, b), crosses: withBoost(crosses, b)}
}

func withBoost(t measure.Tension, b Boost) plan.Tension {
	boosted := b.On(t)
	return plan.Tension{
		Ordered: t.String(), Newtons: t.Newtons(),
		Boosted: boosted.String(), BoostedNewtons: boosted.Newtons(), BoostPercent: boosted.Over(t),
	}
}

func (o orders) of(s patterns.Strand) plan.Tension {
	if own, ok := o.strands[strand(s)]; ok {
		return own
	}
	return o.kind(s.Kind)
}

// set orders a strand's own tension, unless it is that of its kind.
func (o *orders) set(s patterns.Strand, t plan.Tension) {
	delete(o.strands, strand(s))
	if t == o.kind(s.Kind) {
		return
	}
	if o.strands == nil {
		o.strands = map[plan.Strand]plan.Tension{}
	}
	o.strands[strand(s)] = t
}

func (o orders) kind(k patterns.Kind) plan.Tension {
	if k == patterns.Main {
		return o.mains
	}
	return o.crosses
}
