package tap

import (
	"math"
	"slices"
)

// meterRate is how often in a second a level is told.
const meterRate = 12

// silentDB is what a level of nothing is told as.
const silentDB = -120.0

// meter takes the level of what goes by, and asks for a new result only when there is a new tap.
type meter struct {
	every, count int
	peak         float64
	taps         int
	result       Result
}

// full takes a block in and says whether it is time to read the meter.
func (m *meter) full(block [][]float64, n int) bool {
	for _, channel := range block {
		for _, v := range channel[:n] {
			m.peak = max(m.peak, math.Abs(v))
		}
	}
	m.count += n
	return m.count >= m.every
}

func (m *meter) read(taps []Tap, result func([]Tap) Result) Live {
	if len(taps) != m.taps {
		m.taps = len(taps)
		m.result = result(slices.Clone(taps))
	}
	level := max(20*math.Log10(m.peak), silentDB)
	m.count, m.peak = 0, 0
	return Live{level, m.result}
}
