package voice

import (
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"

	"pullcard/patterns/harmless"
)

// Complaint is one thing that is wrong, for scripts.
type Complaint struct {
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`
	Column  int    `json:"column,omitempty"`
	Problem string `json:"problem"`
	Remedy  string `json:"remedy,omitempty"`
}

// Complain writes what is wrong: a line a problem, or as JSON.
func Complain(out io.Writer, json bool, lines ...string) {
	if !json {
		for _, line := range lines {
			fmt.Fprintln(out, harmless.Text(line))
		}
		return
	}
	list := make([]Complaint, len(lines))
	place := regexp.MustCompile(`^(.+?):(\d+):(\d+): (.*)$`)
	for i, line := range lines {
		c := &list[i]
		if at := place.FindStringSubmatch(line); at != nil {
			c.File, line = at[1], at[4]
			c.Line, _ = strconv.Atoi(at[2])
			c.Column, _ = strconv.Atoi(at[3])
		}
		c.Problem, c.Remedy, _ = strings.Cut(line, "; ")
	}
	_ = harmless.WriteJSON(out, list, "  ") // there is nowhere left to say that it cannot be written
}
