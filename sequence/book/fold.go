package book

import (
	"maps"
	"slices"
	"strings"
	"time"

	"pullcard/sequence/records"
)

// folded is what a record says by all its changes.
type folded struct {
	fields  records.Fields
	state   RecordState
	at      time.Time
	before  []Correction // the oldest first
	dispute []Dispute    // by their keys
}

// Dispute is a field to which several benches gave a value and none knew of the other. The last one counts until a person decides,
// which a correction of the field does.
type Dispute struct {
	Key  string          `json:"key"`
	Said []DisputedValue `json:"said"` // the one that counts last
}

// DisputedValue is one of several values of a field.
type DisputedValue struct {
	Value string    `json:"value"`
	At    time.Time `json:"at"`
}

// old says whether a change is of a book that had no log yet. Those count as made one after another.
func (c change) old() bool { return strings.HasSuffix(c.Stamp, " old") }

// fold brings the changes of a record into an order that depends on nothing but themselves, in which none comes before one that it
// was made over, and applies them. What is said last counts.
func fold(list []change) folded {
	list = ordered(list)
	f := folded{fields: records.Fields{}, state: Kept}
	gone := false
	for _, c := range list {
		state, isState := c.Fields[keyState]
		at, isAt := c.Fields[keyAt]
		if !isState && !isAt {
			f.before = append(f.before, Correction{At: c.At, Why: c.Why, Before: maps.Clone(f.fields)})
		}
		for key, text := range c.Fields {
			switch {
			case key == keyAt || key == keyState:
			case text == "":
				delete(f.fields, key)
			default:
				f.fields[key] = text
			}
		}
		if isState {
			f.state = RecordState(state)
			gone = gone || f.state == Forgotten
		}
		if isAt {
			f.at, _ = time.Parse(stampForm, at)
		}
	}
	if gone {
		return folded{fields: records.Fields{}, state: Forgotten, at: f.at}
	}
	f.dispute = disputes(list)
	return f
}

// ordered sorts changes by their stamps, but none before one that it was made over, as can be when a clock was far ahead.
func ordered(list []change) []change {
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b change) int { return strings.Compare(a.Stamp, b.Stamp) })
	left, placed := map[string]bool{}, make([]change, 0, len(list))
	for _, c := range list {
		left[c.Stamp] = true
	}
	for len(list) > 0 {
		i := slices.IndexFunc(list, func(c change) bool {
			return !slices.ContainsFunc(c.Over, func(s string) bool { return left[s] && s != c.Stamp })
		})
		i = max(i, 0) // a circle, which only somebody hostile writes
		delete(left, list[i].Stamp)
		placed, list = append(placed, list[i]), slices.Delete(list, i, i+1)
	}
	return placed
}

// heads are the stamps of the changes over which none was made.
func heads(list []change) []string {
	under, lastOld := map[string]bool{}, ""
	for _, c := range list {
		for _, s := range c.Over {
			under[s] = true
		}
		if c.old() {
			lastOld = max(lastOld, c.Stamp)
		}
	}
	out := []string{}
	for _, c := range list {
		if !under[c.Stamp] && (!c.old() || c.Stamp == lastOld) {
			out = append(out, c.Stamp)
		}
	}
	return out
}

// disputes lists the fields to which changes gave different values that were not made one over another. list is in order.
func disputes(list []change) (found []Dispute) {
	if !forked(list) {
		return nil
	}
	at := map[string]int{}
	below := make([][]bool, len(list)) // below[i][j]: i was made over j, or over one that was
	for i, c := range list {
		below[i] = make([]bool, i)
		for j := range i {
			if c.old() && list[j].old() {
				below[i][j] = true
			}
		}
		for _, s := range c.Over {
			if j, ok := at[s]; ok {
				below[i][j] = true
				for k, is := range below[j] {
					below[i][k] = below[i][k] || is
				}
			}
		}
		at[c.Stamp] = i
	}
	sets := map[string][]int{}
	for i, c := range list {
		for key := range c.Fields {
			if !strings.HasPrefix(key, "@") {
				sets[key] = append(sets[key], i)
			}
		}
	}
	for _, key := range slices.Sorted(maps.Keys(sets)) {
		if said := standing(list, sets[key], below, key); len(said) > 1 {
			found = append(found, Dispute{key, said})
		}
	}
	return found
}

// standing are the different values that changes gave a field and over which no other was given.
func standing(list []change, set []int, below [][]bool, key string) (said []DisputedValue) {
	for n, i := range set {
		if slices.ContainsFunc(set[n+1:], func(later int) bool { return below[later][i] }) {
			continue
		}
		value := list[i].Fields[key]
		said = slices.DeleteFunc(said, func(s DisputedValue) bool { return s.Value == value })
		said = append(said, DisputedValue{value, list[i].At})
	}
	return said
}

// forked says whether any two changes were not made one over another.
func forked(list []change) bool {
	for i, c := range list {
		if i > 0 && !(c.old() && list[i-1].old()) && !slices.Contains(c.Over, list[i-1].Stamp) {
			return true
		}
	}
	return false
}
