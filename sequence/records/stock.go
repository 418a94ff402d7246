package records

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Shelf is a stock with what was cut from it.
type Shelf struct {
	Stock Stock
	Cuts  []Taken
}

// Taken is string that was cut.
type Taken struct {
	At time.Time
	MM float64
}

// Left is how much of the stock is left, in millimetres: of the reel, or of all sets together. It is below nought when
// more was cut than there was; then the stock wants counting.
func (s Shelf) Left() float64 {
	mm := s.Stock.Length.MM() * float64(s.sets())
	for _, c := range s.Cuts {
		mm -= c.MM
	}
	return mm
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

// Need is what to know of a stock before so many millimetres are cut from it.
type Need struct {
	LeftMM, WantMM float64
	// Short says that there is too little for what is wanted.
	Short bool
	// OffcutMM is what of an opened set stays too short for anything; nought for a reel.
	OffcutMM float64
}

// Before tells what is left before pieces of so many millimetres are cut.
func (s Shelf) Before(pieces ...float64) Need {
	n := Need{LeftMM: s.Left()}
	for _, mm := range pieces {
		n.WantMM += mm
	}
	n.Short = n.WantMM > n.LeftMM+0.5 // half a millimetre is no string
	if s.Stock.Form == Sets && !n.Short {
		set := s.Stock.Length.MM()
		n.Short = n.WantMM > set+0.5 && len(pieces) == 1 // one piece cannot come from two sets
		if n.WantMM <= set {
			n.OffcutMM = set - n.WantMM
		}
	}
	return n
}

// Weeks is over how many weeks the pace of a stock is counted: this program's own choice. A season's change shows within
// two months, one busy week-end does not carry it.
const Weeks = 8

// Lead is for how many weeks there should be string, so that an order can arrive: this program's own choice.
const Lead = 4

// Order is what to order of one string; lengths are in metres.
type Order struct {
	Name    string   `json:"string"`
	LeftM   float64  `json:"left_m"`
	WeeklyM float64  `json:"weekly_m"`             // cut a week, over the last Weeks weeks or since the first cut where that is less
	Weeks   *float64 `json:"weeks_left,omitempty"` // nil when nothing is cut
	Pieces  int      `json:"order"`                // for Lead weeks after an order that arrives in Lead weeks, nought for enough
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
	from, first, cut, left := now.Add(-Weeks*7*24*time.Hour), now, 0.0, 0.0
	for _, s := range same {
		left += s.Left()
		for _, c := range s.Cuts {
			if c.At.Before(first) {
				first = c.At
			}
			if c.At.After(from) && !c.At.After(now) {
				cut += c.MM
			}
		}
	}
	weekly, piece := cut/min(Weeks, max(now.Sub(first).Hours()/24/7, 1)), newest.Length.MM()
	o := Order{Name: newest.Name, Form: newest.Form, LeftM: left / 1000, WeeklyM: weekly / 1000, PieceM: piece / 1000}
	if weekly > 0 {
		lasts := max(left, 0) / weekly
		o.Weeks = &lasts
		if need := weekly*2*Lead - max(left, 0); lasts < Lead && need > 0 && piece > 0 {
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
