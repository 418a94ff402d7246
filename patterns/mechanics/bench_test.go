package mechanics_test

import (
	"fmt"
	"testing"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/grid/gridtest"
	"pullcard/patterns/mechanics"
)

func BenchmarkBed(b *testing.B) {
	s := sixteen()
	s.Frame = gridtest.Dense(tennis)
	g, n, err := s.Net()
	if err != nil {
		b.Fatal(err)
	}
	cord, _ := s.Mains.Cord(s.MainsN)
	b.Run("static solve", func(b *testing.B) { // strung, factorised and solved
		for b.Loop() {
			n, err := mechanics.New(g, func(patterns.Strand) mechanics.Cord { return cord })
			if err != nil {
				b.Fatal(err)
			}
			n.Centre()
		}
	})
	b.Run("five modes", func(b *testing.B) {
		for b.Loop() {
			modes(b, n, 5)
		}
	})
	b.Run("map", func(b *testing.B) {
		for b.Loop() {
			n.Map()
		}
	})
	b.Run("curve of ten loads", func(b *testing.B) {
		forces := []float64{50, 100, 150, 200, 250, 300, 350, 400, 450, 500}
		patch := n.Press(grid.Point{}, 30)
		for b.Loop() {
			if _, err := n.Curve(patch, mechanics.Free, forces); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("loaded", func(b *testing.B) {
		for b.Loop() {
			if _, err := n.Loaded(mechanics.BallOf(patterns.Tennis)); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("same feel", func(b *testing.B) {
		other := s
		other.Frame = gridtest.Sixteen(tennis)
		for b.Loop() {
			if _, err := mechanics.SameFeel(s, other, mechanics.BallOf(patterns.Tennis)); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("choices", func(b *testing.B) {
		for b.Loop() {
			if _, err := mechanics.Choices(s, mechanics.BallOf(patterns.Tennis)); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// How the cost grows with the crossings: the net is strung, solved once and its five lowest modes sought.
func BenchmarkGrowth(b *testing.B) {
	cord := mechanics.Cord{TensionN: 230, MassGPM: 1.7}
	for n := 10; n <= 60; n += 10 {
		b.Run(fmt.Sprintf("solve %dx%d", n, n), func(b *testing.B) {
			for b.Loop() {
				rect(b, n, n, 12, 12, cord, cord).Centre()
			}
		})
		b.Run(fmt.Sprintf("modes %dx%d", n, n), func(b *testing.B) {
			net := rect(b, n, n, 12, 12, cord, cord)
			for b.Loop() {
				modes(b, net, 5)
			}
		})
	}
}
