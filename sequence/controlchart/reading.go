package controlchart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"
)

// Reading is what one instrument said of one strung bed, with what is known of how it was strung.
type Reading struct {
	// Job is the number of the job in the book, Label what people call it; it may be empty.
	Job   int64
	Label string
	// Instrument is what read it: two that are called alike are one.
	Instrument string
	At         time.Time
	// Age is the time since the last pull; Aged is false where nobody knows.
	Age  time.Duration
	Aged bool
	// Played says that the bed had been played with.
	Played bool
	// Kept is the share of the ordered tension that the bed computes to have, without a unit: 0.87 is 13 % below.
	Kept float64
	// Racket tells rackets apart; empty is one that was strung once. The others are names, empty where they are not told.
	Racket, Machine, Frame, String, Material, Stringer string
}

// RepeatWithin is the time within which an instrument's readings of one bed are repeats of one another: in so short a time a
// bed at rest, minutes after its last pull, changes less than such readings spread. This program's own choice.
const RepeatWithin = 10 * time.Minute

// Stringing is what one instrument says of one bed at one age: the mean of N repeats, which spread by SD.
type Stringing struct {
	Reading
	N  int
	SD float64
}

// Stringings makes one value of the readings that repeat one another, the oldest first. Their mean stands at the mean of
// their times.
func Stringings(readings []Reading) []Stringing {
	list := slices.Clone(readings)
	slices.SortStableFunc(list, func(a, b Reading) int {
		return cmp.Or(cmp.Compare(a.Job, b.Job), cmp.Compare(a.Instrument, b.Instrument), a.At.Compare(b.At))
	})
	out := make([]Stringing, 0, len(list))
	for len(list) > 0 {
		first, n := list[0], 1
		for n < len(list) && list[n].Job == first.Job && list[n].Instrument == first.Instrument && list[n].Played == first.Played &&
			list[n].At.Sub(first.At) <= RepeatWithin {
			n++
		}
		out, list = append(out, together(list[:n])), list[n:]
	}
	slices.SortStableFunc(out, func(a, b Stringing) int { return a.At.Compare(b.At) })
	return out
}

func together(list []Reading) Stringing {
	s := Stringing{Reading: list[0], N: len(list)}
	kept, later := make([]float64, len(list)), time.Duration(0)
	for i, r := range list {
		kept[i] = r.Kept
		later += r.At.Sub(list[0].At) / time.Duration(len(list))
	}
	s.Kept, s.SD = Summarise(kept)
	s.At, s.Age = s.At.Add(later), s.Age+later
	return s
}

// Instruments are the instruments of some stringings, the one that read the most jobs first.
func Instruments(list []Stringing) []string {
	jobs := map[string]map[int64]bool{}
	for _, s := range list {
		if jobs[s.Instrument] == nil {
			jobs[s.Instrument] = map[int64]bool{}
		}
		jobs[s.Instrument][s.Job] = true
	}
	var out []string
	for name := range jobs {
		out = append(out, name)
	}
	slices.SortFunc(out, func(a, b string) int { return cmp.Or(len(jobs[b])-len(jobs[a]), cmp.Compare(a, b)) })
	return out
}

// OneInstrument keeps, of each job, the first value of one instrument from before the bed was played with: what charts and
// comparisons are made of.
func OneInstrument(list []Stringing, instrument string) []Stringing {
	seen, out := make(map[int64]bool, len(list)), make([]Stringing, 0, len(list))
	for _, s := range list {
		if s.Instrument == instrument && !s.Played && !seen[s.Job] {
			seen[s.Job] = true
			out = append(out, s)
		}
	}
	return out
}

// Points are the stringings of a chart, each brought to the reference age by what decay its material has.
func Points(list []Stringing, decay func(material string) Decay) []Point {
	out := make([]Point, len(list))
	for i, s := range list {
		out[i] = Point{Job: s.Job, Label: s.Label, At: s.At, Value: decay(s.Material).AtReference(s), N: s.N, SD: s.SD,
			Machine: s.Machine, String: s.String, Stringer: s.Stringer}
	}
	return out
}

// finite refuses what is no share of a tension.
func finite(list []Stringing) error {
	for _, s := range list {
		if !(s.Kept > 0) || math.IsInf(s.Kept, 0) {
			return fmt.Errorf("the reading of job %d is no share of a tension", s.Job)
		}
	}
	return nil
}
