// Package report is the form in which the other packages tell at length what they worked out, for print and for screens: sections of
// lines, some of which are to be looked at first.
//
// Fill a Section with Say, Add, Warn and Table; Write writes several.
package report

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"pullcard/patterns/harmless"
)

// Section is a part of what is told: a head, which may be empty, and its lines.
type Section struct {
	Head  string
	Lines []Line
}

// Line is one line of a section.
type Line struct {
	Text string
	Warn bool // to be looked at first
}

// Say adds a line.
func (s *Section) Say(format string, args ...any) { s.Add(fmt.Sprintf(format, args...)) }

// Add adds lines.
func (s *Section) Add(texts ...string) {
	for _, text := range texts {
		s.Lines = append(s.Lines, Line{Text: text})
	}
}

// Warn adds lines to look at first.
func (s *Section) Warn(texts ...string) {
	for _, text := range texts {
		s.Lines = append(s.Lines, Line{text, true})
	}
}

// Table adds rows whose cells, with tabs between them, stand in columns; tabwriter.AlignRight puts them to the right.
func (s *Section) Table(align uint, rows ...string) {
	var b strings.Builder
	t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', align)
	fmt.Fprintln(t, strings.Join(rows, "\n"))
	t.Flush()
	s.Add(strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")...)
}

// Write writes sections, a blank line between them and none for an empty one, what is to be looked at first marked.
func Write(out io.Writer, sections ...Section) {
	between := ""
	for _, s := range sections {
		if len(s.Lines) == 0 {
			continue
		}
		fmt.Fprint(out, between)
		between = "\n"
		if s.Head != "" {
			fmt.Fprintln(out, harmless.Text(s.Head))
		}
		for _, l := range s.Lines {
			mark := ""
			if l.Warn {
				mark = "! "
			}
			fmt.Fprintf(out, "%s%s\n", mark, harmless.Text(l.Text))
		}
	}
}
