package sequence_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/shop"
)

// BenchmarkWaysBack makes and proves ways back of a racket of 18 × 20 as a stringer gets them, one of every 17 of all that can go wrong
// after each of its steps, and gives the milliseconds that the middle one, 95 and 99 of a hundred and the longest take, each in its
// quickest of all rounds: what else the computer does comes and goes.
func BenchmarkWaysBack(b *testing.B) {
	p := build(b, "dense-eighteen", "two-piece-knot")
	var took []float64
	for b.Loop() {
		n, ways := 0, 0
		for done := range p.Steps {
			for _, trouble := range troubles(p.After(done)) {
				if n++; n%17 != 0 {
					continue
				}
				began := time.Now()
				if _, err := shop.Mend(p, done, trouble); err != nil {
					continue
				}
				ms := time.Since(began).Seconds() * 1e3
				if ways++; ways > len(took) {
					took = append(took, ms)
				}
				took[ways-1] = min(took[ways-1], ms)
			}
		}
	}
	require.NotEmpty(b, took)
	slices.Sort(took)
	for name, share := range map[string]int{"p50-ms": 50, "p95-ms": 95, "p99-ms": 99, "most-ms": 100} {
		b.ReportMetric(took[min(len(took)*share/100, len(took)-1)], name)
	}
	b.ReportMetric(float64(len(took)), "ways")
}
