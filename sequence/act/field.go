package act

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"pullcard/sequence/plan"
)

// field is what can stand in braces: its name, and how it is of an act in words, empty for nothing.
type field struct {
	name string
	of   func(*Table, *Act) string
}

// fields are all of them, made once.
var fields = sync.OnceValue(func() []field {
	return []field{
		{"strand", func(t *Table, a *Act) string { return t.Strand(a.Strand) }},
		{"strands", func(t *Table, a *Act) string { return t.strands(a.Strands) }},
		{"from", func(t *Table, a *Act) string { return t.Hole(a.From) }},
		{"to", func(t *Table, a *Act) string { return t.Hole(a.To) }},
		{"way", func(t *Table, a *Act) string { return t.names[Way(a.From, a.To)] }},
		{"with", func(t *Table, a *Act) string { return t.Strand(a.With) }},
		{"beside", func(t *Table, a *Act) string { return t.Hole(a.Beside) }},
		{"clamp", func(t *Table, a *Act) string { return t.clamp(a.Clamp) }},
		{"behind", func(t *Table, a *Act) string { return t.clamp(a.Behind) }},
		{"outside", func(_ *Table, a *Act) string { return yes(a.Outside) }},
		{"tension", func(_ *Table, a *Act) string { return a.Tension }},
		{"amount", func(t *Table, a *Act) string { return t.number(before(a.Tension, " ")) }},
		{"unit", func(t *Table, a *Act) string {
			return strings.TrimSpace(t.Text(strings.TrimPrefix(a.Tension, before(a.Tension, " "))))
		}},
		{"boost", func(t *Table, a *Act) string { return t.counted(a.Boost, "%.0f") }},
		{"back", func(t *Table, a *Act) string { return t.along(a.Back) }},
		{"bight", func(_ *Table, a *Act) string { return yes(a.Bight && a.Load) }},
		{"slack", func(_ *Table, a *Act) string { return yes(a.Bight && !a.Load) }},
		{"load", func(_ *Table, a *Act) string { return yes(a.Load && !a.Bight) }},
		{"fresh", func(_ *Table, a *Act) string { return yes(a.Fresh) }},
		{"face", func(t *Table, a *Act) string { return cmp.Or(t.names[string(a.Face)], string(a.Face)) }},
		{"meets", func(t *Table, a *Act) string { return t.counted(float64(a.Meets), "%g") }},
		{"anchor", func(t *Table, a *Act) string { return t.Strand(a.Anchor) }},
		{"knot", func(t *Table, a *Act) string { return t.Text(a.Knot) }},
		{"tail", func(t *Table, a *Act) string { return t.counted(a.TailMM, "%g") }},
		{"need", func(t *Table, a *Act) string { return t.counted(a.NeedMM/10, "%g") }},
		{"in", func(t *Table, a *Act) string { return t.end(a.From, a.Strand) }},
		{"out", func(t *Table, a *Act) string { return t.end(a.To, a.Strand) }},
		{"sided", func(t *Table, a *Act) string { return t.Sided(a.To) }},
		{"blocked", func(t *Table, a *Act) string { return t.holes(a.Blocked) }},
		{"scrap-in", func(t *Table, a *Act) string { return t.scrap(a, a.From) }},
		{"scrap-out", func(t *Table, a *Act) string { return t.scrap(a, a.To) }},
		{"piece", func(t *Table, a *Act) string { return cmp.Or(t.names[string(a.Piece)], string(a.Piece)) }},
		{"cut", func(t *Table, a *Act) string { return t.counted(a.CutMM, "%.0f") }},
		{"short", func(t *Table, a *Act) string { return t.counted(a.ShortMM, "%.0f") }},
		{"tight", func(t *Table, a *Act) string { return t.Text(a.Tight) }},
		{"text", func(t *Table, a *Act) string { return t.Text(a.Text) }},
	}
})

// fieldNames are what can stand in braces, in a line.
func fieldNames() string {
	var names []string
	for _, f := range fields() {
		names = append(names, f.name)
	}
	return strings.Join(names, ", ")
}

func named(name string) int {
	return slices.IndexFunc(fields(), func(f field) bool { return f.name == name })
}

// unknown is what stands in braces in a saying and is none of the fields, empty for nothing.
func unknown(says string) string {
	for rest := says; ; {
		_, after, ok := strings.Cut(rest, "{")
		if !ok {
			return ""
		}
		name, then, closed := strings.Cut(after, "}")
		if !closed || named(name) < 0 {
			return strconv.Quote("{" + name)
		}
		rest = then
	}
}

// fill puts an act into a saying.
func (t *Table) fill(says string, a *Act) string {
	var out strings.Builder
	for says != "" {
		plain, rest, ok := strings.Cut(says, "[")
		out.WriteString(t.put(plain, a, nil))
		if !ok {
			break
		}
		part, after, _ := strings.Cut(rest, "]")
		empty := false
		if text := t.put(part, a, &empty); !empty {
			out.WriteString(text)
		}
		says = after
	}
	return strings.ReplaceAll(strings.TrimSpace(out.String()), "  ", " ")
}

// put writes the fields of an act where they stand in braces, and notes when one is empty.
func (t *Table) put(text string, a *Act, empty *bool) string {
	var out strings.Builder
	for {
		plain, rest, ok := strings.Cut(text, "{")
		out.WriteString(plain)
		if !ok {
			return out.String()
		}
		name, after, _ := strings.Cut(rest, "}")
		value := fields()[named(name)].of(t, a)
		if empty != nil && value == "" {
			*empty = true
		}
		out.WriteString(value)
		text = after
	}
}

// scrap is a hole where a scrap shows the way, empty where none does.
func (t *Table) scrap(a *Act, h plan.Hole) string {
	if slices.Contains(a.Blocked, h) {
		return t.Sided(h)
	}
	return ""
}

// counted is a number as a format has it, empty for none.
func (t *Table) counted(n float64, format string) string {
	if n <= 0 {
		return ""
	}
	return t.number(fmt.Sprintf(format, n))
}

// before is a text as far as some other one.
func before(text, end string) string {
	text, _, _ = strings.Cut(text, end)
	return text
}

// yes is a field that is there or not and has no words of its own: a space, so that it is not empty.
func yes(is bool) string {
	if is {
		return " "
	}
	return ""
}
