package controlchart

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// of makes stringings of values, whose logarithms are the values, on machines in turn.
func of(values ...[]float64) (list []Stringing) {
	for m, side := range values {
		for i, v := range side {
			list = append(list, Stringing{N: 1, Reading: Reading{Job: int64(1000*m + i), Machine: string(rune('A' + m)), Kept: math.Exp(v), Instrument: "tap",
				Aged: true, Age: ReferenceAge, At: began().Add(time.Duration(i) * time.Hour)}})
		}
	}
	return list
}

func compared(t require.TestingT, list []Stringing, machines ...string) *Comparison {
	if machines == nil {
		machines = []string{"A", "B"}
	}
	c, err := Compare(Question{Machines: machines, Stringings: list, Decay: Usual, Level: .95})
	require.NoError(t, err)
	return c
}

// summed makes n values with exactly a mean and a standard deviation.
func summed(n int, mean, sd float64) []float64 {
	out := make([]float64, n)
	whole := float64(n-1) * float64(n) * float64(n+1) / 12 // sum of squares of the numbers about their mean
	for i := range out {
		out[i] = mean + sd*(float64(i)-float64(n-1)/2)*math.Sqrt(float64(n-1)/whole)
	}
	return out
}

// With one factor the comparison is exactly Welch's.
func TestWelch(t *testing.T) {
	// Source: 40 CFR 1065.602(f); a thousandth of its figures, which changes neither t nor the degrees of freedom.
	p := compared(t, of(summed(11, 1.2053, .009399), summed(7, 1.1238, .010583))).Pairs[0]
	assert.InDelta(t, 16.63, p.Value/p.SE, .005)
	assert.InDelta(t, 11.76, p.DF, .005)

	// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3, AUTO83B, without equal variances. The chance is
	// that of the Boost.Math example of the two-sample t test on the same figures.
	p = compared(t, of(summed(249, .2014458, .06414700), summed(79, .3048101, .06107710))).Pairs[0]
	assert.InDelta(t, -12.94627, p.Value/p.SE, 5e-6)
	assert.InDelta(t, 136.8750, p.DF, 5e-5)
	assert.InEpsilon(t, 1.571e-25, p.P(), 5e-4)
	assert.Equal(t, "< 0.001", Chance(p.P()))

	// Source: R, stats::t.test, the examples on Student's sleep data.
	x, y := sleep()
	p = compared(t, of(x, y)).Pairs[0]
	assert.InDelta(t, -1.58, p.Value, 1e-12)
	assert.InDelta(t, -1.8608, p.Value/p.SE, 5e-5)
	assert.InDelta(t, 17.776, p.DF, 5e-4)
	assert.InDelta(t, .07939, p.P(), 5e-6)
	assert.InDelta(t, -3.3654832, p.Low(), 5e-8)
	assert.InDelta(t, .2054832, p.High(), 5e-8)
	assert.False(t, p.Apart())
	assert.Equal(t, "0.079", Chance(p.P()))
}

// Welch's figures from his formula, for whatever two samples; and turning the machines round turns the signs only.
func TestWelchAnywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) []float64 {
			return rapid.SliceOfN(rapid.Float64Range(-1, 1), 2, 12).Filter(func(v []float64) bool {
				_, sd := Summarise(v)
				return sd > .01
			}).Draw(t, name)
		}
		a, b := draw("a"), draw("b")
		ma, da := Summarise(a)
		mb, db := Summarise(b)
		na, nb := float64(len(a)), float64(len(b))
		va, vb := da*da/na, db*db/nb
		p := compared(t, of(a, b)).Pairs[0]
		assert.InDelta(t, ma-mb, p.Value, 1e-9)
		assert.InEpsilon(t, math.Sqrt(va+vb), p.SE, 1e-9)
		assert.InEpsilon(t, (va+vb)*(va+vb)/(va*va/(na-1)+vb*vb/(nb-1)), p.DF, 1e-8)
		back := compared(t, of(a, b), "B", "A").Pairs[0]
		assert.InDelta(t, -p.Value, back.Value, 1e-9)
		assert.InEpsilon(t, p.SE, back.SE, 1e-8)
		// The interval leaves nought out exactly when the chance is below what the level leaves.
		if math.Abs(p.P()-.05) > 1e-9 {
			assert.Equal(t, p.P() < .05, p.Apart())
		}
	})
}

// sleep are the hours of Student's sleep data, Biometrika 6 (1908), for two drugs on the same ten people.
func sleep() (a, b []float64) {
	return []float64{.7, -1.6, -.2, -1.2, -.1, 3.4, 3.7, .8, 0, 2}, []float64{1.9, .8, 1.1, .1, -.1, 4.4, 5.5, 1.6, 4.6, 3.4}
}

