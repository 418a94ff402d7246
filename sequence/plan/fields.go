package plan

import (
	"encoding/json"
	"fmt"
)

// MarshalJSON writes the fields of the op's kind and no others; lists are there even when they are empty, and
// after is null at the start of a piece.
func (o Op) MarshalJSON() ([]byte, error) {
	fields, err := o.fields()
	if err != nil {
		return nil, err
	}
	return json.Marshal(fields)
}

type laid struct {
	Op      OpKind  `json:"op"`
	Strand  Strand  `json:"strand"`
	From    Hole    `json:"from"`
	To      Hole    `json:"to"`
	After   *Strand `json:"after"`
	Piece   Piece   `json:"piece"`
	Blocked []Hole  `json:"blocked"`
	Covers  []Hole  `json:"covers"`
}

func (o *Op) laid() laid {
	l := laid{o.Op, o.Strand, o.From, o.To, nil, o.Piece, list(o.Blocked), list(o.Covers)}
	if o.After != "" {
		l.After = &o.After
	}
	return l
}

func list(h []Hole) []Hole {
	if h == nil {
		return []Hole{}
	}
	return h
}

func (o *Op) fields() (any, error) {
	switch o.Op {
	case Mount, Dismount:
		return struct {
			Op      OpKind `json:"op"`
			Support string `json:"support"`
		}{o.Op, o.Support}, nil
	case Thread:
		return o.laid(), nil
	case Weave:
		return struct {
			laid
			First Face `json:"first"`
			Meets int  `json:"meets"`
		}{o.laid(), o.First, o.Meets}, nil
	case Pull:
		return struct {
			Op           OpKind  `json:"op"`
			Strand       Strand  `json:"strand"`
			Hole         Hole    `json:"hole"`
			Newtons      float64 `json:"newtons"`
			Tension      string  `json:"tension"`
			BoostPercent float64 `json:"boost_percent"`
			Repull       bool    `json:"repull"`
			Also         Strand  `json:"also,omitempty"`
		}{o.Op, o.Strand, o.Hole, o.Newtons, o.Tension, o.BoostPercent, o.Repull, o.Also}, nil
	case ClampOn:
		return struct {
			Op      OpKind `json:"op"`
			Clamp   Clamp  `json:"clamp"`
			Strand  Strand `json:"strand"`
			Hole    Hole   `json:"hole"`
			Outside bool   `json:"outside"`
			With    Strand `json:"with,omitempty"`
		}{o.Op, o.Clamp, o.Strand, o.Hole, o.Outside, o.With}, nil
	case Unclamp:
		return struct {
			Op    OpKind `json:"op"`
			Clamp Clamp  `json:"clamp"`
		}{o.Op, o.Clamp}, nil
	case Release:
		return struct {
			Op OpKind `json:"op"`
		}{o.Op}, nil
	case Tie:
		return struct {
			Op     OpKind `json:"op"`
			Strand Strand `json:"strand"`
			Out    Hole   `json:"out"`
			Hole   Hole   `json:"hole"`
			Anchor Strand `json:"anchor"`
			Knot   string `json:"knot"`
			Covers []Hole `json:"covers"`
		}{o.Op, o.Strand, o.Out, o.Hole, o.Anchor, o.Knot, list(o.Covers)}, nil
	case Trim:
		return struct {
			Op     OpKind  `json:"op"`
			Hole   Hole    `json:"hole"`
			TailMM float64 `json:"tail_mm"`
		}{o.Op, o.Hole, o.TailMM}, nil
	case Straighten, Cut:
		return struct {
			Op     OpKind `json:"op"`
			Strand Strand `json:"strand"`
		}{o.Op, o.Strand}, nil
	case Inspect:
		return struct {
			Op     OpKind `json:"op"`
			Strand Strand `json:"strand,omitempty"`
			Hole   Hole   `json:"hole,omitempty"`
			Text   string `json:"text"`
		}{o.Op, o.Strand, o.Hole, o.Text}, nil
	case Note:
		return struct {
			Op     OpKind `json:"op"`
			Strand Strand `json:"strand,omitempty"`
			Text   string `json:"text"`
		}{o.Op, o.Strand, o.Text}, nil
	}
	return o.recovery()
}

// recovery are the fields of the ops of a recovery.
func (o *Op) recovery() (any, error) {
	switch o.Op {
	case Fault:
		return struct {
			Op     OpKind `json:"op"`
			Fault  Mishap `json:"fault"`
			Strand Strand `json:"strand,omitempty"`
			From   Hole   `json:"from,omitempty"`
			Hole   Hole   `json:"hole,omitempty"`
			Clamp  Clamp  `json:"clamp,omitempty"`
			With   Strand `json:"with,omitempty"`
			Where  Place  `json:"where,omitempty"`
			Extent Extent `json:"extent,omitempty"`
			Choose string `json:"choose,omitempty"`
			Text   string `json:"text"`
		}{o.Op, o.Fault, o.Strand, o.From, o.Hole, o.Clamp, o.With, o.Where, o.Extent, o.Choose, o.Text}, nil
	case WalkSlack:
		return struct {
			Op      OpKind   `json:"op"`
			Strands []Strand `json:"strands"`
		}{o.Op, o.Strands}, nil
	case Waive:
		return struct {
			Op     OpKind `json:"op"`
			Strand Strand `json:"strand"`
			From   Hole   `json:"from,omitempty"`
			To     Hole   `json:"to,omitempty"`
			Text   string `json:"text"`
		}{o.Op, o.Strand, o.From, o.To, o.Text}, nil
	case Slacken:
		return struct {
			Op     OpKind `json:"op"`
			Strand Strand `json:"strand"`
			Hole   Hole   `json:"hole"`
		}{o.Op, o.Strand, o.Hole}, nil
	case Unthread, Unweave:
		return struct {
			Op     OpKind `json:"op"`
			Strand Strand `json:"strand"`
			From   Hole   `json:"from"`
			To     Hole   `json:"to"`
		}{o.Op, o.Strand, o.From, o.To}, nil
	case Move:
		return struct {
			Op      OpKind `json:"op"`
			Strand  Strand `json:"strand"`
			From    Hole   `json:"from"`
			To      Hole   `json:"to"`
			Blocked []Hole `json:"blocked"`
		}{o.Op, o.Strand, o.From, o.To, list(o.Blocked)}, nil
	case Untie:
		return struct {
			Op     OpKind `json:"op"`
			Strand Strand `json:"strand"`
			Out    Hole   `json:"out"`
			Hole   Hole   `json:"hole"`
		}{o.Op, o.Strand, o.Out, o.Hole}, nil
	}
	return nil, fmt.Errorf("plan: no operation is called %q", o.Op)
}
