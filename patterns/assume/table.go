package assume

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"pullcard/patterns/source"
)

// Table is what a [strain] table says. Its zero value says nothing.
type Table struct {
	numbers map[Key]said
	mount   said // "2", "4", "6" or "free"
	pull    said // "constant" or "lockout"
}

// said is a value and where it stands.
type said struct {
	text string
	v    float64
	at   string // "job.toml:12"
}

// The words of mount and pull.
const (
	Free     = "free"
	Constant = "constant"
	Lockout  = "lockout"
)

// Read reads the table [strain] of a file, an empty one where there is none; what is wrong goes to the document.
func Read(doc *source.Doc, root *source.Table) Table {
	t := root.Table("strain")
	if t == nil {
		return Table{}
	}
	out := Table{numbers: map[Key]said{}}
	at := func(p source.Pos) string { return fmt.Sprintf("%s:%d", doc.File(), p.Line) }
	for _, n := range numbers("", "") {
		if !t.Has(string(n.key)) {
			t.Text(string(n.key)) // so that it counts as known
			continue
		}
		if n.unit == "" {
			f := t.Float(string(n.key))
			if f.Value < 0 || f.Value > n.most {
				doc.Problem(f.Pos, "strain.%s is %g; write 0 to %g: %s", n.key, f.Value, n.most, n.what)
			}
			out.numbers[n.key] = said{strconv.FormatFloat(f.Value, 'f', -1, 64), f.Value, at(f.Pos)}
			continue
		}
		s := t.Text(string(n.key))
		v, ok := n.parse(s.Value)
		if s.Given && !ok {
			doc.Problem(s.Pos, "strain.%s is %q; write %s, as %q, 0 to %g: %s", n.key, s.Value, "a number and its unit", n.example(), n.most, n.what)
		}
		out.numbers[n.key] = said{s.Value, v, at(s.Pos)}
	}
	word := func(key, words string, known ...string) said {
		s := t.Text(key)
		if !s.Given {
			return said{}
		}
		if !slices.Contains(known, s.Value) {
			doc.Problem(s.Pos, "strain.%s is %q; write %s", key, s.Value, words)
		}
		return said{text: s.Value, at: at(s.Pos)}
	}
	out.mount = word("mount", `"2", "4", "6", the points of the mount, or "free"`, "2", "4", "6", Free)
	out.pull = word("pull", `"constant" or "lockout"`, Constant, Lockout)
	if len(out.numbers) == 0 {
		out.numbers = nil
	}
	return out
}

// parse reads a number with its unit; "0" needs none.
func (n *number) parse(text string) (float64, bool) {
	digits := strings.TrimRightFunc(text, func(r rune) bool { return r < '0' || r > '9' })
	if strings.HasSuffix(text, "m2") {
		digits = strings.TrimRightFunc(strings.TrimSuffix(text, "2"), func(r rune) bool { return r < '0' || r > '9' })
	}
	unit := strings.NewReplacer(" ", "", "·", "", "²", "2").Replace(strings.TrimPrefix(text, digits))
	v, err := strconv.ParseFloat(digits, 64)
	if err != nil || v < 0 {
		return 0, false
	}
	times := 1.0
	switch want := strings.NewReplacer(" ", "", "·", "", "²", "2").Replace(n.unit); {
	case unit == want || v == 0 && unit == "":
	case want == "kN" && unit == "N":
		times = 1e-3
	case want == "°" && unit == "deg":
	default:
		return 0, false
	}
	return v * times, v*times <= n.most
}

func (n *number) example() string {
	v := n.usual
	if v == 0 {
		v = map[Key]float64{StringEA: 8, Limit: 800, Gap: .5}[n.key]
	}
	return strconv.FormatFloat(v, 'f', -1, 64) + " " + n.unit
}

// Over is what holds where one table says something and another lies below it.
func (t Table) Over(below Table) Table {
	out := Table{numbers: maps.Clone(below.numbers), mount: below.mount, pull: below.pull}
	if out.numbers == nil {
		out.numbers = map[Key]said{}
	}
	maps.Copy(out.numbers, t.numbers)
	if t.mount.text != "" {
		out.mount = t.mount
	}
	if t.pull.text != "" {
		out.pull = t.pull
	}
	return out
}

// Written is the table as a file would have it, nil where it says nothing.
func (t Table) Written() map[string]any {
	out := map[string]any{}
	for _, n := range numbers("", "") {
		if s, ok := t.numbers[n.key]; ok {
			if out[string(n.key)] = s.text; n.unit == "" {
				out[string(n.key)] = s.v
			}
		}
	}
	if t.mount.text != "" {
		out["mount"] = t.mount.text
	}
	if t.pull.text != "" {
		out["pull"] = t.pull.text
	}
	if len(out) == 0 {
		return nil
	}
	return out
}

// With is the table with a number of its own, in the unit in which it is written, as "as tried".
func (t Table) With(key Key, v float64, why string) Table {
	return Table{numbers: map[Key]said{key: {v: v, at: why}}}.Over(t)
}

// WithMount is the table with a mount of its own.
func (t Table) WithMount(points, why string) Table {
	return Table{mount: said{text: points, at: why}}.Over(t)
}

// WithPull is the table with a way of pulling of its own.
func (t Table) WithPull(how, why string) Table { return Table{pull: said{text: how, at: why}}.Over(t) }

// Limit is the load of a support in newtons that is announced, nought for none.
func (t Table) Limit() float64 { return t.numbers[Limit].v }