// The same rackets on both machines make it exactly the paired t.
// Source: R, stats::t.test with paired = TRUE on the same data; these figures are from memory.
func TestSameRackets(t *testing.T) {
	list := of(sleep())
	for i := range list {
		list[i].Racket = fmt.Sprint(i % 10)
	}
	c := compared(t, list)
	p := c.Pairs[0]
	assert.Equal(t, []string{"racket"}, c.Factors)
	assert.InDelta(t, -4.0621, p.Value/p.SE, 5e-5)
	assert.InDelta(t, 9, p.DF, 1e-4)
	assert.InDelta(t, .002833, p.P(), 5e-7)
	assert.InDelta(t, -2.4598858, p.Low(), 5e-5)
	assert.InDelta(t, -.7001142, p.High(), 5e-5)
}

// One racket that was strung five times is not five rackets: what rackets differ by is in the error.
func TestOneRacketFiveTimes(t *testing.T) {
	a := []float64{.030, .031, .029, .030, .031, .01}
	b := []float64{.000, .001, -.001, .000, .001, .02}
	list := of(a, b)
	plain := compared(t, list).Pairs[0]
	for i := range list {
		list[i].Racket = []string{"one", "two"}[i/6]
		if i%6 == 5 {
			list[i].Racket = "other" + list[i].Machine
		}
	}
	same := compared(t, list).Pairs[0]
	assert.Greater(t, same.SE, 1.5*plain.SE)
	assert.Less(t, same.DF, plain.DF)
}

// Frames and strings that differ enter; what only one machine had says nothing and is left out; what differs with the machine
// makes them one.
func TestFactors(t *testing.T) {
	noise := []float64{.003, -.002, .001, -.003, .002, -.001, .0005, -.0005}
	a, b := make([]float64, 8), make([]float64, 8)
	for i := range a {
		a[i], b[i] = .02+noise[i], noise[7-i]
		if i < 6 { // the large frame, of which A strung more
			a[i] += .1
		}
		if i < 2 {
			b[i] += .1
		}
	}
	list := of(a, b)
	for i := range list {
		list[i].Frame = "small"
		if i < 6 || i >= 8 && i < 10 {
			list[i].Frame = "large"
		}
	}
	c := compared(t, list)
	assert.Equal(t, []string{"frame"}, c.Factors)
	assert.InDelta(t, .02, c.Pairs[0].Value, .002, "and not .07, which the frames make")
	assert.Less(t, c.Spread["A"], .004)

	list = append(list, of([]float64{5, 6})...)
	for i := 16; i < 18; i++ {
		list[i].Job, list[i].Frame = int64(5000+i), "only A's"
	}
	c = compared(t, list)
	assert.InDelta(t, .02, c.Pairs[0].Value, .002)
	assert.Equal(t, []string{"2 stringings with a frame or a string that only one of the machines had"}, c.LeftOut)

	for i := range list {
		list[i].Frame = list[i].Machine
	}
	_, err := Compare(Question{Machines: []string{"A", "B"}, Stringings: list, Decay: Usual, Level: .95})
	assert.EqualError(t, err, "A: 0 stringings are too few; it takes 2")

	// Three machines of which two share a frame, and the third shares its string with neither in that frame.
	three := of([]float64{0, .1, .2}, []float64{.1, .2, .3}, []float64{.1, .2, .4})
	for i := range three {
		three[i].Frame = []string{"x", "x", "y"}[i/3]
	}
	three = append(three, of(nil, nil, nil, []float64{.1, .2})...)
	three[9].Frame, three[10].Frame = "y", "y"
	_, err = Compare(Question{Machines: []string{"A", "B", "C", "D"}, Stringings: three, Decay: Usual, Level: .95})
	assert.ErrorAs(t, err, &Confounded{})
	assert.ErrorContains(t, err, "string a control racket with one string on each")
}

// Holm's correction. Source: R, stats::p.adjust, the method's definition; the figures are reckoned by hand.
func TestHolm(t *testing.T) {
	pairs := make([]Pair, 4)
	for i, p := range []float64{.01, .04, .03, .005} {
		// A normal value whose two-sided chance is p.
		pairs[i].Interval = Interval{Value: -quantile(math.Inf(1), p/2), SE: 1, DF: math.Inf(1), Level: .95}
		assert.InDelta(t, p, pairs[i].P(), 1e-12)
	}
	holm(pairs)
	for i, want := range []float64{.03, .06, .06, .02} {
		assert.InDelta(t, want, pairs[i].Holm, 1e-12)
	}
	c := compared(t, of(summed(6, 0, .01), summed(6, .02, .01), summed(6, .001, .01)), "A", "B", "C")
	require.Len(t, c.Pairs, 3)
	for _, p := range c.Pairs {
		assert.GreaterOrEqual(t, p.Holm, p.P())
	}
	assert.InDelta(t, .01, c.Ordinary(), 1e-9)
}

