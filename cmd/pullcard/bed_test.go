package main

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
)

type bedOf struct {
	Grid struct {
		MainPitch  float64 `json:"main_pitch_mm"`
		CrossPitch float64 `json:"cross_pitch_mm"`
		Area       float64 `json:"area_cm2"`
	}
	NPerMM   float64   `json:"stiffness_n_per_mm"`
	KgfPerCm float64   `json:"stiffness_kgf_per_cm"`
	LbfPerIn float64   `json:"stiffness_lbf_per_in"`
	Hz       []float64 `json:"frequencies_hz"`
	Tensions []struct {
		What, Ordered string
		Set           string `json:"machine_set_to"`
		Gauge         string `json:"gauge_should_read"`
	}
	Choices []struct{ What, Why string }
	Map     []struct {
		NPerMM float64 `json:"n_per_mm"`
	}
	Loads   struct{ PeakSideNewtons float64 }
	Doubts  []string
	Assumed struct {
		Loss        float64   `json:"loss_percent"`
		NPerMM      float64   `json:"stiffness_n_per_mm"`
		Hz          []float64 `json:"frequencies_hz"`
		String      string
		WithoutLoss []float64 `json:"without_loss_hz"`
		Loaded      struct {
			NPerMM float64 `json:"n_per_mm"`
			Locked float64 `json:"locked_n_per_mm"`
		}
		LoadedWithLoss struct {
			NPerMM float64 `json:"n_per_mm"`
		} `json:"loaded_with_loss"`
		SameFeel *struct {
			ByNet struct {
				MainsN float64 `json:"mains_n"`
			} `json:"by_net"`
			PlusMinus struct {
				MainsN float64 `json:"mains_n"`
			} `json:"plus_minus"`
			Wanted float64 `json:"wanted_n_per_mm"`
		} `json:"same_feel"`
		Curve []struct {
			Force      float64 `json:"force_n"`
			Deflection float64 `json:"deflection_mm"`
		}
	}
}

const yarn = "[string.mains]\nmaterial = \"polyester\"\ndiameter = \"1.25 mm\"\n"

func bedJob(t testing.TB, frame, tension, more string) string {
	return files(t, "job.toml", "frame = \""+frame+"\"\ntechnique = \"two-piece-clamp\"\n[tension]\nmains = \""+tension+"\"\n"+more)
}

// Sources: an evenly strung 16 × 19 bed of 330 × 250 mm has about 12.5 mm between mains and 14.6 mm between crosses,
// common practice; the area of an ellipse is πab; 292 crossings, counted; strung tennis beds ring at about 500 to 700 Hz,
// f ≈ √(T/(4mL)) with L = √area, Cross (2006), after a loss of about 30 %, Cross & Bower (2001); about 20 to 45 N/mm in
// the middle, from memory; lbf/in and kgf/mm by NIST SP 811.
func TestBed(t *testing.T) {
	job := bedJob(t, "club-sixteen", "24 kg", yarn)
	b := decode[bedOf](t, said(t, "bed", "--json", job))
	assert.InDelta(t, 12.5, b.Grid.MainPitch, 0.1)
	assert.InDelta(t, 14.6, b.Grid.CrossPitch, 0.1)
	assert.InDelta(t, math.Pi*16.5*12.5, b.Grid.Area, 1e-9)
	assert.Len(t, b.Map, 292)
	assert.True(t, b.NPerMM > 20 && b.NPerMM < 45, "%g N/mm", b.NPerMM)
	assert.InEpsilon(t, b.NPerMM/.175126835246476, b.LbfPerIn, 1e-12)
	assert.InEpsilon(t, b.NPerMM*10/9.80665, b.KgfPerCm, 1e-12)
	require.Len(t, b.Hz, 5)
	assert.IsIncreasing(t, b.Hz)

	a := b.Assumed
	assert.Equal(t, 30.0, a.Loss)
	assert.InEpsilon(t, b.NPerMM*.7, a.NPerMM, 1e-12)
	assert.True(t, a.Hz[0] > 500 && a.Hz[0] < 700, "%g Hz", a.Hz[0])
	assert.True(t, a.LoadedWithLoss.NPerMM > 20 && a.LoadedWithLoss.NPerMM < 45, "%g N/mm", a.LoadedWithLoss.NPerMM)
	assert.Greater(t, a.Loaded.Locked, a.Loaded.NPerMM)
	assert.Greater(t, a.Loaded.NPerMM, a.LoadedWithLoss.NPerMM)
	length := math.Sqrt(b.Grid.Area) / 100
	mass := 1380 * math.Pi / 4 * 1.25e-3 * 1.25e-3
	assert.InEpsilon(t, math.Sqrt(24*9.80665*.7/(4*mass*length*length)), a.Hz[0], 0.06)
	assert.Empty(t, a.String)
	assert.Greater(t, a.Curve[2].Force/a.Curve[2].Deflection, a.Curve[0].Force/a.Curve[0].Deflection, "it stiffens")

	text := said(t, "bed", job)
	for _, want := range []string{"ordered", "machine set to", "gauge should read", "BED at the ordered tensions without losses", "tension + 1 kg",
		"gauge + 0.05 mm", "pattern 18 × 20", "hoop 5 % larger", "\nASSUMED\n", "Cross & Bower"} {
		assert.Contains(t, text, want)
	}
	assert.Less(t, strings.Index(text, "rings at"), strings.Index(text, "ASSUMED"))
}

