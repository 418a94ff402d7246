package frame

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"pullcard/patterns"
)

// id names a field of the form; the fields come in the order of a frame's card.
type id int

const (
	fName id = iota
	fSport
	fStrings
	fSkipHead
	fSkipThroat
	fStart
	fMainsHead
	fMainsThroat
	fMainsHeadRight
	fMainsThroatRight
	fCrossesLeft
	fCrossesRight
	fShared
	fHoles
	fHolesRight
	fTieMains
	fTieCrosses
	fTension
	fHoop
	fShape
	fRemark
	fields
	fSave = fields // the row below the fields
)

// field is one question of the form.
type field struct {
	label string
	paths []string // keys of the layout that it stands for
	hint  string
	get   func(c *patterns.Card) string
	// put reads what was typed into the card; the error says what to write.
	put func(c *patterns.Card, text string) error
}

// form lists the fields. Of a layout's keys each belongs to one field, but for skip, which two share.
func form() [fields]field {
	return [fields]field{
		fName: text("name", "name", "what the card calls the frame", func(c *patterns.Card) *string { return &c.Name }),
		fSport: {"sport", []string{"sport"}, "t tennis, b badminton, s squash, r racquetball",
			func(c *patterns.Card) string { return c.Sport },
			func(c *patterns.Card, s string) error { c.Sport = word(s, sports()); return nil }},
		fStrings:    {"mains x crosses", []string{"mains", "crosses"}, "as 16x19", getStrings, putStrings},
		fSkipHead:   skips("skips at head", patterns.Head),
		fSkipThroat: skips("skips at throat", patterns.Throat),
		fStart: {"start", []string{"start"}, "h or t: the end where the two centre mains loop",
			func(c *patterns.Card) string { return c.Start },
			func(c *patterns.Card, s string) error { c.Start = word(s, []string{"head", "throat"}); return nil }},
		fMainsHead:        list("mains at head", "mains_head", "H", "from the centre outwards", func(c *patterns.Card) *[]string { return &c.MainsHead }),
		fMainsThroat:      list("mains at throat", "mains_throat", "T", "from the centre outwards", func(c *patterns.Card) *[]string { return &c.MainsThroat }),
		fMainsHeadRight:   list(".. right, head", "mains_head_right", "H", "the right side's, from the centre outwards", func(c *patterns.Card) *[]string { return &c.MainsHeadRight }),
		fMainsThroatRight: list(".. right, throat", "mains_throat_right", "T", "the right side's, from the centre outwards", func(c *patterns.Card) *[]string { return &c.MainsThroatRight }),
		fCrossesLeft:      list("crosses in", "crosses_left", "", "from the head down, as 7H .. 7T", func(c *patterns.Card) *[]string { return &c.CrossesLeft }),
		fCrossesRight:     list(".. on the right", "crosses_right", "", "the right side's, from the head down", func(c *patterns.Card) *[]string { return &c.CrossesRight }),
		fShared:           list("shared holes", "shared", "", "a main and a cross in each, as 10H 9T", func(c *patterns.Card) *[]string { return &c.Shared }),
		fHoles:            number("holes a side", "holes", "what the strings need; count the frame's", func(c *patterns.Card) *int { return &c.Holes }),
		fHolesRight:       number(".. on the right", "holes_right", "where the right side has another number", func(c *patterns.Card) *int { return &c.HolesRight }),
		fTieMains:         list("tie mains in", "tie.mains", "", "as 8T; one side alone: 8TL", func(c *patterns.Card) *[]string { return &c.TieMains }),
		fTieCrosses:       list("tie crosses in", "tie.crosses", "", "as 6H 6T; one side alone: 6HL", func(c *patterns.Card) *[]string { return &c.TieCrosses }),
		fTension: {"tension range", []string{"tension", "tension.min", "tension.max"}, "as printed, 22-27 kg; nothing leaves it out",
			func(c *patterns.Card) string { return joinPair(c.TensionMin, c.TensionMax, "-", " - ") },
			func(c *patterns.Card, s string) error {
				c.TensionMin, c.TensionMax = pair(s, "", "-", "–", "/", " to ")
				return nil
			}},
		fHoop: {"hoop", []string{"hoop", "hoop.length", "hoop.width"}, "inside, length x width in mm, as 330x250; nothing leaves it out",
			func(c *patterns.Card) string { return joinPair(c.HoopLength, c.HoopWidth, "x", " x ") },
			func(c *patterns.Card, s string) error {
				c.HoopLength, c.HoopWidth = pair(s, "mm", "x", "×", "*")
				return nil
			}},
		fShape: {"hoop's shape", []string{"hoop.shape"}, "exponent of the superellipse; 2 is an ellipse",
			func(c *patterns.Card) string { return trimFloat(c.HoopShape) }, putShape},
		fRemark: {"remark", nil, "a comment on top: where the values come from; nothing leaves it out",
			func(c *patterns.Card) string { return "" }, func(*patterns.Card, string) error { return nil }},
	}
}

func sports() []string {
	return []string{string(patterns.Tennis), string(patterns.Badminton), string(patterns.Squash), string(patterns.Racquetball)}
}

