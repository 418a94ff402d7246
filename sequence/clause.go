package sequence

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// Clause is one thing that a technique sheet settles, in words.
type Clause struct {
	Key  string // where a sheet says it, as "mains.lead"
	Says string
	// Usual says that the sheet leaves it open, and that it is as usual.
	Usual bool
	// Value is what it is set to as a sheet writes it, `"R"` or 3; an empty text where it is set to nothing. Takes are the words that
	// it takes, none where it takes others.
	Value string
	Takes []string
}

// Clauses are all settings of a sheet in the order of the work, whether it says them itself or leaves them as usual.
func (t *Technique) Clauses() (out []Clause) {
	say := func(key string, value any, format string, args ...any) {
		out = append(out, Clause{key, fmt.Sprintf(format, args...), !t.written(key), literal(value), t.takes[key]})
	}
	length := func(mm float64) string { return fmt.Sprintf("%g mm", mm) }
	one := t.Pieces == 1
	say("name", t.Name, "called %s", t.Name)
	say("pieces", t.Pieces, "strung with %s of string", [...]string{"one piece", "two pieces"}[t.Pieces-1])
	if one {
		say("around", t.Around, "the long side %s around the outer main", map[bool]string{true: "goes", false: "does not go"}[t.Around])
	}
	say("mount.order", t.Mount.Order, "supports go on in this order: %s", strings.Join(t.Mount.Order, ", "))
	say("mount.release", t.Mount.Release, "they come off in this order: %s", strings.Join(t.Mount.Release, ", "))
	say("mount.mark", t.Mount.Mark, "the frame lies with %s", t.Mount.Mark)
	say("clamps.flying", t.Clamps.Flying, "%s", counted(t.Clamps.Flying, "flying clamp"))
	say("clamps.fixed", t.Clamps.Fixed, "%s", counted(t.Clamps.Fixed, "fixed clamp"))
	say("clamps.starting", t.Clamps.Starting, "%s", counted(t.Clamps.Starting, "starting clamp"))
	say("mains.first", t.Mains.First, "the first main pulled is on the %s", sideWord(t.Mains.First))
	say("mains.lead", t.Mains.Lead, "one side runs ahead by %s at most", counted(t.Mains.Lead, "pull"))
	say("mains.then", map[bool]string{true: "overtake", false: "level"}[t.Mains.Overtake], "%s",
		map[bool]string{true: "in turn each side runs on until it leads by that", false: "the side ahead runs until it leads by that, the other until it is level"}[t.Mains.Overtake])
	say("mains.boost", t.Mains.Boost, "%s of each side boosted", counted(t.Mains.Boost, "last main"))
	if one {
		say("mains.short", t.Mains.Short, "the short side is the %s", sideWord(t.Mains.Short))
	} else {
		say("crosses.side", t.Cross.Side, "the crosses' string begins on the %s", sideWord(t.Cross.Side))
		say("crosses.start", t.Cross.Start, "%s", map[Start]string{StartClamp: "the starting clamp holds the first cross; its tail is pulled again and tied later",
			StartKnot: "the crosses begin with a starting knot", StartSkip: "the second cross goes in first; the first is doubled back and pulled last"}[t.Cross.Start])
		if t.Cross.Start == StartClamp {
			say("crosses.repull", map[bool]string{true: "end", false: "third"}[t.Cross.RepullEnd],
				"the first cross's tail is pulled again %s", map[bool]string{true: "at the end", false: "after the third cross"}[t.Cross.RepullEnd])
		}
	}
	say("crosses.from", t.Cross.From, "crosses go in from the %s", t.Cross.From)
	say("crosses.clamps", t.Cross.Clamps, "%s free for the crosses", counted(t.Cross.Clamps, "clamp"))
	say("crosses.ahead", t.Cross.Ahead, "%s", map[bool]string{true: "the next cross is woven before one is pulled", false: "each cross is woven when the one before is pulled"}[t.Cross.Ahead])
	if t.Cross.First == "" {
		say("crosses.first", "", "the first cross passes its first main as the grid of the bed has it")
	} else {
		say("crosses.first", t.Cross.First, "the first cross passes its first main %s", t.Cross.First)
	}
	if t.Boost.Amount.IsZero() {
		say("boost.percent", t.Boost.Percent, "a boost is %g %%", t.Boost.Percent)
		say("boost.amount", "", "and no amount")
	} else {
		say("boost.percent", "", "a boost is no share")
		say("boost.amount", t.Boost.Amount, "but %s", t.Boost.Amount.Short())
	}
	say("tie.knot", t.Knot, "knots are %s", t.Knot)
	say("tie.tail", length(t.TailMM), "%g mm of tail stay past a knot", t.TailMM)
	reach := cmp.Or(t.Reach, plan.UsualReach)
	say("tie.reach", reach, "a run outside takes %s at most", counted(reach, "hole-step"))
	walk := plan.Walk{Mains: plan.UsualWalkMains, Crosses: plan.UsualWalkCrosses}
	if t.Walk != nil {
		walk = *t.Walk
	}
	say("redo.walk.mains", walk.Mains, "slack is walked out of %s at most, beyond it mains are undone", counted(walk.Mains, "main"))
	say("redo.walk.crosses", walk.Crosses, "and of %s", map[bool]string{true: "1 cross", false: fmt.Sprintf("%d crosses", walk.Crosses)}[walk.Crosses == 1])
	for _, sport := range patterns.Sports() {
		say("cut.walls."+string(sport), length(t.Walls[sport]), "a pass through the wall of a %s frame takes %g mm of string", sport, t.Walls[sport])
	}
	say("cut.margin", length(t.Cut.WeaveMM), "%g mm of each piece are left to weave with", t.Cut.WeaveMM)
	say("cut.knot", length(t.Cut.KnotMM), "a starting knot takes %g mm", t.Cut.KnotMM)
	say("cut.tape", length(t.Cut.TapeMM), "lengths are rounded up to %g mm", t.Cut.TapeMM)
	return out
}

