package book

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/records"
)

func TestCheck(t *testing.T) {
	s := invite(t, fresh(t))
	var seen []int
	c, err := s.Check(context.Background(), func(done, total int) { seen = append(seen, done, total) })
	require.NoError(t, err)
	assert.Equal(t, Checked{Jobs: 1, Events: 4, Records: 9}, c)
	assert.Equal(t, []int{10, 10}, seen)
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err = s.Check(ctx, nil)
	assert.ErrorIs(t, err, context.Canceled)
	_, err = s.Forget(context.Background(), s.player.UID)
	require.NoError(t, err)
	requireSound(t, s.Book)
}

func TestCheckFinds(t *testing.T) {
	for want, spoil := range map[string]string{
		"job 2 is written as strung at step 3 of 4; by its events it is in work at step 3 of 4": "UPDATE jobs SET state = 'done'",
		"by its events it is in work at step 3 of 4":                                            "UPDATE jobs SET step = 2",
		"job 2 is written as in work at step 3 of 5":                                            "UPDATE jobs SET steps = 5",
		"job 2: event 2: done for step 9 does not fit":                                          "UPDATE events SET step = 9 WHERE kind = 'done'",
		"job 2: its plan: ":                               "UPDATE plans SET body = CAST('{' AS BLOB)",
		"job 2 has no record":                             "UPDATE jobs SET uid = 'x'",
		"events row ? names a row of plans that is not":   "UPDATE events SET plan = 77 WHERE plan IS NOT NULL",
		"racket 1: mass: \"heavy\" is not from 1":         "UPDATE records SET body = json_set(body, '$.mass', 'heavy') WHERE kind = 'racket'",
		"racket 1: its fields are not written":            "UPDATE records SET body = json_set(body, '$.mark', ' x ') WHERE kind = 'racket'",
		"racket 1: player: the book has no player \"x\"":  "UPDATE records SET body = json_set(body, '$.player', 'x'), owner = 'x' WHERE kind = 'racket'",
		"racket 1: it is filed under another owner":       "UPDATE records SET owner = 'x' WHERE kind = 'racket'",
		"racket 1: it is found by other words":            "UPDATE records SET words = 'x' WHERE kind = 'racket'",
		"racket 1: unexpected end of JSON input":          "UPDATE records SET body = '{' WHERE kind = 'racket'",
		"racket 1: parsing time":                          "UPDATE records SET at = 'noon' WHERE kind = 'racket'",
		"violin 1: there is no kind of record \"violin\"": "UPDATE records SET kind = 'violin' WHERE kind = 'racket'",
		"player 1: it was forgotten, but something is":    "UPDATE records SET state = 'forgotten' WHERE kind = 'player'",
		"what was said of a record cannot be read":        "UPDATE changes SET fields = '{'",
		"racket 1 does not say what its changes come to":  "UPDATE records SET body = json_set(body, '$.mass', '1 g') WHERE kind = 'racket'",
		"in its log (record) is not what it was":          "UPDATE log SET hash = zeroblob(32) WHERE seq = 2",
		"its log names what is not there":                 "UPDATE log SET row = 999 WHERE kind = 'plan'",
	} {
		if !sweep.Name(want, 5) {
			continue
		}
		t.Run(want, func(t *testing.T) {
			s := invite(t, fresh(t))
			require.NoError(t, s.Seal(context.Background()))
			require.NoError(t, s.Close())
			sqlExec(t, raw(t, s.path), spoil) // a bare connection lets it be
			c, err := open(t, s.path).Check(context.Background(), nil)
			require.NoError(t, err)
			require.NotEmpty(t, c.Findings)
			found := ""
			for _, f := range c.Findings {
				assert.NotContains(t, f, "\n")
				found += f + "\n"
			}
			assert.Contains(t, found, want)
		})
	}
}

func TestCheckADamagedBook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book")
	b := open(t, path)
	thick(t, b)
	added(t, b, records.KindPlayer, records.Fields{"name": "Somebody"})
	require.NoError(t, b.Close())
	rot(t, path)
	c, err := open(t, path).Check(context.Background(), nil)
	require.NoError(t, err)
	assert.NotEmpty(t, c.Findings)
}
