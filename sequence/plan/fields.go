package plan

import (
	"encoding/json"
	"fmt"
	"reflect"
)

// MarshalJSON writes the fields of the op's kind and no others; lists are there even when they are empty, and
// after is null at the start of a piece.
func (o Op) MarshalJSON() ([]byte, error) {
	w := object{text: []byte("{")}
	w.all("op", o.Op)
	o.write(&w)
	return append(w.text, '}'), w.err
}

// write writes what each kind has beside its name; no other field of it means anything.
func (o *Op) write(w *object) {
	switch o.Op {
	case Mount, Dismount:
		w.all("support", o.Support)
	case Thread:
		o.writeLaid(w)
	case Weave:
		o.writeLaid(w)
		w.all("first", o.First, "meets", o.Meets)
	case Pull:
		w.all("strand", o.Strand, "hole", o.Hole, "newtons", o.Newtons, "tension", o.Tension, "boost_percent", o.BoostPercent, "repull", o.Repull)
		w.some("also", o.Also)
	case ClampOn:
		w.all("clamp", o.Clamp, "strand", o.Strand, "hole", o.Hole, "outside", o.Outside)
		w.some("with", o.With)
	case Unclamp:
		w.all("clamp", o.Clamp)
	case Release:
	case Tie:
		w.all("strand", o.Strand, "out", o.Out, "hole", o.Hole, "anchor", o.Anchor, "knot", o.Knot, "covers", o.Covers)
	case Trim:
		w.all("hole", o.Hole, "tail_mm", o.TailMM)
	case Straighten, Cut:
		w.all("strand", o.Strand)
	case Inspect: // strand is to be pressed or looked at, beside hole
		w.some("strand", o.Strand, "hole", o.Hole, "tight", o.Tight)
		w.all("text", o.Text)
	case Note:
		w.some("strand", o.Strand)
		w.all("text", o.Text)
	default:
		o.writeRecovery(w)
	}
}

func (o *Op) writeLaid(w *object) {
	var after *Strand
	if o.After != "" {
		after = &o.After
	}
	w.all("strand", o.Strand, "from", o.From, "to", o.To, "after", after, "piece", o.Piece, "blocked", o.Blocked, "covers", o.Covers)
}

// writeRecovery writes what the ops of a way back have.
func (o *Op) writeRecovery(w *object) {
	switch o.Op {
	case Fault: // what the mishap names, and in people's words
		w.all("fault", o.Fault)
		w.some("strand", o.Strand, "from", o.From, "hole", o.Hole, "clamp", o.Clamp, "with", o.With, "where", o.Where, "extent", o.Extent, "choose", o.Choose)
		w.all("text", o.Text)
	case WalkSlack:
		w.all("strands", o.Strands)
	case Waive: // a strand that stays in the wrong hole to, which becomes its own instead of from; the fault alone is excused, without one all are
		w.all("strand", o.Strand)
		w.some("from", o.From, "to", o.To, "fault", o.Fault)
		w.all("text", o.Text)
	case Slacken:
		w.all("strand", o.Strand, "hole", o.Hole)
	case Unthread, Unweave: // as it was laid
		w.all("strand", o.Strand, "from", o.From, "to", o.To)
	case Move:
		w.all("strand", o.Strand, "from", o.From, "to", o.To, "blocked", o.Blocked)
	case Untie:
		w.all("strand", o.Strand, "out", o.Out, "hole", o.Hole)
	default:
		w.err = fmt.Errorf("plan: no operation is called %q", o.Op)
	}
}

// object is JSON as it grows.
type object struct {
	text []byte
	err  error
}

// all writes keys, each with its value behind it.
func (w *object) all(pairs ...any) {
	for i := 0; i < len(pairs); i += 2 {
		value := pairs[i+1]
		if holes, is := value.([]Hole); is && holes == nil {
			value = []Hole{}
		}
		text, err := json.Marshal(value)
		if err != nil {
			w.err = err
			return
		}
		if len(w.text) > 1 {
			w.text = append(w.text, ',')
		}
		w.text = append(fmt.Appendf(w.text, "%q:", pairs[i]), text...)
	}
}

// some leaves out those that are empty.
func (w *object) some(pairs ...any) {
	for i := 0; i < len(pairs); i += 2 {
		if !reflect.ValueOf(pairs[i+1]).IsZero() {
			w.all(pairs[i : i+2]...)
		}
	}
}
