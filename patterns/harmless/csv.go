package harmless

import (
	"encoding/csv"
	"io"
	"strings"
	"unicode"
)

// WriteCSV writes a table as comma-separated values (RFC 4180) of two columns or more. A cell that a spreadsheet would run
// becomes text by an apostrophe before it, and hidden characters are shown as Text does.
func WriteCSV(w io.Writer, rows [][]string) error {
	c := csv.NewWriter(w)
	for _, row := range rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			// What looks like a number in brackets already is told from one that WriteCSV makes.
			cells[i] = show(strings.ReplaceAll(cell, "<U+", number('<')+"U+"), "\n\t")
			if guarded(cell) {
				cells[i] = "'" + cells[i]
			}
		}
		if err := c.Write(cells); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// guarded says whether a cell needs an apostrophe: one that a spreadsheet takes for a formula, in spite of spaces before it
// and also when its sign is as wide as a CJK letter, or one that has an apostrophe before such. A number below nought is none.
// After OWASP, "CSV Injection", which lists = + - @, tab and carriage return.
func guarded(cell string) bool {
	cell = strings.TrimLeftFunc(cell, func(r rune) bool { return r == '\'' || unicode.IsSpace(r) || hidden(r) })
	if cell == "" || !strings.ContainsRune("=+-@＝＋－＠", []rune(cell)[0]) {
		return false
	}
	return strings.Trim(cell[1:], "0123456789.") != "" || cell[0] != '-'
}
