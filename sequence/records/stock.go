package records

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// Shelf is a stock with what was cut from it.
type Shelf struct {
	Stock Stock
	Cuts  []StockChange
}

// StockChange is string that was cut, or what a stocktaking found.
type StockChange struct {
	UID string
	At  time.Time
	// MM is how long the piece was, or where it was Counted all that was left.
	MM      float64
	Counted bool
	Known   string // of which cuts and which stocktaking before it who counted knew
	// Use says that it was used up, which makes the pace; what a stocktaking found missing was not.
	Use bool
}

// Left is how much of the stock is left, in millimetres: of the reel, or of all sets together. It is below nought when
// more was cut than there was; then the stock wants counting.
func (s Shelf) Left() float64 {
	mm := s.Stock.Length.MM() * float64(s.sets())
	if last := s.counted(); last != nil {
		mm = last.MM
	}
	for _, c := range s.Uncounted() {
		mm -= c.MM
	}
	return mm
}

// counts are the stocktakings that no other knew of: one, or one of each bench that was alone.
func (s Shelf) counts() (list []StockChange) {
	known := s.known()
	for _, c := range s.Cuts {
		if c.Counted && !known[c.UID] {
			list = append(list, c)
		}
	}
	return list
}

// counted is the last stocktaking, nil where there was none: the last by the clock only among those that did not know of each other, for a
// clock may be set back.
func (s Shelf) counted() *StockChange {
	list := s.counts()
	if len(list) == 0 {
		return nil
	}
	return &list[len(list)-1]
}

// known are the cuts and stocktakings that a stocktaking knew of, by their UIDs.
func (s Shelf) known() map[string]bool {
	known := map[string]bool{}
	for _, c := range s.Cuts {
		for _, uid := range strings.Fields(c.Known) {
			known[uid] = true
		}
	}
	return known
}

// Known is what a stocktaking that is made now knows of and none before it did: cuts and stocktakings.
func (s Shelf) Known() string {
	var uids []string
	for _, c := range append(s.Uncounted(), s.counts()...) {
		uids = append(uids, c.UID)
	}
	return cmp.Or(strings.Join(uids, " "), nothingKnown)
}

// nothingKnown stands where a stocktaking knew of nothing before it.
const nothingKnown = "-"

// Uncounted are the cuts that no stocktaking knew of, wherever they stand among them: a bench that is alone does not know what another
// one cuts. One that does not say what it knew of is taken to have known what stands before it.
func (s Shelf) Uncounted() []StockChange {
	known := s.known()
	var list []StockChange
	for _, c := range s.Cuts {
		switch {
		case c.Counted && c.Known == "":
			list = nil
		case !c.Counted && !known[c.UID]:
			list = append(list, c)
		}
	}
	return list
}

func (s Shelf) sets() int {
	if s.Stock.Form != Sets {
		return 1
	}
	n := 0
	for _, r := range s.Stock.Sets {
		n = n*10 + int(r-'0')
	}
	return max(n, 1)
}

// Pieces are the lengths in which the stock lies there, in millimetres, the longest first: one of a reel, of sets the whole ones and
// what is left of those that were opened. Each cut came from the shortest piece in which it fits; one that fits nowhere from the
// longest ones. They add up to what is left, or to nothing where more was cut than there was.
func (s Shelf) Pieces() []float64 {
	set := s.Stock.Length.MM()
	pieces := slices.Repeat([]float64{set}, s.sets())
	if last := s.counted(); last != nil {
		pieces = []float64{last.MM}
		if s.Stock.Form == Sets && set > 0 {
			whole := int(math.Floor(last.MM/set + 1e-9))
			pieces = append(slices.Repeat([]float64{set}, whole), last.MM-float64(whole)*set)
		}
		pieces = slices.DeleteFunc(pieces, used)
	}
	for _, c := range s.Uncounted() {
		pieces = without(pieces, c.MM)
	}
	return pieces
}

// used says that there is nothing left of a piece: half a millimetre is no string.
func used(mm float64) bool { return mm < 0.5 }

// fitting is the place of the shortest piece in which a length fits, -1 for none; the pieces are the longest first.
func fitting(pieces []float64, mm float64) int {
	at := -1
	for i, p := range pieces {
		if mm <= p+0.5 {
			at = i
		}
	}
	return at
}

// without cuts a length from pieces.
func without(pieces []float64, mm float64) []float64 {
	pieces = slices.Clone(pieces)
	if at := fitting(pieces, mm); at >= 0 {
		pieces[at] -= mm
		mm = 0
	}
	for i := 0; i < len(pieces) && mm > 0; i++ {
		part := min(pieces[i], mm)
		pieces[i], mm = pieces[i]-part, mm-part
	}
	pieces = slices.DeleteFunc(pieces, used)
	slices.SortFunc(pieces, func(a, b float64) int { return cmp.Compare(b, a) })
	return pieces
}

