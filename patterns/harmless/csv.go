package harmless

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

// WriteCSV writes a table as comma-separated values (RFC 4180) of two columns or more. A cell that a spreadsheet would run
// becomes text by an apostrophe before it, and hidden characters are shown as Text does. ReadCSV gives back the same cells.
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

// ReadCSV reads a table that WriteCSV or a spreadsheet wrote; a byte order mark before it is passed over. Rows may differ in
// length. The error names the line and the column.
func ReadCSV(r io.Reader) ([][]string, error) {
	b := bufio.NewReader(r)
	if mark, err := b.Peek(3); err == nil && string(mark) == "\ufeff" {
		_, _ = b.Discard(3)
	}
	c := csv.NewReader(b)
	c.FieldsPerRecord = -1
	rows, err := c.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("this is no table of comma-separated values: %w", err)
	}
	numbers := regexp.MustCompile(`<U\+[0-9A-F]{4,6}>`)
	for _, row := range rows {
		for i, cell := range row {
			cell = numbers.ReplaceAllStringFunc(cell, character)
			if rest, ok := strings.CutPrefix(cell, "'"); ok && guarded(rest) {
				cell = rest
			}
			row[i] = cell
		}
	}
	return rows, nil
}

// character is the one of a number, or the number where it is none that WriteCSV shows so.
func character(number string) string {
	n, err := strconv.ParseInt(number[3:len(number)-1], 16, 32)
	if r := rune(n); err == nil && (r == '<' || hidden(r)) {
		return string(r)
	}
	return number
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
