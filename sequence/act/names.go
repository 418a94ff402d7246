package act

import (
	"cmp"
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
func (t *Table) Hole(h plan.Hole) string { return t.hole(h, "hole") }

// Sided is the same with the side of the frame on which the hole is.
func (t *Table) Sided(h plan.Hole) string { return t.hole(h, "sided") }

// end is a hole of a strand, with its side where the strand's own name does not tell it.
func (t *Table) end(h plan.Hole, s plan.Strand) string {
	if _, _, side := s.Parts(); side != "" {
		return t.Hole(h)
	}
	return t.Sided(h)
}

func (t *Table) hole(h plan.Hole, as string) string {
	p := h.Parts()
	say := cmp.Or(t.names[as], t.names["hole"])
	if p.N == 0 || say == "" {
		return string(h)
	}
	return tidy(strings.NewReplacer("{n}", t.number(strconv.Itoa(p.N)), "{end}", t.names[p.End], "{side}", t.names[p.Side]).Replace(say))
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

// along are strands along the string; of many the first and the last, for those between follow from them.
func (t *Table) along(list []plan.Strand) string {
	const many = 4
	if len(list) < many {
		return t.strands(list)
	}
	return t.Strand(list[0]) + " " + cmp.Or(t.names["upto"], "to") + " " + t.Strand(list[len(list)-1])
}

func (t *Table) holes(list []plan.Hole) string {
	words := make([]string, len(list))
	for i, h := range list {
		words[i] = t.Sided(h)
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
	return regexp.MustCompile(`\b(M\d+[LR]?|C\d+|\d+[HT][LR]?|\d+(?:\.\d+)?)\b`).ReplaceAllStringFunc(text, func(name string) string {
		switch last := name[len(name)-1]; {
		case name[0] == 'M' || name[0] == 'C':
			return t.Strand(plan.Strand(name))
		case last >= '0' && last <= '9':
			return t.number(name)
		}
		return t.Sided(plan.Hole(name))
	})
}
