package controlchart

// Lambda is the weight of the newest value in the EWMA.
const Lambda = 0.2

// perWidth is how many times as wide as the limits of the EWMA those of the individuals are.
const perWidth = 4.2 / 3.2

// Shift and Within are what the power of a chart is told for: a shift of so many sigma that is seen within so many
// stringings. Price is the share of charts of PricedOver stringings in control that alarm at most.
const (
	Shift      = 1.5
	Within     = 10
	Price      = 0.10
	PricedOver = 100
)

// price is a row of the alarm price table.
type price struct {
	share float64 // one over the size of the baseline, 0 for limits that are known
	width float64 // of the EWMA's limits, in its own sigma
	power float64 // chance that Shift is seen within Within stringings
}

// prices is the alarm price table. A baseline knows centre and sigma only so well, which raises false alarms; the limits
// widen until the EWMA and the individuals together, sigma and the test of the trend included, alarm on at most Price
// (0.095 was aimed at). Source: simulation, 600,000 charts a row; TestPrice simulates
// it anew through the chart itself.
func prices() []price {
	return []price{
		{0, 3.20, .940}, {1. / 600, 3.24, .932}, {1. / 240, 3.28, .922}, {1. / 120, 3.36, .901}, {1. / 60, 3.51, .854},
		{1. / 40, 3.66, .804}, {1. / 30, 3.80, .752}, {1. / 24, 3.94, .701}, {1. / 20, 4.08, .649},
	}
}

// at is the row of the table for a baseline of n stringings, 0 for known limits; between the rows it goes straight, and a
// baseline below the least one has that one's.
func at(n int) price {
	share := 0.0
	if n > 0 {
		share = 1 / float64(n)
	}
	rows := prices()
	for i, r := range rows[1:] {
		if b := rows[i]; share <= r.share {
			part := (share - b.share) / (r.share - b.share)
			return price{share, b.width + part*(r.width-b.width), b.power + part*(r.power-b.power)}
		}
	}
	return rows[len(rows)-1]
}