// Small deflections: stiffness goes as the tension, frequencies as its root. The boosts are a tenth of either.
func TestBedGoesWithTension(t *testing.T) {
	sweep.Only(t)
	low := decode[bedOf](t, said(t, "bed", "--json", bedJob(t, "club-sixteen", "100 N", yarn)))
	high := decode[bedOf](t, said(t, "bed", "--json", bedJob(t, "club-sixteen", "200 N", yarn)))
	assert.InEpsilon(t, 2*low.NPerMM, high.NPerMM, 1e-9)
	for i := range low.Hz {
		assert.InEpsilon(t, math.Sqrt2*low.Hz[i], high.Hz[i], 1e-6)
	}
	kept := decode[bedOf](t, said(t, "bed", "--json", "--loss", "50", bedJob(t, "club-sixteen", "200 N", yarn)))
	assert.InEpsilon(t, low.NPerMM, kept.Assumed.NPerMM, 1e-9, "half is lost")
	assert.InEpsilon(t, low.Hz[0], kept.Assumed.Hz[0], 1e-6)
	heavy := decode[bedOf](t, said(t, "bed", "--json", bedJob(t, "club-sixteen", "100 N", "[string.mains]\nmass = \"4 g/m\"\n")))
	light := decode[bedOf](t, said(t, "bed", "--json", bedJob(t, "club-sixteen", "100 N", "[string.mains]\nmass = \"1 g/m\"\n")))
	assert.InEpsilon(t, 2*heavy.Hz[0], light.Hz[0], 1e-6)
	assert.InEpsilon(t, heavy.NPerMM, light.NPerMM, 1e-12)
}

// Without its string a job has no frequencies but on an assumption, which stands apart.
func TestBedWithoutString(t *testing.T) {
	sweep.Only(t)
	job := bedJob(t, "club-sixteen", "24 kg", "")
	b := decode[bedOf](t, said(t, "bed", "--json", job))
	known := decode[bedOf](t, said(t, "bed", "--json", bedJob(t, "club-sixteen", "24 kg", yarn)))
	assert.NotNil(t, b.Hz)
	assert.Empty(t, b.Hz)
	assert.Equal(t, "mains polyester of 1.25 mm, crosses polyester of 1.25 mm", b.Assumed.String)
	assert.Equal(t, known.Hz, b.Assumed.WithoutLoss)
	assert.Equal(t, known.NPerMM, b.NPerMM)
	text := said(t, "bed", job)
	assert.Contains(t, text, "rings at   see below")
	assert.Contains(t, text, "string: mains polyester of 1.25 mm")
}

// What was ordered, what is set, what the gauge should read: three numbers, nothing corrected but on demand.
func TestBedTensions(t *testing.T) {
	sweep.Only(t)
	const gauge = "crosses = \"50 lb\"\n[machine]\nname = \"bench 2\"\ngauge = { set = \"24 kg\", read = \"23.4 kg\" }\n"
	b := decode[bedOf](t, said(t, "bed", "--json", bedJob(t, "club-sixteen", "24 kg", gauge)))
	require.Len(t, b.Tensions, 4)
	m := b.Tensions[0]
	assert.Equal(t, [3]string{"24 kg", "24 kg", "23.4 kg"}, [3]string{m.Ordered, m.Set, m.Gauge})
	assert.Equal(t, "50 lb", b.Tensions[1].Ordered)
	assert.Equal(t, "26.4 kg", b.Tensions[2].Ordered)
	assert.Contains(t, strings.Join(b.Doubts, "\n"), "bench 2 read 23.4 kg")
	b = decode[bedOf](t, said(t, "bed", "--json", bedJob(t, "club-sixteen", "24 kg", gauge+"corrected = true\n")))
	assert.Equal(t, "24.6 kg", b.Tensions[0].Set)
	assert.Equal(t, "24 kg", b.Tensions[0].Gauge)
}

