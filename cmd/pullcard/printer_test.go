package main

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A print command that hangs is stopped, and that is said of it.
func TestPrinterHangs(t *testing.T) {
	t.Setenv("PULLCARD_SETTINGS", files(t, "settings.toml", `print = "sleep 60"`))
	ctx, stop := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer stop()
	assert.EqualError(t, printOut(ctx, "a ticket"), `print with "sleep 60": it has not ended within 20s and was stopped; see the settings`)
}
