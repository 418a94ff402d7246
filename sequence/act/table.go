package act

import (
	"cmp"
	_ "embed" // the two tables that are built in
	"slices"
	"strconv"
	"strings"
	"sync"

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
	bench       map[string]string // what is said beside acts
	short       map[string]string // what stands in large letters beside verbs
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
	sayAlso   = "also"   // what leads from a strand to the next in hand: nothing of an act is said twice
	sayOn     = "on"     // a clamp comes to where the gripper pulls
	sayAgain  = "again"  // before what is done once more
	sayHold   = "stays"  // a clamp stays
	sayStands = "stands" // where a clamp stands
	sayFree   = "free"   // a clamp that stands nowhere
	sayChange = "change" // before a pull that the machine is set to another tension for
	sayBoost  = "boost"  // a warning before a boosted pull
	sayStart  = "tie-start"
	saySlack  = "is-slack" // what hands can find where a strand is pressed before a clamp comes off
	sayTight  = "is-tight"
)

// nameKeys are the names that a table can have.
func nameKeys() []string {
	return []string{"main", "cross", "hole", "L", "R", "H", "T", "over", "under", "up", "down", "left", "right", "point", "and", "upto", "sided", "A", "B", "S",
		"mains", "crosses", "whole"}
}

// BenchKeys are what a table says of the bench itself.
func BenchKeys() []string {
	return []string{"keys", "looking", "way-back", "left", "nothing", "stand", "resume", "long", "more", "answers", "felt", "why", "words", "strung", "closed",
		"differed", "planned", "leave", "nought", "typed", "back", "anew", "other-side"}
}

// Bench is one of BenchKeys in words, with a text of the plan or the screen filled in; a table that does not have it says it as Spoken does.
func (t *Table) Bench(key, text string) string {
	return strings.ReplaceAll(cmp.Or(t.bench[key], english().bench[key]), "{text}", t.Text(text))
}

// shortKeys are the words that a table has for large letters.
func shortKeys() []string {
	return []string{"in", "to", "on", "off", "slack", "is-slack", "is-tight", "slowly", "boost", "look-at", "look-first", "cut", "cut-first", "loop", "scrap-in", "scrap-out", "out-at", "scrap-end", "feed-in", "slack-first",
		"bight", "tail", "sleeve", "keep", "leave-tail", "leave-short", "away", "later", "clamp-on", "clamp-off", "behind", "outside", "then", "clean-jaws", "clean-base", "awl", "fan", "fresh", "mark", "face-away", "mind-mains", "press-first", "anew", "stand-so",
		"free", "stand-keys", "then-enter"}
}

// Short is one of the words for large letters, with a text filled in; a table that does not have it says it as Written does.
func (t *Table) Short(key, text string) string {
	return strings.TrimSpace(strings.ReplaceAll(cmp.Or(t.short[key], onScreens().short[key]), "{text}", text))
}

// onScreens is Written, read once.
var onScreens = sync.OnceValue(Written)

// english is Spoken, read once.
var english = sync.OnceValue(Spoken)

// Read reads a table. Its tables are verbs, says, names, bench, short and texts, and a list numbers; in a saying the names of fields may stand
// in braces, as {strand}. What stands in brackets is left away where one of those in it is empty. The error is a source.Problems.
func Read(file string, data []byte) (*Table, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return nil, err
	}
	t := &Table{verbs: map[Verb]string{}, says: map[Verb]string{}, names: map[string]string{}, bench: map[string]string{}, short: map[string]string{}}
	root := doc.Root()
	keys := []Verb{sayAlso, sayOn, sayAgain, sayHold, sayStands, sayFree, sayChange, sayBoost, sayStart, saySlack, sayTight}
	for _, v := range append(Verbs(), keys...) {
		if own := root.Table("verbs"); own != nil {
			t.verbs[v] = own.Text(string(v)).Value
		}
		if says := root.Table("says"); says != nil {
			text := says.Text(string(v))
			if bad := unknown(text.Value); bad != "" {
				doc.Problem(text.Pos, "says.%s has %s; what can stand in braces is %s", v, bad, fieldNames())
			}
			t.says[v] = text.Value
		}
	}
	if names := root.Table("names"); names != nil {
		for _, k := range nameKeys() {
			t.names[k] = names.Text(k).Value
		}
	}
	if own := root.Table("bench"); own != nil {
		for _, k := range BenchKeys() {
			t.bench[k] = own.Text(k).Value
		}
	}
	if own := root.Table("short"); own != nil {
		for _, k := range shortKeys() {
			t.short[k] = own.Text(k).Value
		}
	}
	for _, n := range root.List("numbers").Items {
		t.numbers = append(t.numbers, n.Value)
	}
	if texts := root.List("texts"); texts.Given {
		if len(texts.Items)%2 != 0 {
			doc.Problem(texts.Pos, "texts are pairs: what the plan says, and what is said for it; there is an odd one")
		}
		for i := 0; i+1 < len(texts.Items); i += 2 {
			t.texts = append(t.texts, [2]string{texts.Items[i].Value, texts.Items[i+1].Value})
		}
	}
	_, err = doc.Close()
	return t, err
}

// Verb is the verb alone.
func (t *Table) Verb(v Verb) string { return t.verbs[v] }

// Object is what stands behind the verb.
func (t *Table) Object(a *Act) string {
	if a.Start {
		return t.fill(t.says[sayStart], a)
	}
	out := t.fill(t.says[a.Verb], a)
	for i, found := range t.Felt(a) {
		out += "; " + t.number(strconv.Itoa(i+1)) + ": " + found
	}
	return strings.ReplaceAll(out, "?; ", "? ")
}

// Felt is what hands can find where a strand is pressed before a clamp comes off: the first where it may; none of other acts. A table that
// does not have it says it as Spoken does.
func (t *Table) Felt(a *Act) (out []string) {
	if !a.Asks {
		return nil
	}
	for _, key := range []Verb{saySlack, sayTight} {
		says := t.says[key]
		if says == "" {
			says = english().says[key]
		}
		out = append(out, t.fill(says, a))
	}
	return out
}

// Line is an act in a line: the verb, then its object.
func (t *Table) Line(a *Act) string {
	return strings.TrimSpace(t.Verb(a.Verb) + " " + t.Object(a))
}

// Stand says of each clamp where it stands, and of one that stands nowhere that it is free.
func (t *Table) Stand(at func(plan.Clamp) *plan.Grip) (out []string) {
	for _, c := range plan.Clamps() {
		says, a := sayFree, Act{Clamp: c}
		if g := at(c); g != nil {
			says, a = sayStands, Act{Clamp: c, Strand: g.Strand, To: g.Hole, Outside: g.Outside, With: g.With}
		}
		out = append(out, t.fill(t.says[Verb(says)], &a))
	}
	return out
}

// Stays says that a clamp stays where it is.
func (t *Table) Stays(c plan.Clamp, g plan.Grip, r *plan.Racket) string {
	a := Act{Clamp: c, Strand: g.Strand, To: g.Hole, Outside: g.Outside, With: g.With}
	if g.With != "" {
		a.Beside = r.Beside(g).Hole
	}
	return t.fill(t.says[sayHold], &a)
}
