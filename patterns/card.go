package patterns

import (
	"strconv"
	"strings"

	"pullcard/patterns/source"
)

// Card is what a layout file says of a frame, as plain values without their places: what is printed on the frame's card.
// Empty texts and lists and noughts are values that the file leaves away. What was measured on the frame is not part of
// it. A Card need not make a frame; ReadLayout tells.
type Card struct {
	Name, Sport       string
	Mains, Crosses    int
	Skip              []string // holes as written, "7H"
	Start             string   // "head" or "throat"
	Holes, HolesRight int      // a side

	MainsHead, MainsThroat           []string
	MainsHeadRight, MainsThroatRight []string
	CrossesLeft, CrossesRight        []string
	Shared                           []string

	TieMains, TieCrosses   []string
	HoopLength, HoopWidth  string  // with the unit, "330 mm"
	HoopShape              float64 // exponent
	TensionMin, TensionMax string  // with the unit, "22 kg"
}

// ReadCard reads the values of a layout file, whether they make a frame or not. A value of the wrong kind counts as left
// away. The error is a source.Problems, and only for what is no TOML.
func ReadCard(file string, data []byte) (Card, error) {
	doc, err := source.Read(file, data)
	if err != nil {
		return Card{}, err
	}
	return parseLayout(doc).card(), nil
}

func (l *Layout) card() Card {
	right := func(right, left source.List) []string {
		if right.Pos == left.Pos {
			return nil // it is the left one, because the file has none
		}
		return words(right)
	}
	head, throat := l.MainsEnds[Left][Head], l.MainsEnds[Left][Throat]
	return Card{
		Name: l.Name.Value, Sport: l.Sport.Value, Mains: l.Mains.Value, Crosses: l.Crosses.Value, Skip: words(l.Skip), Start: l.Start.Value,
		Holes: l.Holes.Value, HolesRight: l.HolesRight.Value,
		MainsHead: words(head), MainsThroat: words(throat),
		MainsHeadRight: right(l.MainsEnds[Right][Head], head), MainsThroatRight: right(l.MainsEnds[Right][Throat], throat),
		CrossesLeft: words(l.CrossesEnds[Left]), CrossesRight: right(l.CrossesEnds[Right], l.CrossesEnds[Left]),
		Shared: words(l.Shared), TieMains: words(l.TieMains), TieCrosses: words(l.TieCrosses),
		HoopLength: l.HoopLength.Value, HoopWidth: l.HoopWidth.Value, HoopShape: l.HoopShape.Value,
		TensionMin: l.TensionMin.Value, TensionMax: l.TensionMax.Value,
	}
}

func words(l source.List) []string {
	var out []string
	for _, item := range l.Items {
		out = append(out, item.Value)
	}
	return out
}

// slot is a value of a card as it is written: its table, its key, the value as TOML, empty when it is left away, and
// the words that explain it. Words say nothing of the value itself, so that they stay true when it is changed.
type slot struct {
	table, key string
	value      string
	list       []string // the members, where the value is a list
	note       string
	block      int // keys of a block stand together, those of one table in one or two
}

func (s *slot) path() string {
	if s.table == "" {
		return s.key
	}
	return s.table + "." + s.key
}

// The blocks of a layout: what most frames need, the holes that do not follow from it, and the tables.
const (
	plainBlock = iota
	listBlock
	tieBlock
	hoopBlock
	tensionBlock
)

// slots are the values in the order in which a layout has them.
func (c Card) slots() []slot {
	list := func(table, key string, holes []string, note string) slot {
		return slot{table: table, key: key, value: source.QuoteAll(holes), list: holes, note: note}
	}
	text := func(table, key, value, note string) slot {
		s := slot{table: table, key: key, note: note}
		if value != "" {
			s.value = source.Quote(value)
		}
		return s
	}
	number := func(key string, n int, note string) slot {
		s := slot{key: key, note: note}
		if n != 0 {
			s.value = strconv.Itoa(n)
		}
		return s
	}
	slots := []slot{
		{key: "name", value: source.Quote(c.Name)},
		{key: "sport", value: source.Quote(c.Sport)},
		{key: "mains", value: strconv.Itoa(c.Mains)},
		{key: "crosses", value: strconv.Itoa(c.Crosses)},
		list("", "skip", c.Skip, "the mains pass these by, the crosses use them"),
		{key: "start", value: source.Quote(c.Start), note: "where the two centre mains loop"},
		number("holes", c.Holes, "a side"),
		number("holes_right", c.HolesRight, "where the right side has another number"),
		list("", "mains_head", c.MainsHead, ""),
		list("", "mains_throat", c.MainsThroat, ""),
		list("", "mains_head_right", c.MainsHeadRight, ""),
		list("", "mains_throat_right", c.MainsThroatRight, ""),
		list("", "crosses_left", c.CrossesLeft, ""),
		list("", "crosses_right", c.CrossesRight, ""),
		list("", "shared", c.Shared, "a main and a cross in each"),
		list("tie", "mains", c.TieMains, "both sides, unless one is named"),
		list("tie", "crosses", c.TieCrosses, ""),
		text("hoop", "length", c.HoopLength, "inside, along the mains"),
		text("hoop", "width", c.HoopWidth, ""),
		{table: "hoop", key: "shape", value: tomlNumber(c.HoopShape), note: "exponent of the superellipse"},
		text("tension", "min", c.TensionMin, "the range printed on the frame"),
		text("tension", "max", c.TensionMax, ""),
	}
	blocks(slots)
	return slots
}

// blocks sorts slots into blocks. Shared holes stand beside the lists of holes where there are any.
func blocks(slots []slot) {
	lists := false
	for i := range slots {
		s := &slots[i]
		listed := strings.HasPrefix(s.key, "mains_") || strings.HasPrefix(s.key, "crosses_")
		lists = lists || listed && s.value != ""
		switch {
		case s.table == "tie":
			s.block = tieBlock
		case s.table == "hoop":
			s.block = hoopBlock
		case s.table == "tension":
			s.block = tensionBlock
		case listed, lists && s.key == "shared":
			s.block = listBlock
		}
	}
}

func tomlNumber(v float64) string {
	if v == 0 {
		return ""
	}
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	return s
}
