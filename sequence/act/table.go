package act

import (
	_ "embed" // the two tables that are built in
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

//go:embed written.toml
var written []byte

//go:embed spoken.toml
var spoken []byte

// Table is how acts are put into words: a language, for the eye or for the ear. Read says what a file of one looks like.
type Table struct {
	verbs, says map[Verb]string
	names       map[string]string
	numbers     []string
	texts       [][2]string // what stands in the plan, and what is said for it
}

// Written is the table of the screens and of everything in print.
func Written() *Table { return must("written.toml", written) }

// Spoken is the table of the voice, in English.
func Spoken() *Table { return must("spoken.toml", spoken) }

// SpokenFile is the file of Spoken, to begin another language with.
func SpokenFile() []byte { return slices.Clone(spoken) }

func must(file string, data []byte) *Table {
	t, err := Read(file, data)
	if err != nil {
		panic(err) // it is built into the program
	}
	return t
}

// the further sayings of a table, beside those of verbs
const (
	sayAlso    = "also"    // what leads from a strand to the next in hand: nothing of an act is said twice
	sayBlocked = "blocked" // a hole lies under a run
	sayOn      = "on"      // a clamp comes to where the gripper pulls
	sayAgain   = "again"   // before what is done once more
	sayHold    = "stays"   // a clamp stays
	sayBoost   = "boost"   // a warning before a boosted pull
	sayStart   = "tie-start"
)

// nameKeys are the names that a table can have.
func nameKeys() []string {
	return []string{"main", "cross", "hole", "L", "R", "H", "T", "over", "under", "up", "down", "left", "right", "point", "and", "sided", "A", "B", "S",
		"mains", "crosses", "whole"}
}

// Read reads a table. Its tables are verbs, says, names and texts, and a list numbers; each saying may have these in braces:
// {strand} {strands} {from} {to} {way} {with} {beside} {clamp} {behind} {outside} {tension} {amount} {boost} {back} {bight} {slack} {load} {face} {meets}
// {anchor} {knot} {tail} {need} {in} {out} {blocked} {piece} {cut} {short} {text}. What stands in brackets is left away where one of those in it is empty. The error is a
// source.Problems.
func Read(file string, data []byte) (*Table, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return nil, err
	}
	t := &Table{verbs: map[Verb]string{}, says: map[Verb]string{}, names: map[string]string{}}
	root := doc.Root()
	keys := []Verb{sayAlso, sayBlocked, sayOn, sayAgain, sayHold, sayBoost, sayStart}
	for _, v := range append(Verbs(), keys...) {
		if own := root.Table("verbs"); own != nil {
			t.verbs[v] = own.Text(string(v)).S
		}
		if says := root.Table("says"); says != nil {
			text := says.Text(string(v))
			if bad := unknown(text.S); bad != "" {
				doc.Problem(text.Pos, "says.%s has %s; what can stand in braces is %s", v, bad, strings.Join(fields(), ", "))
			}
			t.says[v] = text.S
		}
	}
	if names := root.Table("names"); names != nil {
		for _, k := range nameKeys() {
			t.names[k] = names.Text(k).S
		}
	}
	for _, n := range root.List("numbers").Items {
		t.numbers = append(t.numbers, n.S)
	}
	if texts := root.List("texts"); texts.Given {
		if len(texts.Items)%2 != 0 {
			doc.Problem(texts.Pos, "texts are pairs: what the plan says, and what is said for it; there is an odd one")
		}
		for i := 0; i+1 < len(texts.Items); i += 2 {
			t.texts = append(t.texts, [2]string{texts.Items[i].S, texts.Items[i+1].S})
		}
	}
	_, err = doc.Close()
	return t, err
}

// fields are what can stand in braces.
func fields() []string {
	return []string{"strand", "strands", "from", "to", "way", "with", "beside", "clamp", "behind", "outside", "tension", "amount", "boost",
		"back", "bight", "slack", "load", "face", "meets", "anchor", "knot", "tail", "need", "in", "out", "blocked", "piece", "cut", "short", "text"}
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

// Verb is the verb alone.
func (t *Table) Verb(v Verb) string { return t.verbs[v] }

// Object is what stands behind the verb.
func (t *Table) Object(a *Act) string {
	if a.Start {
		return t.fill(t.says[sayStart], a)
	}
	return t.fill(t.says[a.Verb], a)
}

// Line is an act in a line: the verb, then its object.
func (t *Table) Line(a *Act) string {
	return strings.TrimSpace(t.Verb(a.Verb) + " " + t.Object(a))
}

// Stays says that a clamp stays where it is.
func (t *Table) Stays(c plan.Clamp, g plan.Grip, r *plan.Racket) string {
	a := Act{Clamp: c, Strand: g.Strand, To: g.Hole, Outside: g.Outside, With: g.With}
	if g.With != "" {
		a.Beside = r.Beside(g).Hole
	}
	return t.fill(t.says[sayHold], &a)
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
	return strings.TrimSpace(out.String())
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
		return t.strands(a.Back)
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
