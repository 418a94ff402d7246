package main

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// smallCuts are what the mains and the crosses of smallFrame take in mm, by two-piece-skip and the usual allowances: reckoned from what the
// layout says, with nothing of the program's. The hoop is an ellipse; strings lie evenly, mains and crosses each at their own distance, and these
// so that the holes' gaps round the rim are as even as can be (most entropy). Outside, a string goes along the rim, by the wall's 12 mm farther out.
func smallCuts() (mains, crosses float64) {
	const a, b, wall, reach, weaving, tape = 125.0, 165.0, 12.0, 400.0, 100.0, 5.0
	along := func(φ float64) (mm float64) { // of the rim, from the head to the point (a sin φ, b cos φ)
		const n = 400
		for i := range n {
			mm += math.Hypot(a*math.Cos(φ*(float64(i)+.5)/n), b*math.Sin(φ*(float64(i)+.5)/n)) * φ / n
		}
		return mm
	}
	outside := func(φ float64) float64 { return along(φ) + wall*math.Atan2(math.Sin(φ)/a, math.Cos(φ)/b) }
	holes := func(main, cross float64) (φ []float64) { // from the head down a side: three mains' heads, the crosses, the mains' throats
		for k := range 3 {
			φ = append(φ, math.Asin((float64(k)+.5)*main/a))
		}
		for j := range 5 {
			φ = append(φ, math.Acos(float64(2-j)*cross/b))
		}
		return append(φ, math.Pi-φ[2], math.Pi-φ[1], math.Pi-φ[0])
	}
	evenness := func(main, cross float64) (sum float64) {
		φ := holes(main, cross)
		last := -φ[0]
		for _, next := range append(φ, 2*math.Pi-φ[len(φ)-1]) {
			gap := (along(next) - along(last)) / along(math.Pi)
			if !(gap > 0) {
				return math.Inf(-1) // not the layout's order, or beyond the hoop
			}
			share := 1.0
			if last < 0 || next > math.Pi { // a gap of both sides
				share = 0.5
			}
			sum, last = sum-share*gap*math.Log(gap), next
		}
		return sum
	}
	main, cross := 30.0, 30.0
	for step := 4.0; step > 1e-4; {
		was := evenness(main, cross)
		for _, to := range [][2]float64{{main + step, cross}, {main - step, cross}, {main, cross + step}, {main, cross - step}} {
			if evenness(to[0], to[1]) > evenness(main, cross) {
				main, cross = to[0], to[1]
			}
		}
		if evenness(main, cross) == was {
			step /= 2
		}
	}
	φ := holes(main, cross)
	mains, crosses = 12*wall+2*reach+2*outside(φ[0]), 10*wall+2*reach+weaving // both ends reach the gripper; the centre loop
	for k, at := range φ[:3] {
		mains += 2 * 2 * b * math.Cos(at)
		if k > 0 {
			mains += 2 * (outside(at) - outside(φ[k-1]))
		}
	}
	for j, at := range φ[3:8] {
		crosses += 2 * a * math.Sin(at)
		if j > 0 {
			crosses += outside(at) - outside(φ[2+j])
		}
	}
	return tape * math.Ceil(mains/tape), tape * math.Ceil(crosses/tape)
}

func TestCutsReckonedByHand(t *testing.T) {
	frame := files(t, "small.toml", smallFrame)
	job := files(t, "job.toml", fmt.Sprintf("frame = %q\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\ncrosses = \"23 kg\"\n", frame))
	mains, crosses := smallCuts()
	for i, p := range decode[lengthsOf](t, said(t, "cut", "--json", job)).Pieces {
		assert.Equal(t, []float64{mains, crosses}[i], p.CutMM, p.Name)
	}
}
