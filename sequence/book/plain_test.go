package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/harmless"
	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/sequencetest"
)

// planBodies are plans as the book keeps them: of each sheet, and one with the rest of what a plan may say, a way back too.
func planBodies(t require.TestingT) (bodies []string) {
	keep := func(p *plan.Plan) {
		body, err := json.Marshal(p)
		require.NoError(t, err)
		bodies = append(bodies, string(harmless.EscapeJSON(body)))
	}
	for _, sheet := range library.Techniques() {
		if w, err := sequencetest.Try(t, "club-sixteen", sheet); err == nil {
			keep(w.Plan)
		}
	}
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	for _, trouble := range []string{"6 hole-split hole=8HL choose=sleeve", "30 string-broke strand=C3 where=bed"} {
		done, is, err := sequence.ParseTrouble(trouble)
		require.NoError(t, err)
		p, err = sequence.Recover(p, done, is)
		require.NoError(t, err)
	}
	p.Terms.Pulls, p.Terms.Walk = map[plan.Strand]plan.Tension{"M1L": {Ordered: "22 kg", Newtons: 215.75}, "C1": {}}, &plan.Walk{Mains: 3}
	keep(p)
	return bodies
}

// Plans are read the quick way, and as JSON's own reader does.
func TestPlansArePlain(t *testing.T) {
	bodies := planBodies(t)
	require.Greater(t, len(bodies), 5)
	for _, body := range bodies {
		var got, want plan.Plan
		require.NoError(t, json.Unmarshal([]byte(body), &want))
		require.True(t, readPlain([]byte(body), reflect.ValueOf(&got).Elem(), planReader()))
		require.Equal(t, want, got)
	}
}

// Whatever became of a plan's text, the quick way leaves it to JSON's own reader or reads the same.
func TestAnyPlanIsReadAsJSONDoes(t *testing.T) {
	bodies := planBodies(t)
	rapid.Check(t, func(t *rapid.T) {
		body := rapid.SampledFrom(bodies).Draw(t, "plan")
		for range rapid.IntRange(1, 3).Draw(t, "changes") {
			marks := strings.FieldsFunc(body, func(c rune) bool { return !strings.ContainsRune(`{}[],:"`, c) })
			at := rapid.IntRange(0, len(body)-1).Draw(t, "at")
			if rapid.Bool().Draw(t, "at a mark") {
				at += max(strings.Index(body[at:], rapid.SampledFrom(marks).Draw(t, "mark")), 0)
			}
			if rapid.IntRange(0, 3).Draw(t, "off") == 0 {
				body = body[:at] + body[at+1:]
				continue
			}
			to := min(at+rapid.IntRange(0, 9).Draw(t, "long"), len(body))
			put := rapid.SampledFrom([]string{"", " ", "0", "-", ".5", "1e3", "null", "true", "[]", "{}", "{", "}", "]", ",", ":", `"`, `\`, `\"`, `\u00e9`, "é", "\xff", "\n", body[at:to], body[at:to] + "," + body[at:to],
				`"n":`, `"N":7,`, `"op":"fault",`, `"fault":"tie-off hole split",`, `"base":2.5,`, `"newtons":1e999,`, `"A":null,`, `"ends":["1HL"]`, `"ends":["1HL","1TL","2TL"]`}).Draw(t, "put")
			body = body[:at] + put + body[to:]
		}
		var want plan.Plan
		wrong := json.Unmarshal([]byte(body), &want)
		got, err := readPlan([]byte(body))
		if require.Equal(t, wrong == nil, err == nil, "%v, %v", wrong, err); err == nil {
			require.Equal(t, &want, got)
		}
	})
}

// A plan is read once as long as its text stays, and anew as soon as another program has changed that.
func TestPlansAreReadOnce(t *testing.T) {
	ctx := context.Background()
	b := fresh(t)
	first, other := newJob(t, b, 3), newJob(t, b, 3)
	read := func(id int64) *Job {
		j, err := b.Job(ctx, id)
		require.NoError(t, err)
		return j
	}
	was := read(first).Plan
	assert.Same(t, was, read(first).Plan)
	assert.Same(t, was, read(other).Plan, "whose plan is the very same")
	db, err := sql.Open("sqlite", b.path)
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	_, err = db.Exec("UPDATE plans SET body = CAST(replace(CAST(body AS TEXT), ?, ?) AS BLOB)", was.Frame, "another-frame")
	require.NoError(t, err)
	assert.Equal(t, "another-frame", read(first).Plan.Frame)
	for n := range 2 * mostPlans {
		read(newJob(t, b, 4+n))
		assert.LessOrEqual(t, len(b.plans.of), mostPlans)
	}
}
