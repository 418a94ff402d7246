package act

import (
	"regexp"
	"strconv"
	"strings"

	"pullcard/sequence/plan"
)

// Way is where string goes that moves from a hole to another: up to the head, down to the throat, left or right.
func Way(from, to plan.Hole) string {
	a, b := from.Parts(), to.Parts()
	switch {
	case a.N == 0 || b.N == 0:
		return ""
	case a.Side != b.Side && b.Side == "L":
		return "left"
	case a.Side != b.Side:
		return "right"
	case b.End == "H":
		return "up"
	}
	return "down"
}

// Strand is a strand's name in the table's words.
func (t *Table) Strand(s plan.Strand) string {
	kind, n, side := s.Parts()
	say := t.names[map[byte]string{'M': "main", 'C': "cross"}[kind]]
	if n == 0 || say == "" {
		return string(s)
	}
	return tidy(strings.NewReplacer("{n}", t.number(strconv.Itoa(n)), "{side}", t.names[side]).Replace(say))
}

// Hole is a hole's name in the table's words.
func (t *Table) Hole(h plan.Hole) string {
	p := h.Parts()
	if p.N == 0 || t.names["hole"] == "" {
		return string(h)
	}
	return tidy(strings.NewReplacer("{n}", t.number(strconv.Itoa(p.N)), "{end}", t.names[p.End], "{side}", t.names[p.Side]).Replace(t.names["hole"]))
}

func tidy(text string) string { return strings.Join(strings.Fields(text), " ") }

func (t *Table) clamp(c plan.Clamp) string {
	if say := t.names[string(c)]; say != "" {
		return say
	}
	return string(c)
}

func (t *Table) strands(list []plan.Strand) string {
	words := make([]string, len(list))
	for i, s := range list {
		words[i] = t.Strand(s)
	}
	return strings.Join(words, ", ")
}

func (t *Table) holes(list []plan.Hole) string {
	words := make([]string, len(list))
	for i, h := range list {
		words[i] = t.Hole(h)
	}
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	and := t.names["and"]
	if and == "" {
		and = "and"
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + and + " " + words[len(words)-1]
}

// number is a number in words where the table has them, as "twenty-six point four".
func (t *Table) number(digits string) string {
	whole, part, broken := strings.Cut(digits, ".")
	n, err := strconv.Atoi(whole)
	if err != nil || n < 0 || n >= len(t.numbers) {
		return digits
	}
	out := t.numbers[n]
	if !broken {
		return out
	}
	out += " " + t.names["point"]
	for _, d := range part {
		if d < '0' || d > '9' {
			return digits
		}
		out += " " + t.numbers[d-'0']
	}
	return out
}

// Text is a text of the plan: its phrases in the table's words, and the names of strands and holes in it.
func (t *Table) Text(text string) string {
	for _, pair := range t.texts {
		text = strings.ReplaceAll(text, pair[0], pair[1])
	}
	if t.names["hole"] == "" {
		return text
	}
	return regexp.MustCompile(`\b(M\d+[LR]?|C\d+|\d+[HT][LR]?|\d+)\b`).ReplaceAllStringFunc(text, func(name string) string {
		switch last := name[len(name)-1]; {
		case name[0] == 'M' || name[0] == 'C':
			return t.Strand(plan.Strand(name))
		case last >= '0' && last <= '9':
			return t.number(name)
		}
		return t.Hole(plan.Hole(name))
	})
}
