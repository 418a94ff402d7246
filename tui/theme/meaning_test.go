package theme

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// meanings are what a stringer acts on, with the roles that say it.
func meanings() map[string][]Role {
	return map[string][]Role{
		"to do": {Current}, "tight": {Main, Cross}, "warning": {Warn, Boost, Soon}, "danger": {Danger, Blocked}, "done": {OK},
		"waits": {Slack, Deferred}, "words": {Text}, "quiet": {Quiet, Label},
	}
}

// TestColoursMeanOneThing: what warns, and what is dangerous, has one colour wherever it stands; no colour has two of the meanings,
// for any eye; and with sixteen colours the five that a stringer acts on are still told apart.
func TestColoursMeanOneThing(t *testing.T) {
	act := []string{"to do", "tight", "warning", "danger", "done"}
	for _, name := range Names()[:4] {
		s, _ := sheetOf(name)
		for _, same := range []string{"warning", "danger"} {
			for _, r := range meanings()[same] {
				assert.Equal(t, s.role[meanings()[same][0]], s.role[r], "%s: %s", name, r)
			}
		}
		for _, mean := range act {
			for other, roles := range meanings() {
				for _, r := range meanings()[mean] {
					for _, q := range roles {
						if mean == other || other == "quiet" && r == Cross { // a line and a number: nobody takes one for the other
							continue
						}
						for eyeName, eye := range eyes() {
							assert.GreaterOrEqual(t, apart(t, eye, s.role[r].hex, s.role[q].hex), 10.0, "%s: %s and %s for %s eyes", name, r, q, eyeName)
						}
						if other != "words" && other != "waits" && other != "quiet" {
							assert.NotEqual(t, s.role[r].basic, s.role[q].basic, "%s: %s and %s of sixteen", name, r, q)
						}
					}
				}
			}
		}
	}
}