// literal is a value as a sheet writes it.
func literal(value any) string {
	switch v := value.(type) {
	case int, bool, float64:
		return fmt.Sprint(v)
	case []string:
		return source.QuoteAll(v)
	}
	return source.Quote(fmt.Sprint(value))
}

// written says whether the sheet has a key; a wall is also said for all sports together.
func (t *Technique) written(key string) bool {
	return t.keys[key] || strings.HasPrefix(key, "cut.walls.") && t.keys["cut.wall"]
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Typed is what a sheet's text says of a clause as a form has it: the value without its quotes, and behind a sharp sign the reason.
func (c Clause) Typed(sheet []byte) string {
	for _, e := range source.Entries(sheet) {
		if e.Header || e.Path != c.Key {
			continue
		}
		text := plain(string(sheet[e.Value.Start:e.Value.End]))
		if e.List {
			var words []string
			for _, item := range e.Items {
				words = append(words, item.Text)
			}
			text = strings.Join(words, ", ")
		}
		if why := source.Remarks(sheet)[c.Key]; why != "" {
			text += " # " + why
		}
		return text
	}
	return ""
}

// Usually is the value in the same way.
func (c Clause) Usually() string {
	return Clause{Key: "x"}.Typed([]byte("x = " + c.Value))
}

// plain is a value without its quotes.
func plain(value string) string {
	if doc, err := source.Read("", []byte("x = "+value)); err == nil && strings.Trim(value[:1], `"'`) == "" {
		return doc.Root().Text("x").Value
	}
	return value
}

// Put makes the text of a sheet say what was typed of one of some clauses; nothing typed leaves the clause as usual, and its reason goes
// too. Whether the sheet means anything then is not asked.
func Put(sheet []byte, clauses []Clause, at int, typed string) ([]byte, error) {
	c, order := clauses[at], make([]string, len(clauses))
	for i := range clauses {
		order[i] = clauses[i].Key
	}
	typed, why, _ := strings.Cut(" "+typed, " #")
	typed, why = strings.TrimSpace(typed), strings.TrimSpace(why)
	value := source.Quote(typed)
	switch _, number := strconv.ParseFloat(typed, 64); {
	case typed == "":
		value, why = "", ""
	case strings.HasPrefix(c.Value, "["):
		words := strings.Split(typed, ",")
		for i := range words {
			words[i] = strings.TrimSpace(words[i])
		}
		value = source.QuoteAll(words)
	case (c.Value == `""` || !strings.HasPrefix(c.Value, `"`)) && (number == nil || typed == "true" || typed == "false"):
		value = typed
	}
	return patterns.EditValue("sheet", sheet, order, c.Key, value, why)
}