// String says what is left, as "152.3 m left" of a reel, "7 sets left, 1 opened with 5.2 m" of sets.
func (s Shelf) String() string {
	metres := func(mm float64) string { return fmt.Sprintf("%.1f m", mm/1000) }
	if s.Stock.Form != Sets || s.Left() < 0 {
		return metres(s.Left()) + " left"
	}
	whole, opened := 0, []string{}
	for _, p := range s.Pieces() {
		if p >= s.Stock.Length.MM()-0.5 {
			whole++
			continue
		}
		opened = append(opened, metres(p))
	}
	text := fmt.Sprintf("%d sets left", whole)
	if whole == 1 {
		text = "1 set left"
	}
	if len(opened) > 0 {
		text += fmt.Sprintf(", %d opened with %s", len(opened), strings.Join(opened, ", "))
	}
	return text
}

// Need is what to know of a stock before so many millimetres are cut from it.
type Need struct {
	LeftMM, WantMM float64
	// Short says that there is too little for what is wanted, or that it lies in pieces that are too short.
	Short bool
}

// Before tells what is left before pieces of so many millimetres are cut.
func (s Shelf) Before(pieces ...float64) Need {
	n := Need{LeftMM: s.Left()}
	left := s.Pieces()
	pieces = slices.Clone(pieces)
	slices.SortFunc(pieces, func(a, b float64) int { return cmp.Compare(b, a) }) // the longest finds its place first
	for _, mm := range pieces {
		n.WantMM += mm
		if n.Short = n.Short || fitting(left, mm) < 0; !n.Short {
			left = without(left, mm)
		}
	}
	return n
}

// PaceWeeks is over how many weeks the pace of a stock is counted: this program's own choice. A season's change shows within
// two months, one busy week-end does not carry it.
const PaceWeeks = 8

// OrderWeeks is for how many weeks there should be string, so that an order can arrive: this program's own choice.
const OrderWeeks = 4

// LeastPaceWeeks is over how many weeks what was cut is spread at least, however young the book: its first week-end is no pace. This
// program's own choice.
const LeastPaceWeeks = 4

// Order is what to order of one string; lengths are in metres.
type Order struct {
	Name    string   `json:"string"`
	LeftM   float64  `json:"left_m"`
	WeeklyM float64  `json:"weekly_m"`             // cut a week, over the last Weeks weeks or since the first cut where that is less, Young at least
	Weeks   *float64 `json:"weeks_left,omitempty"` // nil when nothing is cut
	Pieces  int      `json:"order"`                // where it lasts less than Lead weeks: what is missing for Lead weeks after an order that takes Lead weeks
	Form    string   `json:"form"`                 // what was bought last, "reel" or "sets"
	PieceM  float64  `json:"piece_m"`
}

// Orders tells for each string of the stock how long it lasts at the pace of the last weeks and what to order. Several
// reels of one name count together. The strings that run out first come first.
func Orders(shelves []Shelf, now time.Time) []Order {
	byName := map[string][]Shelf{}
	for _, s := range shelves {
		key := Fold(s.Stock.Name) + "\x00" + string(s.Stock.Diameter)
		byName[key] = append(byName[key], s)
	}
	list := make([]Order, 0, len(byName))
	for _, same := range byName {
		list = append(list, order(same, now))
	}
	slices.SortFunc(list, func(a, b Order) int {
		return cmp.Or(cmp.Compare(a.lasts(), b.lasts()), cmp.Compare(a.Name, b.Name))
	})
	return list
}

func order(same []Shelf, now time.Time) Order {
	newest := same[len(same)-1].Stock
	from, first, cut, left := now.Add(-PaceWeeks*7*24*time.Hour), now, 0.0, 0.0
	for _, s := range same {
		left += s.Left()
		for _, c := range s.Cuts {
			if !c.Use {
				continue
			}
			if c.At.Before(first) {
				first = c.At
			}
			if c.At.After(from) && !c.At.After(now) {
				cut += c.MM
			}
		}
	}
	weekly, piece := cut/min(PaceWeeks, max(now.Sub(first).Hours()/24/7, LeastPaceWeeks)), newest.Length.MM()
	o := Order{Name: newest.Name, Form: newest.Form, LeftM: left / 1000, WeeklyM: weekly / 1000, PieceM: piece / 1000}
	if weekly > 0 {
		lasts := max(left, 0) / weekly
		o.Weeks = &lasts
		if need := weekly*2*OrderWeeks - max(left, 0); lasts < OrderWeeks && need > 0 && piece > 0 {
			o.Pieces = int(math.Ceil(need / piece))
		}
	}
	return o
}

// lasts is for how many weeks there is enough, +Inf when nothing is cut.
func (o Order) lasts() float64 {
	if o.Weeks == nil {
		return math.Inf(1)
	}
	return *o.Weeks
}
