package theme

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type matrix [3][3]float64

// eyes are the usual colour blindnesses at full strength, as matrices on linear light. Machado, Oliveira and Fernandes,
// A physiologically-based model for simulation of color vision deficiency, IEEE Trans. Vis. Comput. Graph. 15 (2009),
// table of severity 1.0.
func eyes() map[string]matrix {
	return map[string]matrix{
		"usual":  {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
		"protan": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
		"deutan": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
		"tritan": {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
	}
}

func (m matrix) see(c [3]float64) (out [3]float64) {
	for i := range out {
		for j := range c {
			out[i] += m[i][j] * c[j]
		}
		out[i] = min(1, max(0, out[i]))
	}
	return out
}

// lab turns linear sRGB light into CIE L*a*b* with white D65 (CIE 15; the sRGB matrix is IEC 61966-2-1's).
func lab(c [3]float64) [3]float64 {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((.4124564*c[0] + .3575761*c[1] + .1804375*c[2]) / .95047)
	y := f(.2126729*c[0] + .7151522*c[1] + .0721750*c[2])
	z := f((.0193339*c[0] + .1191920*c[1] + .9503041*c[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// apart is the CIE 1976 difference of two colours as an eye sees them; about 2.3 is just noticed.
func apart(t *testing.T, eye matrix, a, b string) float64 {
	ca, err := linear(a)
	require.NoError(t, err)
	cb, err := linear(b)
	require.NoError(t, err)
	p, q := lab(eye.see(ca)), lab(eye.see(cb))
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

func TestLab(t *testing.T) {
	// sRGB's own white, black and red in CIE L*a*b* with D65; from memory.
	for hex, want := range map[string][3]float64{"#ffffff": {100, 0, 0}, "#000000": {0, 0, 0}, "#ff0000": {53.24, 80.09, 67.20}} {
		c, err := linear(hex)
		require.NoError(t, err)
		assert.InDeltaSlice(t, want[:], func() []float64 { g := lab(c); return g[:] }(), .03, hex)
	}
}

func TestEyesKeepWhite(t *testing.T) {
	for name, eye := range eyes() {
		w := eye.see([3]float64{1, 1, 1})
		assert.InDeltaSlice(t, []float64{1, 1, 1}, w[:], 1e-5, name)
	}
}

// TestColoursStayApart holds the colours that lie side by side and mean different things well apart for every eye:
// ten units are more than four times what is just noticed. Shapes tell them apart as well.
func TestColoursStayApart(t *testing.T) {
	pairs := [][2]Role{
		{Main, Cross}, {Main, Current}, {Cross, Current}, {Main, Hoop}, {Cross, Hoop}, {Current, Next}, {Main, Next}, {Cross, Next},
		{ClampA, ClampB}, {ClampA, ClampS}, {ClampB, ClampS}, {OK, Danger}, {Warn, Danger}, {OK, Warn},
		{Current, Slack}, {Main, Slack}, {Cross, Slack}, {Current, Deferred}, {Main, Deferred}, {Cross, Deferred},
		{Blocked, Free}, {Soon, Free}, {Blocked, Soon}, {Boost, Current}, {Text, Quiet}, {Text, Danger},
	}
	for _, name := range Names()[:4] {
		s, _ := sheetOf(name)
		for _, p := range pairs {
			for eyeName, eye := range eyes() {
				got := apart(t, eye, s.role[p[0]].hex, s.role[p[1]].hex)
				assert.GreaterOrEqual(t, got, 10.0, "%s: %s and %s for %s eyes", name, p[0], p[1], eyeName)
			}
		}
	}
}
