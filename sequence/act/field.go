package act

import (
	_ "embed" // the two tables that are built in
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pullcard/sequence/plan"
)

// fields are what can stand in braces.
func fields() []string {
	return []string{"strand", "strands", "from", "to", "way", "with", "beside", "clamp", "behind", "outside", "tension", "amount", "unit", "boost",
		"back", "bight", "slack", "load", "face", "meets", "anchor", "knot", "tail", "need", "in", "out", "blocked", "scrap-in", "scrap-out", "piece", "cut", "short", "text"}
}

// unknown is what stands in braces in a saying and is none of the fields, empty for nothing.
func unknown(says string) string {
	for rest := says; ; {
		_, after, ok := strings.Cut(rest, "{")
		if !ok {
			return ""
		}
		name, then, closed := strings.Cut(after, "}")
		if !closed || !slices.Contains(fields(), name) {
			return strconv.Quote("{" + name)
		}
		rest = then
	}
}

// fill puts an act into a saying.
func (t *Table) fill(says string, a *Act) string {
	var out strings.Builder
	for says != "" {
		before, rest, ok := strings.Cut(says, "[")
		out.WriteString(t.put(before, a, nil))
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
		before, rest, ok := strings.Cut(text, "{")
		out.WriteString(before)
		if !ok {
			return out.String()
		}
		name, after, _ := strings.Cut(rest, "}")
		value := t.field(name, a)
		if empty != nil && value == "" {
			*empty = true
		}
		out.WriteString(value)
		text = after
	}
}

// field is one field of an act in words.
func (t *Table) field(name string, a *Act) string {
	switch name {
	case "strand":
		return t.Strand(a.Strand)
	case "strands":
		return t.strands(a.Strands)
	case "from":
		return t.Hole(a.From)
	case "to":
		return t.Hole(a.To)
	case "in":
		return t.end(a.From, a.Strand)
	case "out":
		return t.end(a.To, a.Strand)
	case "way":
		return t.names[Way(a.From, a.To)]
	case "with":
		return t.Strand(a.With)
	case "beside":
		return t.Hole(a.Beside)
	case "clamp":
		return t.clamp(a.Clamp)
	case "behind":
		return t.clamp(a.Behind)
	case "outside":
		return yes(a.Outside)
	case "back":
		return t.along(a.Back)
	case "bight":
		return yes(a.Bight && a.Load)
	case "slack":
		return yes(a.Bight && !a.Load)
	case "load":
		return yes(a.Load && !a.Bight)
	case "tension":
		return a.Tension
	case "amount":
		number, _, _ := strings.Cut(a.Tension, " ")
		return t.number(number)
	case "unit":
		_, unit, _ := strings.Cut(a.Tension, " ")
		return strings.TrimSpace(t.Text(" " + unit))
	case "boost":
		if a.Boost > 0 {
			return t.number(fmt.Sprintf("%.0f", a.Boost))
		}
	case "face":
		if named := t.names[string(a.Face)]; named != "" {
			return named
		}
		return string(a.Face)
	case "meets":
		if a.Meets > 0 {
			return t.number(strconv.Itoa(a.Meets))
		}
	case "anchor":
		return t.Strand(a.Anchor)
	case "knot":
		return t.Text(a.Knot)
	case "tail":
		if a.TailMM > 0 {
			return t.number(fmt.Sprintf("%g", a.TailMM))
		}
	case "need":
		if a.NeedMM > 0 {
			return t.number(fmt.Sprintf("%g", a.NeedMM/10))
		}
	case "blocked":
		return t.holes(a.Blocked)
	case "scrap-in":
		return t.scrap(a, a.From)
	case "scrap-out":
		return t.scrap(a, a.To)
	case "piece":
		if said := t.names[string(a.Piece)]; said != "" {
			return said
		}
		return string(a.Piece)
	case "cut":
		return t.millimetres(a.CutMM)
	case "short":
		return t.millimetres(a.ShortMM)
	case "text":
		return t.Text(a.Text)
	}
	return ""
}

// scrap is a hole where a scrap shows the way, empty where none does.
func (t *Table) scrap(a *Act, h plan.Hole) string {
	if slices.Contains(a.Blocked, h) {
		return t.Sided(h)
	}
	return ""
}

// millimetres are a length, empty for none.
func (t *Table) millimetres(mm float64) string {
	if mm <= 0 {
		return ""
	}
	return t.number(fmt.Sprintf("%.0f", mm))
}

// yes is a field that is there or not and has no words of its own: a space, so that it is not empty.
func yes(is bool) string {
	if is {
		return " "
	}
	return ""
}
