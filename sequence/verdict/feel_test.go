package verdict_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/assume"
	"pullcard/patterns/measure"
	"pullcard/patterns/mechanics"
	"pullcard/patterns/source"
	"pullcard/sequence/calc"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/verdict"
)

// work is a job on a built-in frame, which is invented.
func work(t testing.TB, frame, string string) calc.Work {
	return calc.Work(sequencetest.Of(t, frame, "two-piece-clamp", sequencetest.Tension, string))
}

const yarn = "[string.mains]\nmaterial = \"polyester\"\ndiameter = \"1.25 mm\"\n"

// The bed of a job is that of its plan under a ball, and stiffens with the tension, less than the tension does: its strings
// resist by themselves too.
func TestBedOf(t *testing.T) {
	w := work(t, "club-sixteen", yarn)
	strung, err := w.Strung()
	require.NoError(t, err)
	loaded, err := strung.Net.Loaded(mechanics.BallOf(patterns.Tennis))
	require.NoError(t, err)
	b := verdict.BedOf(w)
	k, hz, err := b(w.Job.Mains, w.Job.Crosses)
	require.NoError(t, err)
	assert.InEpsilon(t, float64(loaded.Free), k, 1e-9)
	assert.InEpsilon(t, strung.Figures.Hz[0], hz, 1e-9)
	less, lower, err := b(w.Job.Mains.Percent(-10), w.Job.Crosses.Percent(-10))
	require.NoError(t, err)
	assert.Less(t, less, k*.95)
	assert.Greater(t, less, k*.9)
	assert.InEpsilon(t, hz*math.Sqrt(.9), lower, 1e-6)
	assert.Equal(t, "24 kg", w.Job.Mains.String(), "the job is left as it is")

	_, hz, err = verdict.BedOf(work(t, "club-sixteen", ""))(w.Job.Mains, w.Job.Crosses)
	require.NoError(t, err)
	assert.Zero(t, hz, "the string is not told")
}

// change is from one work to another at 24 and 23 kg.
func change(t testing.TB, was, is calc.Work) verdict.Change {
	return verdict.Change{From: setup(), To: setup(), Mains: tension(t, "24 kg"), Crosses: tension(t, "23 kg"), Was: was, Is: is}
}

// little is an invented layout of four mains and few crosses, which is soon played on the hoop.
func little(crosses, width int) string {
	return fmt.Sprintf("name = \"Little\"\nsport = \"tennis\"\nmains = 4\ncrosses = %d\nskip = [\"3H\"]\nstart = \"head\"\n[tie]\nmains = [\"1H\", \"2H\", \"1T\", \"2T\"]\ncrosses = [\"1H\", \"2H\", \"1T\", \"2T\"]\n[hoop]\nlength = \"280 mm\"\nwidth = \"%d mm\"\n", crosses, width)
}

// As much as is left of each strand makes the new bed as stiff as what was left of the old one, and which tensions they are is
// said. Clamps that draw back far take the same newtons from every tension, so that what is left of a bed is another share at each
// factor: the tensions hold only where the losses were asked for again at what the first ones gave.
func TestSameFeelOfWhatIsLeft(t *testing.T) {
	doc, err := source.Read("house.toml", []byte("[strain]\ndrawback = \"0.6 mm\"\n"))
	require.NoError(t, err)
	house := assume.Read(doc, doc.Root())
	c := change(t, work(t, little(5, 220), yarn), work(t, little(6, 220), yarn))
	var last measure.Tension
	c.Left = func(w calc.Work) (*calc.Left, error) {
		last = w.Job.Mains
		return w.Left(house, true)
	}
	stiffness := func(w calc.Work, mains, crosses measure.Tension) float64 {
		w, err := w.Ordered(mains, crosses)
		require.NoError(t, err)
		left, err := c.Left(w)
		require.NoError(t, err)
		of, err := w.Setups()
		require.NoError(t, err)
		s, err := of(mains, crosses)
		require.NoError(t, err)
		k, err := left.On(s).Loaded(mechanics.Under{Ball: mechanics.BallOf(patterns.Tennis)})
		require.NoError(t, err)
		return float64(k)
	}
	f, err := verdict.SameFeel(c)
	require.NoError(t, err)
	assert.Greater(t, math.Abs(f.Mains.Value()-c.Mains.Value()), .2)
	assert.InDelta(t, f.Mains.Value(), last.Value(), .1, "what is left is that of the tensions that are found")
	assert.InEpsilon(t, stiffness(c.Was, c.Mains, c.Crosses), stiffness(c.Is, f.Mains, f.Crosses), .003, "within what rounding to 0.1 kg makes of it")
	said := ""
	for _, l := range f.Lines {
		said += l.Text + "\n"
	}
	assert.Contains(t, said, "left where it was: the plan played on the elastic hoop, a day later: mains keep ")
	assert.Contains(t, said, "left now: the plan played on the elastic hoop, a day later: mains keep ")
	assert.NotContains(t, said, "no losses")
}

