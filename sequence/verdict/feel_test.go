package verdict_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/bed"
	"pullcard/patterns/library"
	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/numbers"
	"pullcard/sequence/verdict"
)

// work is a job on a built-in frame, which is invented.
func work(t testing.TB, frame, string string) numbers.Work {
	data, ok := library.Layout(frame)
	require.True(t, ok)
	f, _, err := patterns.ReadLayout("layout.toml", data)
	require.NoError(t, err)
	data, ok = library.Technique("two-piece-clamp")
	require.True(t, ok)
	s, _, err := sequence.ReadTechnique("sheet.toml", data)
	require.NoError(t, err)
	j, _, err := sequence.ReadJob("job.toml", []byte("frame = \"f\"\ntechnique = \"t\"\n[tension]\nmains = \"24 kg\"\ncrosses = \"23 kg\"\n"+string))
	require.NoError(t, err)
	p, err := j.Plan(f, s)
	require.NoError(t, err)
	return numbers.Work{Frame: f, Technique: s, Job: j, Plan: p}
}

const yarn = "[string.mains]\nmaterial = \"polyester\"\ndiameter = \"1.25 mm\"\n"

// The bed of a job is that of its plan, and at other tensions goes with them: small deflections, boosts in percent.
func TestBedOf(t *testing.T) {
	w := work(t, "club-sixteen", yarn)
	strung, err := w.Strung()
	require.NoError(t, err)
	b := verdict.BedOf(w)
	k, hz, err := b(w.Job.Mains, w.Job.Crosses)
	require.NoError(t, err)
	assert.InEpsilon(t, float64(strung.Figures.Stiffness), k, 1e-12)
	assert.InEpsilon(t, strung.Figures.Hz[0], hz, 1e-9)
	less, lower, err := b(w.Job.Mains.Percent(-10), w.Job.Crosses.Percent(-10))
	require.NoError(t, err)
	assert.InEpsilon(t, k*.9, less, 1e-6)
	assert.InEpsilon(t, hz*math.Sqrt(.9), lower, 1e-6)
	assert.Equal(t, "24 kg", w.Job.Mains.String(), "the job is left as it is")

	_, hz, err = verdict.BedOf(work(t, "club-sixteen", ""))(w.Job.Mains, w.Job.Crosses)
	require.NoError(t, err)
	assert.Zero(t, hz, "the string is not told")
}

// Without boosts the bed's own same feel must agree; boosts in percent change neither.
func TestSameFeelOnAnotherFrame(t *testing.T) {
	here, there := work(t, "club-sixteen", yarn), work(t, "dense-eighteen", yarn)
	k, _, err := verdict.BedOf(here)(here.Job.Mains, here.Job.Crosses)
	require.NoError(t, err)
	c := verdict.Change{From: setup(), To: setup(), Mains: here.Job.Mains, Crosses: here.Job.Crosses, Stiffness: k, Bed: verdict.BedOf(there)}
	c.To.Frame = "another"
	f, err := verdict.SameFeel(c)
	require.NoError(t, err)
	strung, err := here.Strung()
	require.NoError(t, err)
	want, err := bed.SameFeel(strung.Setup, there.Frame)
	require.NoError(t, err)
	t.Logf("%s and %s, %.2f N/mm for %.2f; without boosts %.3f kg", f.Mains, f.Crosses, f.Stiffness, k, measure.Newtons(want.ByNet.MainsN).In(measure.Kg))
	assert.InDelta(t, measure.Newtons(want.ByNet.MainsN).In(measure.Kg), f.Mains.Value(), .15)
	assert.InDelta(t, k, f.Stiffness, k*.05/20, "as near as a tenth of a kg allows")
	assert.Equal(t, measure.Kg, f.Mains.Unit())
	assert.Equal(t, `frame: "another" instead of "invented frame"`, texts(f.Lines, verdict.Reason))
	assert.Equal(t, "small deflections, no losses; the same stiffness at the middle of the bed", texts(f.Lines, verdict.Assumption))
}

