package plan

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strconv"
)

// Fingerprint is the same for the same frame, technique and tensions on every machine, and another for anything else:
// the first 16 hexadecimal digits of the SHA-256 of what was asked and of every operation that came of it. Warnings
// do not count.
func (p *Plan) Fingerprint() string {
	terms, err := json.Marshal(p.Terms)
	if err != nil {
		panic(fmt.Errorf("plan: write down the terms: %w", err))
	}
	text := make([]byte, 0, 32<<10)
	text = appendWords(text, p.Frame, p.Technique, string(terms))
	for i := range p.Steps {
		s := &p.Steps[i]
		text = appendWords(text, string(s.Phase), s.Title)
		for j := range s.Ops {
			text = s.Ops[j].appendTo(text)
		}
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

// appendTo writes every field of an op, each ended by a nought byte, so that no two ops are written alike.
func (o *Op) appendTo(text []byte) []byte {
	text = appendWords(text, string(o.Op), o.Support, string(o.Strand), string(o.From), string(o.To), string(o.After),
		string(o.Piece), string(o.First), string(o.Hole), o.Tension, string(o.Clamp), string(o.Out), string(o.Anchor), o.Knot, o.Text, string(o.Fault))
	for _, holes := range [2][]Hole{o.Blocked, o.Covers} {
		for _, h := range holes {
			text = appendWords(text, string(h))
		}
		text = append(text, 0)
	}
	for _, v := range [4]float64{float64(o.Meets), o.Newtons, o.BoostPercent, o.TailMM} {
		text = append(strconv.AppendFloat(text, v, 'g', -1, 64), 0)
	}
	text = strconv.AppendBool(text, o.Repull)
	text = strconv.AppendBool(text, o.Outside)
	// Fields that were added later are left out where they are unused, so that fingerprints stay.
	for _, w := range [5]string{string(o.Also), string(o.With), string(o.Where), string(o.Extent), o.Choose} {
		if w != "" {
			text = appendWords(text, w)
		}
	}
	for _, s := range o.Strands {
		text = appendWords(text, string(s))
	}
	return text
}

func appendWords(text []byte, words ...string) []byte {
	for _, w := range words {
		text = append(append(text, w...), 0)
	}
	return text
}
