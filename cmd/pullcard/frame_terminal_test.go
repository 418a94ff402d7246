package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A frame that nobody knows is typed in under a name that is given, kept there, and the form ends with what comes next; that is then
// done: it goes into a job, which fits and stands on the bench.
func newFrame(t *testing.T, bin string) {
	home := t.TempDir()
	layout, job := filepath.Join(home, "new.toml"), filepath.Join(home, "job.toml")
	env := []string{"HOME=" + home, "XDG_DATA_HOME=", "PULLCARD_BOOK="}
	d := newDesk(t, [2]int{100, 30}, env, bin, "frame", layout, "--hold", hold)
	assert.Contains(t, d.untilSays("NEW FRAME"), "to be saved as")
	for _, text := range []string{"Bench trial (invented)", "tennis", "16x19"} {
		d.write(text)
		d.untilSays(text)
		time.Sleep(150 * time.Millisecond) // what is written in one go is a paste, and what follows at once belongs to it
		d.press("Enter")
	}
	d.untilSays("skips at head")
	d.press("C-s")
	assert.Contains(t, d.untilSays("not saved:"), "is only what is usual; enter takes it")
	assert.NoFileExists(t, layout, "nothing is kept that nobody said")
	for _, taken := range []string{"✓ skips at head   7 9", "✓ skips at throat 7 9", "✓ start           throat", "✓ holes a side    35", "✓ tie mains in    8T", "✓ tie crosses in  6H 6T"} {
		d.press("Enter")
		d.untilSays(taken)
	}
	d.press("C-s")
	screen := d.untilSays("What comes next")
	for _, next := range []string{"kept as", "for a job: frame =", "pullcard check JOB.toml", "string it: pullcard bench JOB.toml", "the hoop's size is not in it"} {
		assert.Contains(t, screen, next)
	}
	d.press("Enter")
	assert.Equal(t, 0, d.over())

	require.NoError(t, os.WriteFile(job, fmt.Appendf(nil, "frame = %q\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\n", layout), 0o600))
	out, err := exec.Command(bin, "check", layout, job).CombinedOutput()
	assert.NoError(t, err, "%s", out)
	d.run(bin, "bench", job, "--hold", hold)
	d.untilStep(1)
	d.press("q")
	assert.Equal(t, 0, d.over())
}
