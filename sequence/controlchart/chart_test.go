package controlchart

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestNewRefuses(t *testing.T) {
	for _, values := range [][]float64{nil, {1}} {
		_, err := New(series(values...), nil)
		assert.Equal(t, TooFew{Has: len(values), Needs: 2}, err)
	}
	for _, odd := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := New(series(1, odd), nil)
		assert.EqualError(t, err, "the reading of job 102 is no number")
	}
}

// What is read later moves no limit, and nothing is judged that belongs to the baseline.
func TestBaselineStays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		later := someValues(t)
		short, long := chart(t, calm()...), chart(t, append(calm(), later...)...)
		assert.Equal(t, short.Base, long.Base)
		assert.Equal(t, 20, long.First)
		assert.Len(t, long.EWMA, len(later))
		lower, upper := long.Base.Limits()
		for i, a := range long.Alarms {
			assert.False(t, i < 20 && a.Any())
			if i >= 20 {
				assert.Equal(t, later[i-20] < lower || later[i-20] > upper, a.Individual)
			}
		}
		few := chart(t, calm()[:19]...)
		assert.Nil(t, few.Base)
		assert.Empty(t, few.Flagged())
	})
}

// A moving range raises no alarm of its own, however far one jumps within the limits.
func TestRangesRaiseNoAlarm(t *testing.T) {
	b := Baseline{Centre: 0, Sigma: 1, Until: began().Add(-time.Hour)}
	c, err := New(series(4, -4, 4, -4, 4, -4), &b)
	require.NoError(t, err)
	assert.Equal(t, []float64{8, 8, 8, 8, 8}, c.Ranges)
	c, err = New(series(2, -2, 2, -2, 2, -2), &b)
	require.NoError(t, err)
	assert.Empty(t, c.Flagged())
}

// Points and limits move together. Doubling and turning over are exact in floating point, so alarms are the same.
func TestAlarmsKeepUnderScaleAndMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := append(rapid.SliceOfN(rapid.Float64Range(-1, 1), 20, 20).Draw(t, "baseline"), someValues(t)...)
		other := make([]float64, len(values))
		for i, v := range values {
			other[i] = -2 * v
		}
		a, b := chart(t, values...), chart(t, other...)
		assert.Equal(t, a.Alarms, b.Alarms)
		assert.InDelta(t, 2*a.Base.Sigma, b.Base.Sigma, 1e-12)
	})
}

func TestConstantPointsRaiseNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := make([]float64, rapid.IntRange(2, 50).Draw(t, "n"))
		for i, v := 0, rapid.Float64Range(-1e6, 1e6).Draw(t, "value"); i < len(values); i++ {
			values[i] = v
		}
		assert.Empty(t, chart(t, values...).Flagged())
	})
}

// The last points are judged as they are in the whole.
func TestLast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := chart(t, append(calm(), someValues(t)...)...)
		n := rapid.IntRange(0, 90).Draw(t, "n")
		part := whole.Last(n)
		shown := min(max(n, 2), len(whole.Points))
		away := len(whole.Points) - shown
		require.Len(t, part.Points, shown)
		require.Len(t, part.Ranges, shown-1)
		assert.Equal(t, whole.Points[away:], part.Points)
		assert.Equal(t, whole.Alarms[away:], part.Alarms)
		for i := range part.EWMA {
			at := part.First + i + away - whole.First
			assert.Equal(t, whole.EWMA[at], part.EWMA[i])
			low, _ := whole.EWMALimits(at)
			same, _ := part.EWMALimits(i)
			assert.Equal(t, low, same)
		}
		assert.Equal(t, len(part.Points)-part.First, len(part.EWMA))
		assert.Len(t, Text(part, 60, 10, true), 10)
	})
}

func TestChanged(t *testing.T) {
	c := charted(t, shop())
	assert.Equal(t, Alarm{Individual: true, EWMA: true}, c.Alarms[21])
	assert.Equal(t, []Change{
		{Point: 21, What: "slips", Is: "2 slips"},
		{Point: 21, What: "bare", Is: "26 min"},
	}, c.Changed(21))
	// The EWMA that is far off at the end was moved by the other machine.
	last := len(c.Points) - 1
	assert.Equal(t, Alarm{EWMA: true}, c.Alarms[last])
	moved := Change{Point: 25, What: "machine", Was: "bench one", Is: "bench two"}
	assert.Equal(t, []Change{moved}, c.Changed(last))
	assert.Equal(t, "machine was bench one, is bench two", moved.String())
	assert.Empty(t, c.Changed(0))

	// What is not told is no change, and the name told last counts.
	points := series(1, 2, 1, 2)
	points[0].Stringer, points[2].Stringer, points[3].Stringer = "Sam", "Sam", "Ada"
	points[1].String = "first string told"
	points[2].Slips, points[3].Bare = 1, BareLimit+time.Minute
	points[1].Bare = BareLimit
	c, err := New(points, nil)
	require.NoError(t, err)
	assert.Empty(t, c.Changed(1))
	require.Len(t, c.Changed(2), 1)
	assert.Equal(t, "1 slip", c.Changed(2)[0].String())
	require.Len(t, c.Changed(3), 2)
	assert.Equal(t, "stringer was Sam, is Ada", c.Changed(3)[0].String())
	assert.Equal(t, "mains stood without crosses for 21 min", c.Changed(3)[1].String())
}

func TestWords(t *testing.T) {
	words := charted(t, shop()).Words()
	assert.Equal(t, "33 stringings, each as what its bed kept of the ordered tension", words[0])
	assert.Contains(t, words[1], "baseline the first 20, not decided on: 20 stringings until 2031-05-05, centre 0.867, sigma 0.0050; it shows no trend (p = 0.9")
	assert.Contains(t, words[2], "(5.4 sigma); EWMA 4.1 of its sigma; together they alarm on at most 1 in 10 charts of 100 good stringings")
	assert.Contains(t, words[3], "is seen within 10 stringings with a chance of 65 %; a longer baseline sees more")
	assert.Contains(t, chart(t, 1, 2).Words()[1], "limits come with a baseline of 20 stringings, until then nothing is judged")
	for a, want := range map[Alarm]string{{true, true}: "and the EWMA lie", {true, false}: "stringing lies", {false, true}: "the EWMA lies", {}: "within"} {
		assert.Contains(t, a.String(), want)
	}
}

func BenchmarkChart(b *testing.B) {
	random := rand.New(rand.NewPCG(1, 2))
	points := make([]Point, 7000)
	for i := range points {
		points[i] = Point{Job: int64(i), Value: .87 + .01*random.NormFloat64(), At: began().Add(time.Duration(i) * time.Hour)}
	}
	base, err := Judge("", points[:100])
	require.NoError(b, err)
	for b.Loop() {
		if _, err := New(points, &base); err != nil {
			b.Fatal(err)
		}
	}
}
