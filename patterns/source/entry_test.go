package source

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// told writes the entries of a file so that they can be compared at a glance.
func told(data string) (out []string) {
	cut := func(r Range) string { return data[r.Start:r.End] }
	for _, e := range Entries([]byte(data)) {
		line := e.Path + " | " + cut(e.All) + " | " + cut(e.Value)
		for _, i := range e.Items {
			line += " | " + i.Text + " " + cut(i.Range)
		}
		out = append(out, line)
	}
	return out
}

func TestEntries(t *testing.T) {
	data := "# top\na = 'x' # b\n\"q.r\" . s  =\t[ \"7H\", # c\n  9 ]\n [ tie ] # d\n  mains = [ ]\nhoop = { l = \"a\\tb\", 'w w' = 2.5 }\r\n[[many]]\nn = -1_0 "
	assert.Equal(t, []string{
		"a | a = 'x' | 'x'",
		"\"q.r\".s | \"q.r\" . s  =\t[ \"7H\", # c\n  9 ] | [ \"7H\", # c\n  9 ] | 7H \"7H\" | 9 9",
		"tie | tie | ",
		"tie.mains | mains = [ ] | [ ]",
		"tie.hoop | hoop = { l = \"a\\tb\", 'w w' = 2.5 } | { l = \"a\\tb\", 'w w' = 2.5 }",
		"tie.hoop.l | l = \"a\\tb\" | \"a\\tb\"",
		"tie.hoop.w w | 'w w' = 2.5 | 2.5",
		"many | many | ",
		"many.n | n = -1_0 | -1_0",
	}, told(data))
	es := Entries([]byte(data))
	for i, want := range []struct {
		pos             Pos
		section, within int
		header, list    bool
	}{
		{Pos{2, 1}, -1, -1, false, false}, {Pos{3, 1}, -1, -1, false, true}, {Pos{5, 4}, 2, -1, true, false},
		{Pos{6, 3}, 2, -1, false, true}, {Pos{7, 1}, 2, -1, false, false}, {Pos{7, 10}, 2, 4, false, false}, {Pos{7, 22}, 2, 4, false, false},
		{Pos{8, 3}, 7, -1, true, false}, {Pos{9, 1}, 7, -1, false, false},
	} {
		e := es[i]
		assert.Equal(t, want.pos, e.Pos, e.Path)
		assert.Equal(t, [2]int{want.section, want.within}, [2]int{e.Section, e.Within}, e.Path)
		assert.Equal(t, [2]bool{want.header, want.list}, [2]bool{e.Header, e.List}, e.Path)
	}
	assert.Empty(t, Entries(nil))
	assert.Empty(t, Entries([]byte("= 1")), "what is no TOML has none")
}

func FuzzEntries(f *testing.F) {
	f.Add([]byte("a = 1\n[b]\nc = [\"d\", { e = 1 }] # x\n[[x]]\ny.z = 'w'\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if _, err := Read("f", data); err != nil {
			return
		}
		at := 0
		for _, e := range Entries(data) {
			require.GreaterOrEqual(t, e.All.Start, at, "in the order of the file")
			at = e.All.Start
			require.GreaterOrEqual(t, e.All.End, e.All.Start)
			if !e.Header {
				require.GreaterOrEqual(t, e.Value.Start, e.All.Start)
				require.Equal(t, e.All.End, e.Value.End)
				require.Less(t, e.Value.Start, e.Value.End)
			}
		}
	})
}
