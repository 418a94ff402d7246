package sequence

import (
	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/sequence/plan"
)

// orders are the tensions of a job, with and without boost.
type orders struct{ mains, crosses plan.Tension }

func newOrders(mains, crosses measure.Tension, b Boost) orders {
	return orders{order(mains, b), order(crosses, b)}
}

func order(t measure.Tension, b Boost) plan.Tension {
	boosted := b.On(t)
	return plan.Tension{
		Ordered: t.String(), Newtons: t.Newtons(),
		Boosted: boosted.String(), BoostedNewtons: boosted.Newtons(), BoostPercent: boosted.Over(t),
	}
}

func (o orders) of(s patterns.Strand) plan.Tension {
	if s.Kind == patterns.Main {
		return o.mains
	}
	return o.crosses
}
