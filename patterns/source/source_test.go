package source

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPlaces(t *testing.T) {
	d, err := Read("f", []byte("a = \"ä\"\nb = { c = [\"x\", \"y\"], d = true }\n\n[t]\nn = 1_000\ne.f = 2.5\n"))
	require.NoError(t, err)
	r := d.Root()
	assert.Equal(t, Text{Pos{1, 5}, "ä", true}, r.Text("a"))
	b := r.Table("b")
	assert.Equal(t, []Text{{Pos{2, 12}, "x", true}, {Pos{2, 17}, "y", true}}, b.List("c").Items)
	assert.Equal(t, Bool{Pos{2, 27}, true, true}, b.Bool("d"))
	tt := r.Table("t")
	assert.Equal(t, Int{Pos{5, 5}, 1000, true}, tt.Int("n"))
	assert.Equal(t, 2.5, tt.Table("e").Float("f").Value)
	_, err = d.Close()
	assert.NoError(t, err)
}

func TestProblemsInOrder(t *testing.T) {
	d, err := Read("f", []byte("b = 1\nextra = 2\na = [1]\nc = { x = 1 }\n"))
	require.NoError(t, err)
	r := d.Root()
	r.List("a")
	r.Text("b")
	r.Table("c")
	_, err = d.Close()
	assert.EqualError(t, err, `f:1:5: b is not of the right kind; write a text in quotes
f:2:1: extra is not known; take it out
f:3:6: a is not of the right kind; write a list of texts in brackets
f:4:7: c.x is not known; take it out`)
}

// A key can hold anything; a problem stays on its line.
func TestStrangeKeys(t *testing.T) {
	d, err := Read("f", []byte("\"a\\nb\" = 1\n"))
	require.NoError(t, err)
	_, err = d.Close()
	assert.EqualError(t, err, `f:1:1: "a\nb" is not known; take it out`)
}

func TestSyntax(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"a = \n", "f:1:"}, {"a = 1\na = 2\n", "f:2:"}, {"[t\n", "f:1:"}, {"a = \"\xff\"", "UTF-8"},
	} {
		_, err := Read("f", []byte(c.in))
		assert.ErrorContains(t, err, c.want)
	}
	_, err := Read("f", make([]byte, Limit+1))
	assert.ErrorContains(t, err, "at most")
}

// Levenshtein's distance of kitten and sitting is 3: the usual textbook example, from memory.
func TestNearest(t *testing.T) {
	assert.Equal(t, 3, distance("kitten", "sitting"))
	assert.Equal(t, "skip", Nearest("skipp", []string{"start", "skip", "sport"}))
	assert.Equal(t, "", Nearest("zzz", []string{"start", "skip"}))
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("a = 1\n[b]\nc = [\"d\", { e = 1 }]\n[[x]]\ny.z = 'w'\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Read("f", data)
		if err == nil {
			d.Root().Table("b")
			_, _ = d.Close()
		}
	})
}
