package harmless

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
)

// ReadCSV reads a table that WriteCSV or a spreadsheet wrote; a byte order mark before it is passed over. Rows may differ in
// length; lines are those on which they begin. The error names the line and the column.
func ReadCSV(r io.Reader) (rows [][]string, lines []int, err error) {
	b := bufio.NewReader(r)
	if mark, err := b.Peek(3); err == nil && string(mark) == "\ufeff" {
		_, _ = b.Discard(3)
	}
	c := csv.NewReader(b)
	c.FieldsPerRecord = -1
	for {
		row, err := c.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, nil, fmt.Errorf("this is no table of comma-separated values: %w", err)
		}
		line, _ := c.FieldPos(0)
		rows, lines = append(rows, row), append(lines, line)
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
	return rows, lines, nil
}

// character is the one of a number, or the number where it is none that WriteCSV shows so.
func character(number string) string {
	n, err := strconv.ParseInt(number[3:len(number)-1], 16, 32)
	if r := rune(n); err == nil && (r == '<' || hidden(r)) {
		return string(r)
	}
	return number
}
