package sequence

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// A layout doubts what a sheet that says nothing of it does not allow.
func TestUsualReach(t *testing.T) { assert.Equal(t, plan.UsualReach, patterns.UsualReach) }
