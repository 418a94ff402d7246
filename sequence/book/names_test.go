package book

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Rows that books in the field have are written today as they were then, so that they keep their digests, and are called what they were:
// the name of an event holds that of the one before, claims and rows of other benches go by it. A literal here never changes, a new
// key of a body gets a literal of its own.
func TestRowsInTheFieldAreReadAsTheyWere(t *testing.T) {
	for _, o := range []struct{ kind, body, name string }{
		{"job", `{"uid":"k1","plan":"ab12","made":"2026-03-04T09:05:06.123456789+01:00"}`,
			"3a8b27c9b7b752f3f5bebe3190e6966b"},
		{"job", `{"uid":"k2","plan":"ab12","made":"2026-03-04T09:05:06Z","player":"Ada (invented)","racket":"blue","file":"job.toml","source":"ZnJhbWU=","salt":"s1"}`,
			"4bfbd20a00190f6a1a8f926d11385780"},
		{"event", `{"job":"k1","n":1,"prev":"p0","at":"2026-03-04T09:06:07.5+01:00","kind":"done","step":1}`,
			"5d6baeb6abbf2797291fc8a9708c37be"},
		{"event", `{"job":"k1","n":2,"prev":"p1","claim":3,"at":"2026-03-04T09:06:08Z","kind":"redo","step":2,"what":"gripper","why":"it was loose","of":1,"plan":"cd34","salt":"s2"}`,
			"51fd6c167c87b7b67ee2737708eb71c4"},
		{"record", `{"uid":"k3","kind":"player","stamp":"2026-03-04T09:05:06.000000001Z old","over":[],"at":"2026-03-04T09:05:06Z","fields":{"name":"Ada (invented)"}}`,
			""},
		{"forget", `{"uid":"k3","kind":"player","stamp":"2026-03-04T10:05:06.000000001Z w1","over":["2026-03-04T09:05:06.000000001Z old"],"at":"2026-03-04T10:05:06Z","why":"asked for","fields":{"name":""},"salt":"s3"}`,
			""},
		{"claim", `{"job":"k1","number":1,"bench":"K","at":"2026-03-04T09:05:06Z"}`,
			""},
		{"claim", `{"job":"k1","number":2,"bench":"L","at":"2026-03-04T09:05:06Z","after":"p1"}`,
			""},
	} {
		r := Row{Kind: o.kind, Body: []byte(o.body)}
		b := readBody(r)
		require.NoError(t, b.err, o.body)
		assert.True(t, b.same, "%s is written otherwise", o.body)
		name := b.name // of an event
		if b.job != nil {
			name = b.job.name()
		}
		assert.Equal(t, o.name, name, o.body)
	}
}
