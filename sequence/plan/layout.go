package plan

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"
)

// Where a strand stays in a wrong hole and the frame can be strung so, its layout is another from then on: it is named after the
// old one, and has a fingerprint of its own.

// LayoutName names the layout of a racket that the plan led to, or a way back from it: "Club sixteen, M7R in 7HR".
func (p *Plan) LayoutName(is *Racket) string {
	if keeps := is.keeps(); keeps != "" {
		return strings.TrimSuffix(p.Frame, p.After(len(p.Steps)).keeps()) + keeps
	}
	return p.Frame // what is kept stays kept, so the plan has nothing either
}

// keeps says which ends of strands were kept in wrong holes, in that order.
func (r *Racket) keeps() string {
	text := ""
	for _, at := range r.kept {
		text += ", " + string(at.Strand) + " in " + string(at.Hole)
	}
	return text
}

// LayoutFingerprint is the same for layouts whose strands have the same holes, and another for any other: the first 8 hexadecimal
// digits of the SHA-256 of holes, strands and tie-off holes, those of the terms but where a strand was kept in a wrong one.
func (r *Racket) LayoutFingerprint(t *Terms) string {
	text := appendWords(nil, strconv.Itoa(r.Left), strconv.Itoa(r.Right), t.MainsStart)
	for i, s := range r.strands {
		text = appendWords(text, string(s), strconv.Itoa(r.ends[i][0]), strconv.Itoa(r.ends[i][1]))
	}
	for _, list := range [2][]Hole{t.TieMains, t.TieCrosses} {
		for _, h := range list {
			text = appendWords(text, strconv.Itoa(r.At(h)))
		}
		text = appendWords(text, "")
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:4])
}