// Without boosts the bed's own same feel must agree; boosts in percent change little.
func TestSameFeelOnAnotherFrame(t *testing.T) {
	here, there := work(t, "club-sixteen", yarn), work(t, "dense-eighteen", yarn)
	c := change(t, here, there)
	c.To.Frame = "another"
	f, err := verdict.SameFeel(c)
	require.NoError(t, err)
	strung, err := here.Strung()
	require.NoError(t, err)
	other, err := there.Strung()
	require.NoError(t, err)
	want, err := mechanics.SameFeel(strung.Setup, other.Setup, mechanics.BallOf(patterns.Tennis))
	require.NoError(t, err)
	t.Logf("%s and %s ± %s; without boosts %.3f kg", f.Mains, f.Crosses, f.PlusMinus, measure.Newtons(want.ByNet.MainsN).In(measure.Kg))
	assert.InDelta(t, measure.Newtons(want.ByNet.MainsN).In(measure.Kg), f.Mains.Value(), .15)
	k, _, err := verdict.BedOf(there)(f.Mains, f.Crosses)
	require.NoError(t, err)
	assert.InDelta(t, float64(want.Wanted), k, float64(want.Wanted)*.01)
	assert.Equal(t, measure.Kg, f.Mains.Unit())
	assert.Equal(t, `frame: "another" instead of "invented frame"`, texts(f.Lines, verdict.Reason))
	assert.Contains(t, texts(f.Lines, verdict.Assumption), "as stiff in the middle under 500 N on a patch of 30 mm radius")
	assert.Contains(t, texts(f.Lines, verdict.Computed), "about a 95 % interval")
}

// What is the same bed stays exactly as it was ordered; a softer string needs more, and how soft it is is not known well.
func TestSameFeelOfAnotherString(t *testing.T) {
	here := work(t, "club-sixteen", yarn)
	c := change(t, here, here)
	c.Mains, c.Crosses = tension(t, "53.25 lb"), tension(t, "52 lb")
	f, err := verdict.SameFeel(c)
	require.NoError(t, err)
	assert.Equal(t, c.Mains, f.Mains)
	assert.Equal(t, c.Crosses, f.Crosses)
	assert.Zero(t, f.PlusMinus.Value())
	c.Is = work(t, "club-sixteen", "[string.mains]\nmaterial = \"gut\"\ndiameter = \"1.35 mm\"\n")
	c.To.Mains = "another"
	f, err = verdict.SameFeel(c)
	require.NoError(t, err)
	t.Logf("%s ± %s", f.Mains, f.PlusMinus)
	assert.Greater(t, f.Mains.Value(), c.Mains.Value())
	assert.Greater(t, f.PlusMinus.Value(), .5)
}

// A machine's offset stands apart.
func TestSameFeelOnAnotherMachine(t *testing.T) {
	here := work(t, "club-sixteen", yarn)
	c := change(t, here, here)
	c.To.Machine = ""
	f, err := verdict.SameFeel(c)
	require.NoError(t, err)
	assert.Equal(t, f.Mains, f.SetMains)
	assert.Equal(t, `machine: (not told) instead of "bench"`, texts(f.Lines, verdict.Reason))
	assert.Contains(t, texts(f.Lines, verdict.Assumption), "no accepted offset")
	c.Offset = tension(t, "23.7 kg").Minus(c.Mains)
	f, err = verdict.SameFeel(c)
	require.NoError(t, err)
	assert.Equal(t, "24 kg", f.Mains.String())
	assert.Equal(t, "23.7 kg", f.SetMains.String())
	assert.Equal(t, "22.7 kg", f.SetCrosses.String())
	assert.Contains(t, texts(f.Lines, verdict.Reason), "stands apart, −0.3 kg: set it to mains 23.7 kg, crosses 22.7 kg")
}

func TestSameFeelFails(t *testing.T) {
	here := work(t, "club-sixteen", yarn)
	c := change(t, here, here)
	c.Mains, c.Crosses = tension(t, "1 kg"), tension(t, "1 kg")
	c.Is = work(t, "club-sixteen", "[string.mains]\nmaterial = \"aramid\"\ndiameter = \"1.25 mm\"\n")
	_, err := verdict.SameFeel(c)
	assert.ErrorContains(t, err, "no tension from a fifth to five times")
	bare := *here.Frame
	bare.Hoop = nil
	c.Is.Frame = &bare
	_, err = verdict.SameFeel(c)
	assert.ErrorContains(t, err, "no hoop")
}

func BenchmarkBedOf(b *testing.B) {
	w := work(b, "club-sixteen", yarn)
	bed := verdict.BedOf(w)
	for b.Loop() {
		_, _, err := bed(w.Job.Mains, w.Job.Crosses)
		require.NoError(b, err)
	}
}
