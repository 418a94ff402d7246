package tap

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// TestMeanTensionIsThatOfOneString turns the textbook's f = √(T/μ)/(2L) of a string round: a square bed that pulls
// alike both ways rings like one of its strings.
func TestMeanTensionIsThatOfOneString(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		newtons := rapid.Float64Range(20, 400).Draw(t, "newtons")
		grams := rapid.Float64Range(0.3, 3).Draw(t, "g/m")
		length := rapid.Float64Range(0.15, 0.3).Draw(t, "m")
		hz := math.Sqrt(newtons/(grams/1000)) / (2 * length)
		assert.InEpsilon(t, newtons, MeanTension(hz, length*length*1e4, grams), 1e-12)
	})
}

// TestMeanTensionOfATennisBed lands in what is published: strung beds ring at about 500–700 Hz (R. Cross, Measuring
// String Tension, 2006), and the tension in the bed is typically about 30 % below the pull (R. Cross and R. Bower,
// Measurements of string tension in a tennis racket, Sports Engineering, 2001). The bed is invented: 600 cm²,
// 1.7 g/m, pulled at 235 N.
func TestMeanTensionOfATennisBed(t *testing.T) {
	assert.Less(t, MeanTension(500, 600, 1.7), 0.7*235)
	assert.Greater(t, MeanTension(700, 600, 1.7), 0.7*235)
}

// TestMeanTensionOfAnEllipseComesOutLow holds what the comment says. The lowest mode of an elliptical membrane, b/a = ¾,
// has f·√A/c = 0.691597273, that of a square one √½; computed to high precision.
func TestMeanTensionOfAnEllipseComesOutLow(t *testing.T) {
	square, ellipse := math.Sqrt(0.5), 0.691597273
	assert.InDelta(t, -4.3, TensionChange(square, ellipse), 0.1)
	assert.InDelta(t, -2.2, (ellipse/square-1)*100, 0.1)
}

func TestTensionChange(t *testing.T) {
	assert.InDelta(t, -1.99, TensionChange(600, 594), 1e-9)
	assert.Zero(t, TensionChange(600, 600))
	was, is := MeanTension(600, 612, 1.6), MeanTension(570, 612, 1.6)
	assert.InDelta(t, (is/was-1)*100, TensionChange(600, 570), 1e-9)
}
