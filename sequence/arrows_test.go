package sequence_test

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Arrows go one way, the engine touches neither files, SQL, clock nor terminal, and no screen is linked with a server's library.
func TestArrows(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "pullcard/...").Output()
	require.NoError(t, err)
	layer := func(path string) int {
		for i, l := range []string{"pullcard/patterns", "pullcard/sequence", "pullcard/tui", "pullcard/cmd"} {
			if path == l || strings.HasPrefix(path, l+"/") {
				return i
			}
		}
		return -1
	}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		from := words[0]
		for _, to := range words[1:] {
			assert.LessOrEqual(t, layer(to), layer(from), "%s imports %s", from, to)
			assert.False(t, layer(to) >= 0 && strings.HasSuffix(to, "test") && !strings.HasSuffix(from, "test"), "%s imports %s, which is for tests", from, to)
			if from != "pullcard/patterns/harmless" {
				assert.NotContains(t, []string{"encoding/csv", "encoding/xml"}, to, "%s writes past patterns/harmless", from)
			}
			engine := layer(from) == 0 || layer(from) == 1 && from != "pullcard/sequence/book" && from != "pullcard/sequence/room/postgres" && !strings.HasSuffix(from, "test")
			if engine {
				assert.NotContains(t, []string{"os", "os/exec", "database/sql", "net", "syscall", "github.com/charmbracelet/bubbletea", "github.com/charmbracelet/lipgloss"}, to, from)
			}
		}
		if from != "pullcard/sequence/seat" && from != "pullcard/sequence/room/postgres" && layer(from) < 3 {
			assert.NotContains(t, words[1:], "pullcard/sequence/room/postgres", "%s needs no server", from)
		}
		if layer(from) < 3 {
			assert.NotContains(t, words[1:], "pullcard/sequence/seat", "%s needs no server", from)
		}
		if from == "pullcard/sequence/referee" {
			assert.NotContains(t, words[1:], "pullcard/sequence", "the referee shares only the plan's types")
			assert.NotContains(t, words[1:], "pullcard/patterns")
		}
	}
}

// What is drawn at random is drawn alike each time.
func TestDraws(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .TestImports " "}} {{join .XTestImports " "}}`, "pullcard/...").Output()
	require.NoError(t, err)
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		if slices.Contains(words, "pgregory.net/rapid") && words[0] != "pullcard/patterns/sweep" {
			assert.Contains(t, words, "pullcard/patterns/sweep", "of %s", words[0])
		}
	}
}
