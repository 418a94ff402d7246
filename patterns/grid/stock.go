package grid

import (
	"fmt"

	"pullcard/patterns"
)

// Stock is string to cut from: a set or a reel.
type Stock struct {
	Name string  `json:"what"`
	MM   float64 `json:"mm"` // what is left on it
}

// The usual set and reel in mm. Common practice of the trade; both vary.
const (
	UsualSetMM  = 12_000
	UsualReelMM = 200_000
)

// UsualSet is the set that a sport's string is usually sold in. Common practice of the trade; it varies.
func UsualSet(sport patterns.Sport) Stock {
	mm := float64(UsualSetMM)
	if sport == patterns.Badminton || sport == patterns.Squash {
		mm = 10_000
	}
	return Stock{fmt.Sprintf("a set of %g m", mm/1000), mm}
}

// Half is half a set, as when two players' hybrids share one.
func (s Stock) Half() Stock { return Stock{"half of " + s.Name, s.MM / 2} }

// ShortError says that string is missing, before anything is cut.
type ShortError struct {
	Stock  Stock
	NeedMM float64
}

// MissingMM is how much is missing.
func (e *ShortError) MissingMM() float64 { return e.NeedMM - e.Stock.MM }

// Error names the missing length.
func (e *ShortError) Error() string {
	return fmt.Sprintf("%s holds %.0f mm, the pieces take %.0f mm: %.0f mm (%s) are missing; take a longer one",
		e.Stock.Name, e.Stock.MM, e.NeedMM, RoundUp(e.MissingMM(), 1), FeetInches(e.MissingMM()))
}

// Take is what is left of a stock after the pieces are cut, or a ShortError.
func (s Stock) Take(pieces ...Piece) (left Stock, err error) {
	need := 0.0
	for _, p := range pieces {
		need += p.CutMM
	}
	if need > s.MM+hair {
		return s, &ShortError{s, need}
	}
	return Stock{s.Name, s.MM - need}, nil
}

// Band is a usual range of lengths in mm.
type Band struct{ Min, Max float64 }

// UsualBand is the usual length of the mains', the crosses' or the whole string; ok is false where none is known.
// Common practice of the trade; it varies.
func UsualBand(sport patterns.Sport, piece string) (b Band, ok bool) {
	b, ok = map[patterns.Sport]map[string]Band{
		patterns.Tennis:      {"mains": {5800, 6400}, "crosses": {5200, 5800}, "whole": {11_000, 12_000}},
		patterns.Badminton:   {"mains": {5000, 5500}, "crosses": {4500, 4800}, "whole": {9000, 10_000}},
		patterns.Squash:      {"whole": {9000, 10_000}},
		patterns.Racquetball: {"whole": {11_000, 12_000}},
	}[sport][piece]
	return b, ok
}

// Doubt is how far outside the usual band, as a share of its nearer end, a length may lie before it is doubted: frames
// and benches differ. This program's own choice.
const Doubt = 0.15

// Implausible says that a piece lies far outside the usual band of its sport, "" when it does not. It is a doubt, not
// an error.
func (p Piece) Implausible(sport patterns.Sport) string {
	b, ok := UsualBand(sport, p.Name)
	if !ok || p.CutMM >= b.Min*(1-Doubt) && p.CutMM <= b.Max*(1+Doubt) {
		return ""
	}
	return fmt.Sprintf("%s of %.0f mm are far from what is common for %s, %.0f to %.0f mm; measure the hoop again", p.Name, p.CutMM, sport, b.Min, b.Max)
}
