package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/room/servertest"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestMain makes this test binary the commands that the tests start: under the name of one of them it is that one.
func TestMain(m *testing.M) {
	testscript.Main(tidied{m}, map[string]func(){"pullcard": main, emptyName: empty, syncingName: syncing})
}

// builtIn names the folder of what the tests build.
const builtIn = "PULLCARD_BUILT_IN"

// tidied are the tests, with a folder for what they build that goes when they have ended.
type tidied struct{ *testing.M }

func (m tidied) Run() int {
	dir, err := os.MkdirTemp("", "pullcard")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	os.Setenv(builtIn, dir)
	defer servertest.Stop()
	return m.M.Run()
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Files:               scripts(t),
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       *update,
		Condition:           condition,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": status, "problems": problems, "json": jsonCommand, "fill": fill, "exactly": exactly, "sameplan": sameplan, "samejob": samejob,
			"newer": newer, "spoil": spoil,
		},
		Setup: func(e *testscript.Env) error {
			e.Setenv("HOME", filepath.Join(e.WorkDir, "home"))
			e.Setenv("TZ", "UTC")
			return os.Mkdir(filepath.Join(e.WorkDir, "home"), 0o700)
		},
	})
}

// scripts are one in three of the commands' scripts, all of them in a sweep and where they are written anew.
func scripts(t *testing.T) (files []string) {
	all, err := filepath.Glob(filepath.Join("..", "..", "testdata", "scripts", "*.txt"))
	require.NoError(t, err)
	for _, f := range all {
		if *update || sweep.Name(filepath.Base(f), 5) {
			files = append(files, f)
		}
	}
	return files
}

// built makes the program as it is given to people (.ci/release), once. Linking it takes longer than most tests.
var built = sync.OnceValues(func() (bin string, err error) {
	bin = filepath.Join(os.Getenv(builtIn), "pullcard")
	make := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w", "-o", bin, ".")
	make.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := make.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return bin, nil
})

// build is the program as it is given to people where it is measured and in a sweep; else this test binary, which testscript
// has put into the path under the program's name.
func build(t testing.TB) string {
	t.Helper()
	make := built
	if _, measured := t.(*testing.B); !measured && !sweep.Take(1, 2) {
		make = func() (string, error) { return exec.LookPath("pullcard") }
	}
	bin, err := make()
	require.NoError(t, err)
	return bin
}

// jobFile writes a job of the built-in frame and technique sheet. Player and racket are invented.
func jobFile(t testing.TB, name, racket, frame, technique string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(`player = "Ada Example"
racket = "`+racket+`"
frame = "`+frame+`"
technique = "`+technique+`"
[tension]
mains = "24 kg"
crosses = "23 kg"
`), 0o600))
	return path
}

// benchJob is a jobFile for a bench in a terminal, of a plan of as many steps as steps says. But in a sweep its frame has no hoop:
// what a bench foresees of a hoop it works out in the background, which takes longer than all that the tests are about.
func benchJob(t testing.TB, name, racket string) string {
	t.Helper()
	path := jobFile(t, name, racket, "club-sixteen", "two-piece-skip")
	if sweep.Take(1, 2) {
		return path
	}
	layout, _ := library.Layout("club-sixteen")
	before, hoop, hooped := strings.Cut(string(layout), "[hoop]")
	require.True(t, hooped)
	_, after, _ := strings.Cut(hoop, "\n\n")
	require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(path), "no-hoop.toml"), []byte(before+after), 0o600))
	job, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, bytes.Replace(job, []byte("club-sixteen"), []byte("no-hoop.toml"), 1), 0o600))
	return path
}
