package source

import (
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
	"pullcard/patterns/sweep"
)

// spent is how many bytes reading and closing takes, all together.
func spent(data string) (bytes uint64, err error) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	d, err := Read("f", []byte(data))
	if err == nil {
		_, err = d.Close()
	}
	if err != nil {
		_ = err.Error()
	}
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc, err
}

func TestNothingTakesMuchToRead(t *testing.T) {
	full := func(piece string) string { return strings.Repeat(piece, Limit/len(piece)) }
	lines := func(head, format string) string {
		var b strings.Builder
		b.WriteString(head)
		for n := 0; b.Len() < Limit-len(format)-8; n++ {
			fmt.Fprintf(&b, format, n)
		}
		return b.String()
	}
	const deep, long = "this goes deeper than 16", "no key is longer than 200"
	for name, c := range map[string]struct{ data, want string }{
		"40 kB of dotted key":     {strings.Repeat("a.", 20000) + "a = 1\n", "f:1:34: " + deep},
		"a dotted table":          {"[" + strings.Repeat("a.", 20000) + "a]\n", deep},
		"a dotted list of tables": {"[[" + strings.Repeat("a.", 20000) + "a]]\n", deep},
		"quoted parts":            {strings.Repeat(`"a".`, 10000) + "a = 1\n", deep},
		"lists":                   {"a = " + strings.Repeat("[", 30000), deep},
		"lists that are closed":   {"a = " + strings.Repeat("[", 30000) + strings.Repeat("]", 30000), deep},
		"inline tables":           {strings.Repeat("a={", 20000), deep},
		"dots and tables":         {strings.Repeat("a.b.c.d={", 5), deep},
		"lists over lines":        {"a = [\n" + strings.Repeat("[\n", 10000), deep},
		"a long name":             {strings.Repeat("a", 40000) + " = 1\n", "f:1:1: a name of 40001 bytes; " + long},
		"a long table":            {"b = 1\n[" + strings.Repeat("a", 40000) + "]\n" + strings.Repeat("k=1\n", 5000), "f:2:2: a name of"},
		"a long quoted name":      {"b={'" + strings.Repeat("a", 40000) + "'=1}\n", long},
		"a file too long":         {full("a") + "a", "at most 65536 are read"},
		"short keys":              {lines("", "k%d=1\n"), "is not known"},
		"short keys in depth":     {lines("[a.b.c.d.e.f.g]\n", "h.i.j.k.l.m.n%d=1\n"), "is not known"},
		"long keys":               {lines("["+strings.Repeat("a", 198)+"]\n", "k%d=1\n"), "is not known"},
		"tables":                  {lines("", "[t%d]\n"), "is not known"},
		"a long list":             {"a = [" + full(`"",`)[:Limit-8] + "]", "is not known"},
		"a list of tables":        {"a = [" + full("{a=1},")[:Limit/6*6-12] + "]", "is not known"},
	} {
		if !sweep.Name(name, 3) {
			continue
		}
		t.Run(name, func(t *testing.T) {
			n, err := spent(c.data)
			require.ErrorContains(t, err, c.want)
			assert.Less(t, n, uint64(64<<20), "bytes")
			t.Logf("%.1f MB", float64(n)/1e6)
		})
	}
}

// What is deep only to the eye, in texts and comments, is read.
func TestDeepToTheEye(t *testing.T) {
	dots := strings.Repeat("a.[{", 30)
	for _, data := range []string{
		"a = \"" + dots + "\" # " + dots, "a = '" + dots + "'", "a = \"\"\"\n" + dots + "\\\"\"\"\n\"\"\"", "a = '''\n" + dots + "'\n'''",
		"a = \"\\\"" + dots + "\"", "# " + dots + "\na.b.c.d.e = 1\n", "a = [" + strings.Repeat("1.5, ", 40) + "]", "a = [" + strings.Repeat("[1.5],\n", 40) + "]",
		strings.Repeat("a.", 15) + "a = 1",
		"a = \"" + strings.Repeat("x", 300) + "\"", "a = [\"" + strings.Repeat("x", 300) + "\"]", "a = {b = \"" + strings.Repeat("x", 300) + "\"}",
	} {
		_, err := Read("f", []byte(data))
		assert.NoError(t, err, data)
	}
}

// Whatever is within the bounds for certain is not refused for them, and what is read never has more levels.
func TestBeyondIsDepth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		depth, value, want := 1, "1", 0
		for range rapid.IntRange(0, 20).Draw(t, "levels") {
			switch rapid.SampledFrom([]string{"list", "table", "dotted"}).Draw(t, "level") {
			case "list":
				value = "[ \"]\", " + value + " ]"
			case "table":
				value = "{ 'k}' = 1, a = " + value + " }"
			case "dotted":
				value, depth = "{ a.b = "+value+" }", depth+1
			}
			depth++
		}
		_, err := Read("f", []byte("# x\na = "+value+" # [[[\n"))
		if want = depth - 1; want > deepest {
			require.ErrorContains(t, err, "deeper")
		} else {
			require.NoError(t, err)
		}
	})
}

func TestFiftyProblemsAndMore(t *testing.T) {
	for n, want := range map[int]int{1: 1, 50: 50, 51: 51, 1000: 51} {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, "k%d = 1\n", i)
		}
		d, err := Read("f", []byte(b.String()))
		require.NoError(t, err)
		_, err = d.Close()
		lines := strings.Split(err.Error(), "\n")
		assert.Len(t, lines, want)
		if n > Listed {
			assert.Equal(t, fmt.Sprintf("and %d more; put these right first", n-Listed), lines[Listed])
		}
		assert.Len(t, err, n, "a screen has them all")
	}
}