// Instruments never mix: another one's readings count only where jobs that both read say how, with that uncertainty.
func TestInstruments(t *testing.T) {
	list := of(summed(8, .02, .01), summed(8, 0, .01))
	for i := 4; i < 8; i++ { // half of A was read with a gauge that reads a tenth less
		list[i].Instrument = "gauge"
		list[i].Kept *= .9
	}
	c := compared(t, list)
	assert.Equal(t, "tap", c.Instrument)
	assert.Equal(t, 4, c.Pairs[0].NA)
	require.Len(t, c.LeftOut, 1)
	assert.Equal(t, "4 stringings read by gauge only, which cannot be told in readings of tap: 0 stringings are too few; it takes 5 that both read", c.LeftOut[0])

	with := func(spread float64) *Comparison {
		all := list
		for i, v := range summed(6, math.Log(.9), spread) {
			pair := of(nil, nil, []float64{0, v})
			pair[0].Job, pair[1].Job, pair[1].Instrument = int64(7000+i), int64(7000+i), "gauge"
			pair[1].At = pair[0].At.Add(time.Minute)
			all = append(all, pair...)
		}
		return compared(t, all)
	}
	sure, unsure := with(.0001), with(.05)
	assert.Empty(t, sure.LeftOut)
	assert.Equal(t, 8, sure.Pairs[0].NA)
	assert.InDelta(t, .02, sure.Pairs[0].Value, 1e-9)
	assert.Greater(t, unsure.Pairs[0].SE, 1.5*sure.Pairs[0].SE)
	assert.Contains(t, sure.Conversions[0].String(), "tap reads 1.111 of gauge (95 % between 1.111 and 1.111, from 6 jobs that both read)")
}

// Beds are compared at one age: what the decay makes of the difference in age is taken out, with its uncertainty, and said.
func TestAges(t *testing.T) {
	d := Usual("")
	list := of(summed(8, 0, .01), summed(8, 0, .01))
	for i := range list {
		age := 20 * time.Minute
		if i >= 8 {
			age = 48 * time.Hour
		}
		list[i].Age = age
		list[i].Kept += d.Lost(ReferenceAge) - d.Lost(age)
	}
	c := compared(t, list)
	p := c.Pairs[0]
	assert.InDelta(t, 0, p.Value, 1e-9)
	assert.Greater(t, p.SE, .01*math.Sqrt(2./8), "the decay is only so well known")
	assert.Contains(t, c.Age, "brought to 30 min after the last pull: a string that is not told loses 1.7 % of the ordered tension in each tenfold of the time (95 % between 1.1 and 2.2 %; usual, from memory)")
	for i := range list {
		list[i].Age = time.Hour
	}
	assert.Equal(t, "at equal age", compared(t, list).Age)
	list[0].Aged = false
	assert.Equal(t, "at equal age; 1 as read, their age is not known", compared(t, list).Age)
	for i := range list {
		list[i].Aged = false
	}
	assert.Equal(t, "as read: nobody knows how long after the last pull", compared(t, list).Age)
	list[0].Played = true
	assert.Equal(t, []string{"1 reading taken after play"}, compared(t, list).LeftOut)
}

func TestCompareRefuses(t *testing.T) {
	ask := func(list []Stringing, level float64, machines ...string) error {
		_, err := Compare(Question{Machines: machines, Stringings: list, Decay: Usual, Level: level})
		return err
	}
	two := of([]float64{1, 2}, []float64{2, 4})
	assert.ErrorContains(t, ask(two, .95, "A"), "two machines")
	for _, level := range []float64{0, 1, -1, 95, math.NaN()} {
		assert.ErrorContains(t, ask(two, level, "A", "B"), "confidence", "%g", level)
	}
	assert.ErrorAs(t, ask(of([]float64{1}, []float64{1, 2}), .95, "A", "B"), &TooFew{})
	assert.Equal(t, errNoSpread, ask(of([]float64{1, 1}, []float64{2, 2}), .95, "A", "B"))
	for _, odd := range []float64{math.NaN(), math.Inf(1), 0, -1} {
		two[1].Kept = odd
		assert.ErrorContains(t, ask(two, .95, "A", "B"), "the reading of job 1 is no share of a tension")
	}
	// All the spread is in one sample.
	p := compared(t, of(summed(5, 1, .1), []float64{2, 2, 2, 2, 2})).Pairs[0]
	assert.InDelta(t, 4, p.DF, 1e-4) // a variance of nought counts as next to none
	assert.InEpsilon(t, .1/math.Sqrt(5), p.SE, 1e-6)
}
