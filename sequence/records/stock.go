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

// Order is what to order of one string.
type Order struct {
	Name        string
	LeftMM      float64
	WeeklyMM    float64 // cut a week, over the last Weeks weeks or since the first cut where that is less
	WeeksLeft   float64 // +Inf when nothing is cut
	OrderMM     float64 // what is missing for Lead weeks after an order that arrives in Lead weeks, nought for enough
	Pieces      int     // how many of the last bought form that is
	Form        string  // "reel" or "sets"
	PieceMM     float64
	FirstCutAgo time.Duration
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
		return cmp.Or(cmp.Compare(a.WeeksLeft, b.WeeksLeft), cmp.Compare(a.Name, b.Name))
	})
	return list
}

func order(same []Shelf, now time.Time) Order {
	newest := same[len(same)-1].Stock
	o := Order{Name: newest.Name, Form: newest.Form, PieceMM: newest.Length.MM()}
	from, first, cut := now.Add(-Weeks*7*24*time.Hour), now, 0.0
	for _, s := range same {
		o.LeftMM += s.Left()
		for _, c := range s.Cuts {
			if c.At.Before(first) {
				first = c.At
			}
			if c.At.After(from) && !c.At.After(now) {
				cut += c.MM
			}
		}
	}
	o.FirstCutAgo = now.Sub(first)
	weeks := min(Weeks, max(o.FirstCutAgo.Hours()/24/7, 1))
	o.WeeklyMM = cut / weeks
	o.WeeksLeft = math.Inf(1)
	if o.WeeklyMM > 0 {
		o.WeeksLeft = max(o.LeftMM, 0) / o.WeeklyMM
	}
	if need := o.WeeklyMM*2*Lead - max(o.LeftMM, 0); o.WeeksLeft < Lead && need > 0 && o.PieceMM > 0 {
		o.Pieces = int(math.Ceil(need / o.PieceMM))
		o.OrderMM = float64(o.Pieces) * o.PieceMM
	}
	return o
}
