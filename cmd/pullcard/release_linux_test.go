package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"debug/buildinfo"
	"debug/elf"
	"encoding/hex"
	"fmt"
	"go/version"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
)

// do runs a program in a folder and returns what it says.
func do(t *testing.T, folder string, args ...string) string {
	t.Helper()
	c := exec.Command(args[0], args[1:]...)
	c.Dir = folder
	said, err := c.CombinedOutput()
	require.NoError(t, err, "%v: %s", args, said)
	return strings.TrimSpace(string(said))
}

// filesIn are those of a folder, by name.
func filesIn(t *testing.T, folder string) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	require.NoError(t, fs.WalkDir(os.DirFS(folder), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		all[name], err = os.ReadFile(filepath.Join(folder, name))
		return err
	}))
	return all
}

// What .ci/release makes of the commit is the same in two folders, byte by byte, and holds what it promises: of the system at hand,
// of all when PULLCARD_RELEASE=all. The program is also built from vendored modules.
func TestRelease(t *testing.T) {
	sweep.Only(t)
	for _, tool := range []string{"git", "zip"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skip("a release takes", tool)
		}
	}
	if exec.Command("git", "-C", "../..", "rev-parse", "--verify", "-q", "HEAD").Run() != nil {
		t.Skip("a release is of a commit, and git sees none here")
	}
	archives, systems := 1, []string{"linux/" + runtime.GOARCH}
	if os.Getenv("PULLCARD_RELEASE") == "all" {
		archives, systems = 6, nil
	}
	var made [2]map[string][]byte
	var clone, folder string
	for i := range made {
		clone, folder = filepath.Join(t.TempDir(), "clone"), t.TempDir()
		do(t, "../..", "git", "clone", "-q", ".", clone)
		do(t, clone, append([]string{".ci/release", folder}, systems...)...)
		made[i] = filesIn(t, folder)
	}
	require.Len(t, made[0], archives+1)
	for name, data := range made[0] {
		require.True(t, bytes.Equal(data, made[1][name]), "%s differs in a second run", name)
	}
	for line := range strings.Lines(string(made[0]["checksums.txt"])) {
		sum, name, _ := strings.Cut(strings.TrimSpace(line), "  ")
		got := sha256.Sum256(made[0][name])
		assert.Equal(t, sum, hex.EncodeToString(got[:]), name)
		delete(made[1], name)
	}
	assert.Len(t, made[1], 1, "each archive has its sum")

	commit, when := do(t, clone, "git", "rev-parse", "--short=12", "HEAD"), do(t, clone, "git", "log", "-1", "--format=%ct")
	name := fmt.Sprintf("pullcard-%s-linux-%s", do(t, clone, "git", "describe", "--tags", "--always", "--abbrev=12"), runtime.GOARCH)
	unpack(t, made[0][name+".tar.gz"], folder, when)
	folder = filepath.Join(folder, name)
	program := filepath.Join(folder, "pullcard")
	assert.Contains(t, do(t, folder, program, "--version"), "commit "+commit)
	assert.Contains(t, do(t, folder, program, "check", filepath.Join(clone, "testdata/jobs/club.toml")), "in order")
	requireStatic(t, program)

	info, err := buildinfo.ReadFile(program)
	require.NoError(t, err)
	require.Greater(t, len(info.Deps), 20)
	for _, m := range append(info.Deps, nil) {
		path := "go"
		if m != nil {
			if path = m.Path; m.Replace != nil { // it is of this repository
				continue
			}
		}
		texts, err := os.ReadDir(filepath.Join(folder, "licences", path))
		assert.NoError(t, err)
		assert.NotEmpty(t, texts, path)
	}
	for _, shell := range []string{"bash", "zsh", "fish", "powershell"} {
		text, err := os.ReadFile(filepath.Join(folder, "completions", "pullcard."+shell))
		require.NoError(t, err)
		assert.Contains(t, string(text), "pullcard")
	}
	var pages func(c *cobra.Command)
	pages = func(c *cobra.Command) {
		if c.Hidden {
			return
		}
		assert.FileExists(t, filepath.Join(folder, "manual", strings.ReplaceAll(c.CommandPath(), " ", "-")+".1"))
		for _, below := range c.Commands() {
			pages(below)
		}
	}
	pages(command("book"))

	do(t, clone, "go", "mod", "vendor")
	do(t, clone, "env", "CGO_ENABLED=0", "go", "build", "-mod=vendor", "-trimpath", "-buildvcs=true", "-ldflags=-s -w", "-o", program, "./cmd/pullcard")
	assert.Contains(t, do(t, folder, program, "--version"), "changed since", "it is the one with the vendored modules beside it")
}