// At small deflections a string's own hardness and gauge do not count; the tension stays exactly as it was ordered.
func TestSameFeelOfAnotherString(t *testing.T) {
	here, there := work(t, "club-sixteen", yarn), work(t, "club-sixteen", "[string.mains]\nmaterial = \"gut\"\ndiameter = \"1.35 mm\"\n")
	mains, crosses := tension(t, "53.25 lb"), tension(t, "52 lb")
	k, _, err := verdict.BedOf(here)(mains, crosses)
	require.NoError(t, err)
	c := verdict.Change{From: setup(), To: setup(), Mains: mains, Crosses: crosses, Stiffness: k, Bed: verdict.BedOf(there)}
	c.To.Mains = "another"
	f, err := verdict.SameFeel(c)
	require.NoError(t, err)
	assert.Equal(t, mains, f.Mains)
	assert.Equal(t, crosses, f.Crosses)
	assert.Contains(t, texts(f.Lines, verdict.Assumption), "how hard or thick it is itself does not count")
}

// A machine's offset stands apart.
func TestSameFeelOnAnotherMachine(t *testing.T) {
	c := verdict.Change{From: setup(), To: setup(), Mains: tension(t, "24 kg"), Crosses: tension(t, "23 kg"), Stiffness: 48, Bed: affine(2, 0)}
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
	assert.Contains(t, texts(f.Lines, verdict.Reason), "stands apart, -0.3 kg: set it to mains 23.7 kg, crosses 22.7 kg")
}

// affine is a bed with boosts of a fixed amount: stiffness slope × mains + boost.
func affine(slope, boost float64) verdict.Bed {
	return func(mains, _ measure.Tension) (float64, float64, error) { return slope*mains.Value() + boost, 0, nil }
}

// Whatever the bed that stiffens with tension, what is found makes the wanted stiffness within the rounding.
func TestSameFeelMeetsTheStiffness(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slope := rapid.Float64Range(.5, 3).Draw(t, "slope")
		boost := rapid.Float64Range(0, 5).Draw(t, "boost")
		bend := rapid.Float64Range(0, .03).Draw(t, "bend")
		bed := func(mains, _ measure.Tension) (float64, float64, error) {
			v := mains.Value()
			return slope*v + boost + bend*v*v, 0, nil
		}
		goal := measure.Newtons(rapid.Float64Range(150, 320).Draw(t, "goal")).To(measure.Kg)
		wanted, _, _ := bed(goal, goal)
		start := tension(t, "24 kg")
		f, err := verdict.SameFeel(verdict.Change{Mains: start, Crosses: tension(t, "23 kg"), Stiffness: wanted, Bed: bed})
		require.NoError(t, err)
		require.InDelta(t, goal.Value(), f.Mains.Value(), .05+1e-3)
		require.InDelta(t, goal.Value()*23/24, f.Crosses.Value(), .05+1e-3, "in the same ratio")
	})
}

func TestSameFeelFails(t *testing.T) {
	at := verdict.Change{Mains: tension(t, "24 kg"), Crosses: tension(t, "24 kg"), Stiffness: 30}
	for want, bed := range map[string]verdict.Bed{
		"no tension near 24 kg gives 30.0 N/mm": affine(0, 5), "no tension near 24 kg": affine(.01, 0),
		"no hoop": func(_, _ measure.Tension) (float64, float64, error) { return 0, 0, errors.New("no hoop") },
	} {
		at.Bed = bed
		_, err := verdict.SameFeel(at)
		assert.ErrorContains(t, err, want)
	}
	at.Stiffness = 0
	_, err := verdict.SameFeel(at)
	assert.ErrorContains(t, err, "above nought")
}

func BenchmarkBedOf(b *testing.B) {
	w := work(b, "club-sixteen", yarn)
	bed := verdict.BedOf(w)
	for b.Loop() {
		_, _, err := bed(w.Job.Mains, w.Job.Crosses)
		require.NoError(b, err)
	}
}
