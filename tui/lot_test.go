package tui

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/sequence/verdict"
	"pullcard/tui/chart"
	"pullcard/tui/lot"
)

// lotOfSix is an invented lot of which the first racket was judged.
func lotOfSix(t testing.TB) shop.LotSheet {
	tension := func(text string) measure.Tension {
		v, err := measure.ParseTension(text)
		require.NoError(t, err)
		return v
	}
	answer, err := verdict.Parse("too tight, a bit")
	require.NoError(t, err)
	at := time.Date(2026, 11, 12, 12, 0, 0, 0, time.UTC)
	past := verdict.Past{Job: 1, Mains: tension("24 kg"), Crosses: tension("23 kg"), At: at,
		Verdicts: []verdict.Verdict{{At: at.Add(24 * time.Hour), Answer: answer}}}
	stiffness := func(mains, crosses measure.Tension) (float64, float64, error) { // stands for the bed's computation
		return (mains.Newtons() + crosses.Newtons()) / 14, mains.Newtons() + 360, nil
	}
	out := shop.LotSheet{Title: "Ada Winter (invented) · six for the summer", Waiting: 4, Sport: patterns.Tennis,
		Suggestion: verdict.Suggest([]verdict.Past{past}, verdict.Question{Sport: patterns.Tennis, Bed: stiffness}),
		Judgeable:  []shop.LotChoice{{UID: "job-1", Name: "blue dot"}}}
	for _, name := range []string{"blue dot", "red dot", "green tape", "white tape", "two dots", "no mark"} {
		out.Rackets = append(out.Rackets, shop.LotRacket{Name: name, State: "waits"})
	}
	out.Rackets[0].State, out.Rackets[0].Said = "strung 24 kg / 23 kg", "too tight, a bit"
	out.Rackets[1].State = "in work 12/64"
	return out
}

// readings are an invented series with one reading far off and then another machine, and a short one.
func readings(t testing.TB) []chart.Series {
	var out []chart.Series
	for _, s := range []struct {
		title  string
		values []float64
	}{
		{"all readings · read with tap", []float64{.861, .872, .868, .859, .870, .864, .877, .866, .869, .861, .863, .871, .867, .860, .874, .865, .868, .871, .862, .866,
			.870, .801, .863, .871, .867, .888, .893, .885, .897, .890, .886, .895, .891}},
		{"machine by the window · read with tap", []float64{.87, .86, .88}},
	} {
		points := make([]controlchart.Point, len(s.values))
		for i, v := range s.values {
			points[i] = controlchart.Point{Job: int64(101 + i), Value: v, At: time.Date(2026, 10, 4+i, 9, 0, 0, 0, time.UTC), Machine: "by the window"}
		}
		var base *controlchart.Baseline
		if len(points) >= controlchart.LeastBaseline {
			b, err := controlchart.Judge("", points[:controlchart.LeastBaseline])
			require.NoError(t, err)
			base = &b
		}
		c, err := controlchart.New(points, base)
		require.NoError(t, err)
		one := chart.Series{Title: s.title, Chart: c}
		if base != nil {
			one.Baseline = records.Baseline{With: "tap"}
		}
		for _, i := range c.Flagged() {
			one.Words = append(one.Words, fmt.Sprintf("job %d, %.3f: %s · nothing that the book knows of changed", points[i].Job, points[i].Value, c.Alarms[i]))
		}
		out = append(out, one)
	}
	return out
}

// desk keeps what is said and decided of the lot, which stays as it is.
type desk struct{ *house }

func (d desk) Judge(context.Context, string, string, string) (shop.LotSheet, error) {
	return d.lot, d.trouble()
}

func (d desk) Decide(context.Context, measure.Tension, measure.Tension, string) (shop.LotSheet, error) {
	return d.lot, d.trouble()
}

func (s *house) Lot(string) (shop.LotSheet, lot.Book, error) { return s.lot, desk{s}, s.trouble() }

func (s *house) Charts() ([]chart.Series, error) { return s.charts, s.trouble() }

// No racket of a lot goes on the bench at what the player's word was against, from the rack or from the last screen, before somebody decided.
func TestDecideFirst(t *testing.T) {
	c := newCupboard(t)
	inBubble(t, func(t *testing.T) {
		s := newShop(c)
		s.undecided = "lot-1"
		r := newRig(t, s).press("enter").shows("six for the summer").shows("the player's word suggests 23 kg").press("esc").shows("which racket")
		s.undecided = ""
		r.press("enter").shows("1/64")
	})
}