// On the frame itself the same feel is the same tension; on a denser one it is less.
func TestBedSameFeel(t *testing.T) {
	sweep.Only(t)
	job := bedJob(t, "club-sixteen", "24 kg", yarn)
	same := decode[bedOf](t, said(t, "bed", "--json", "--same-feel", "club-sixteen", job)).Assumed.SameFeel
	assert.InEpsilon(t, 24*9.80665, same.ByNet.MainsN, 1e-9)
	dense := decode[bedOf](t, said(t, "bed", "--json", "--same-feel", "dense-eighteen", job)).Assumed.SameFeel
	assert.Less(t, dense.ByNet.MainsN, same.ByNet.MainsN*.97)
	assert.Contains(t, said(t, "bed", "--same-feel", "dense-eighteen", job), "SAME FEEL in dense-eighteen")
}

// What is no loss in percent is refused at the flag, and nothing is printed.
func TestBedLossIsANumber(t *testing.T) {
	job := bedJob(t, "club-sixteen", "24 kg", yarn)
	for _, loss := range []string{"nan", "NaN", "inf", "-inf", "-1", "100", "1e400", "30%", ""} {
		var out, wrong bytes.Buffer
		assert.Equal(t, exitUse, run([]string{"bed", "--loss", loss, job}, nil, &out, &wrong), "%q", loss)
		assert.Contains(t, wrong.String(), "loss", "%q", loss)
		assert.Empty(t, out.String())
	}
}

func TestBedSVG(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bed.svg")
	said(t, "bed", "--svg", path, bedJob(t, "club-sixteen", "24 kg", yarn))
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, 16+19, bytes.Count(data, []byte("<polyline ")))
	assert.Equal(t, 292, bytes.Count(data, []byte("<circle ")))
	assert.True(t, bytes.HasPrefix(data, []byte("<svg ")))

	var out, wrong bytes.Buffer
	assert.Equal(t, exitInput, run([]string{"bed", "--svg", filepath.Join(path, "x"), bedJob(t, "club-sixteen", "24 kg", yarn)}, nil, &out, &wrong))
	assert.Contains(t, wrong.String(), "name a file that can be written")
	assert.Empty(t, out.String())
}

// Every built-in layout has a bed.
func TestBedLibrary(t *testing.T) {
	sweep.Only(t)
	for i, name := range library.Layouts() {
		if !sweep.Take(i, 3) {
			continue
		}
		f, err := disk.Files().Layout(name)
		require.NoError(t, err)
		tension := map[string]string{"tennis": "24 kg", "badminton": "11 kg", "squash": "12 kg", "racquetball": "14 kg"}[string(f.Sport)]
		b := decode[bedOf](t, said(t, "bed", "--json", bedJob(t, name, tension, "")))
		assert.Empty(t, b.Doubts, name)
		for _, c := range b.Choices {
			if !strings.HasPrefix(c.What, "pattern") {
				assert.Empty(t, c.Why, "%s: %s", name, c.What)
			}
		}
		t.Logf("%-20s %4.0f cm² %5.1f and %5.1f mm, %5.1f N/mm, %4.0f Hz", name, b.Grid.Area, b.Grid.MainPitch, b.Grid.CrossPitch, b.NPerMM, b.Assumed.WithoutLoss[0])
	}
}

// The whole process, from start to the last word, of an 18 × 20 bed.
func BenchmarkBedProcess(b *testing.B) {
	bin := build(b)
	job := bedJob(b, "dense-eighteen", "24 kg", yarn)
	for _, args := range [][]string{{"bed", job}, {"bed", "--json", job}} {
		b.Run(strings.Join(args[:len(args)-1], " "), func(b *testing.B) {
			for b.Loop() {
				out, err := exec.Command(bin, args...).CombinedOutput()
				require.NoError(b, err, "%s", out)
			}
		})
	}
}
