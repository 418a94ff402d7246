package shop

import (
	"fmt"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/library"
)

// BuiltIn is a layout or a technique sheet that a job can name without a file.
type BuiltIn struct {
	Name string `json:"name"`
	Kind string `json:"kind"` // layout or technique
	Says string `json:"says"` // what it is, in a line
}

// BuiltIns are all that are built in: the layouts, then the sheets, each by name.
func BuiltIns() (out []BuiltIn) {
	for _, name := range library.Layouts() {
		data, _ := library.Layout(name)
		if f, _, err := patterns.ReadLayout(name, data); err == nil { // it is built in, and tested
			says := fmt.Sprintf("%s %d×%d, mains start at the %s", f.Sport, len(f.Columns()), len(f.Crosses), f.Start)
			if f.Printed != nil {
				says += fmt.Sprintf(", %s to %s", f.Printed.Min.Short(), f.Printed.Max.Short())
			}
			out = append(out, BuiltIn{name, "layout", says})
		}
	}
	for _, name := range library.Techniques() {
		data, _ := library.Technique(name)
		out = append(out, BuiltIn{name, "technique", heading(string(data))})
	}
	return out
}

// heading is the remark with which a file begins, which says what it is for.
func heading(file string) string {
	var words []string
	for line := range strings.Lines(file) {
		text, remark := strings.CutPrefix(line, "#")
		if !remark {
			break
		}
		words = append(words, strings.TrimSpace(text))
	}
	return strings.Join(words, " ")
}
