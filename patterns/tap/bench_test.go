package tap

import (
	"bytes"
	"math/rand/v2"
	"testing"
)

// BenchmarkMinute reads a minute of 48 kHz stereo with a tap every second: synthetic.
func BenchmarkMinute(b *testing.B) {
	const rate, seconds = 48000, 60
	rng := rand.New(rand.NewPCG(1, 1))
	var channels [2][]float64
	for c := range channels {
		x := silence(rate, seconds)
		noise(x, 0.003, rng)
		for s := range seconds - 1 {
			plainBed(612.4, 0.08).ring(x, rate, float64(s)+0.5, 0.2, rng)
		}
		channels[c] = x
	}
	for _, s := range []style{{name: "16 bits", bits: 16}, {name: "float 32", bits: 32, float: true}} {
		file := store(s, rate, channels[0], channels[1])
		b.Run(s.name, func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(file)))
			for b.Loop() {
				r, err := Read(bytes.NewReader(file), Options{})
				if err != nil || r.Taps != seconds-1 {
					b.Fatal(r.Taps, err)
				}
			}
		})
	}
}