// word is the one of some words that a text begins, or the text.
func word(s string, known []string) string {
	s = strings.TrimSpace(s)
	for _, k := range known {
		if s != "" && strings.HasPrefix(k, strings.ToLower(s)) {
			return k
		}
	}
	return s
}

func text(label, path, hint string, of func(*patterns.Card) *string) field {
	return field{label, []string{path}, hint, func(c *patterns.Card) string { return *of(c) },
		func(c *patterns.Card, s string) error { *of(c) = strings.TrimSpace(s); return nil }}
}

func number(label, path, hint string, of func(*patterns.Card) *int) field {
	return field{label, []string{path}, hint,
		func(c *patterns.Card) string {
			if n := *of(c); n != 0 {
				return strconv.Itoa(n)
			}
			return ""
		},
		func(c *patterns.Card, s string) (err error) {
			*of(c), err = whole(s)
			return err
		}}
}

// list is a field of holes; a bare number is counted from the end, when there is one.
func list(label, path, end, hint string, of func(*patterns.Card) *[]string) field {
	return field{label, []string{path}, hint + none(path),
		func(c *patterns.Card) string { return bare(*of(c), end) },
		func(c *patterns.Card, s string) error { *of(c) = holes(s, end); return nil }}
}

// none says how to say that there are none, where there could be.
func none(path string) string {
	if path == "shared" || path == "skip" {
		return "; - for none"
	}
	return ""
}

// skips are those of the skipped holes that are counted from one end; the others stay.
func skips(label string, end patterns.End) field {
	own := func(hole string) bool { return strings.Contains(hole, "T") == (end == patterns.Throat) }
	mine := func(c *patterns.Card) (out []string) {
		for _, hole := range c.Skip {
			if own(hole) {
				out = append(out, hole)
			}
		}
		return out
	}
	return field{label, []string{"skip"}, "holes that the mains pass by, as 7 9" + none("skip"),
		func(c *patterns.Card) string { return bare(mine(c), end.Letter()) },
		func(c *patterns.Card, s string) error {
			typed := holes(s, end.Letter())
			for _, hole := range typed {
				if r, err := patterns.ParseRef(hole); err == nil && r.End != end {
					return fmt.Errorf("%s is counted from the other end; write it with the skips at the %s", hole, r.End)
				}
			}
			c.Skip = among(c.Skip, typed, own)
			return nil
		}}
}

// among puts holes in the place of those of a list that are of their kind; more of them come last.
func among(list, holes []string, own func(string) bool) (out []string) {
	for _, hole := range list {
		switch {
		case !own(hole):
			out = append(out, hole)
		case len(holes) > 0:
			out, holes = append(out, holes[0]), holes[1:]
		}
	}
	return append(out, holes...)
}

// holes reads "7 9" as 7H and 9H when the end is the head; "-" is none.
func holes(s, end string) (out []string) {
	for _, w := range strings.FieldsFunc(strings.ToUpper(s), func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\t' }) {
		digits := strings.TrimRight(w, "LR")
		switch {
		case w == "-" || w == "NONE":
			continue
		case end != "" && digits != "" && strings.Trim(digits, "0123456789") == "":
			w = digits + end + w[len(digits):]
		}
		out = append(out, w)
	}
	return out
}

// bare writes holes without the end that is meant anyhow.
func bare(holes []string, end string) string {
	out := make([]string, len(holes))
	for i, h := range holes {
		if r, err := patterns.ParseRef(h); err == nil && r.End.Letter() == end {
			h = strings.Replace(h, end, "", 1)
		}
		out[i] = h
	}
	return strings.Join(out, " ")
}

func getStrings(c *patterns.Card) string {
	if c.Mains == 0 && c.Crosses == 0 {
		return ""
	}
	return strconv.Itoa(c.Mains) + "x" + strconv.Itoa(c.Crosses)
}

var errStrings = errors.New("write mains x crosses, as 16x19")

// putStrings reads "16x19"; "16" alone leaves the crosses open.
func putStrings(c *patterns.Card, s string) error {
	c.Mains, c.Crosses = 0, 0
	two := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return strings.ContainsRune("x×*/ ", r) })
	if len(two) == 0 || len(two) > 2 {
		return errStrings
	}
	mains, err := whole(two[0])
	if err != nil {
		return errStrings
	}
	c.Mains = mains
	if len(two) == 1 {
		return errStrings
	}
	if c.Crosses, err = whole(two[1]); err != nil {
		return errStrings
	}
	return nil
}

func whole(s string) (int, error) {
	s = strings.TrimSpace(s)
	if s == "" {
		return 0, nil
	}
	n, err := strconv.ParseUint(s, 10, 12)
	if err != nil {
		return 0, errors.New("write a whole number, as 35")
	}
	return int(n), nil
}

func putShape(c *patterns.Card, s string) (err error) {
	c.HoopShape = 0
	if s = strings.TrimSpace(s); s == "" {
		return nil
	}
	if c.HoopShape, err = strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64); err != nil {
		c.HoopShape, err = 0, errors.New("write a number, as 2.2")
	}
	return err
}

func trimFloat(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