// unpack unpacks a reproducible archive: of nobody, of the time of the commit.
func unpack(t *testing.T, data []byte, folder, when string) {
	t.Helper()
	zipped, err := gzip.NewReader(bytes.NewReader(data))
	require.NoError(t, err)
	assert.True(t, zipped.ModTime.IsZero())
	for r := tar.NewReader(zipped); ; {
		h, err := r.Next()
		if err == io.EOF {
			return
		}
		require.NoError(t, err)
		assert.Zero(t, h.Uid+h.Gid)
		assert.Equal(t, when, strconv.FormatInt(h.ModTime.Unix(), 10), h.Name)
		path := filepath.Join(folder, h.Name)
		if h.Typeflag == tar.TypeDir {
			require.NoError(t, os.MkdirAll(path, 0o755))
			continue
		}
		content, err := io.ReadAll(r)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, content, h.FileInfo().Mode()))
	}
}

// requireStatic holds that a program needs no library of the machine that runs it.
func requireStatic(t *testing.T, program string) {
	t.Helper()
	f, err := elf.Open(program)
	require.NoError(t, err)
	defer f.Close()
	for _, p := range f.Progs {
		require.NotEqual(t, elf.PT_INTERP, p.Type)
	}
	require.Nil(t, f.Section(".symtab"), "it is stripped")
}

// Where one method is looked up by its name, as a text template does, the linker keeps all of them: a fifth more program, of which each start
// reads its part.
func TestNoMethodIsLookedUpByName(t *testing.T) {
	sweep.Only(t)
	program, err := os.ReadFile(build(t))
	require.NoError(t, err)
	assert.True(t, bytes.Contains(program, []byte("main.benchCommand")), "it has the names of its functions")
	assert.False(t, bytes.Contains(program, []byte("reflect.Value.MethodByName")))
}

// The program asks for no newer Go than what it is made of does, so that whoever can build that can build this.
func TestLowestGo(t *testing.T) {
	sweep.Only(t)
	asked := func(main bool) (versions []string) {
		for line := range strings.Lines(do(t, "../..", "go", "list", "-deps", "-test", "-f", "{{with .Module}}{{.Main}} {{.GoVersion}}{{end}}", "./...")) {
			if of, least, _ := strings.Cut(strings.TrimSpace(line), " "); of == strconv.FormatBool(main) && least != "" {
				versions = append(versions, "go"+least)
			}
		}
		return versions
	}
	assert.Equal(t, slices.MaxFunc(asked(false), version.Compare), asked(true)[0])
}

// Whatever go.mod names for this program itself stands in the guide with its reason.
func TestEveryDependencyHasItsReason(t *testing.T) {
	sweep.Only(t)
	guide, err := os.ReadFile("../../DEVELOPERS.md")
	require.NoError(t, err)
	_, table, found := strings.Cut(string(guide), "| module | for |\n")
	require.True(t, found)
	table, _, _ = strings.Cut(table, "\n\n")
	named := map[string]bool{}
	for row := range strings.Lines(table) {
		for name := range strings.SplitSeq(strings.Split(row, "|")[1], ",") {
			named[strings.TrimSpace(name)] = true
		}
	}
	for module := range strings.Lines(do(t, "../..", "go", "list", "-m", "-f", "{{if not (or .Indirect .Main)}}{{.Path}}{{end}}", "all")) {
		parts := strings.Split(strings.TrimSpace(module), "/")
		known := false
		for i := range parts {
			name := strings.Join(parts[i:], "/")
			known = known || named[name]
			delete(named, name)
		}
		assert.True(t, known, "%s has no reason in the guide", module)
	}
	delete(named, "---")
	assert.Empty(t, named, "not asked for any more")
}
