package report

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Characters measures text of which every character is one wide.
func Characters(text string) float64 { return float64(utf8.RuneCountInString(text)) }

// units are those in which anything is told, with a blank on either side.
const units = " % kg lb N N/mm N·m Hz mm m cm g min h °C "

// IsUnit says whether a word is the unit of the number before it, with which it stays on one line.
func IsUnit(before, word string) bool {
	number := before != "" && '0' <= before[len(before)-1] && before[len(before)-1] <= '9'
	return number && strings.Contains(units, " "+strings.TrimRight(word, ".,;:)")+" ")
}

// Wrap breaks text into lines that are no wider than a width by some measure, at spaces where it can; a word that is too
// long is broken. A line always takes at least one character.
func Wrap(text string, width float64, measure func(string) float64) []string {
	var lines []string
	line := ""
	for word := range strings.SplitSeq(text, " ") {
		if word == "" {
			continue
		}
		if line != "" && measure(line+" "+word) <= width {
			line += " " + word
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for line = word; measure(line) > width; {
			head := fitting(line, width, measure)
			lines, line = append(lines, line[:head]), line[head:]
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fitting is how many bytes of a word fit, one character at the least. Accents stay with their letter.
func fitting(word string, width float64, measure func(string) float64) int {
	end := 0
	for i, r := range word {
		next := i + utf8.RuneLen(r)
		if end > 0 && measure(word[:next]) > width {
			break
		}
		end = next
	}
	for back := end; back > 0; {
		r, _ := utf8.DecodeRuneInString(word[back:])
		if !unicode.Is(unicode.M, r) {
			return back
		}
		_, size := utf8.DecodeLastRuneInString(word[:back])
		back -= size
	}
	return end
}

// Clip keeps some lines of several and marks that there were more, no wider than a width.
func Clip(lines []string, most int, width float64, measure func(string) float64) []string {
	if len(lines) <= most {
		return lines
	}
	out := slices.Clone(lines[:most])
	last := []rune(out[most-1])
	for len(last) > 0 && measure(string(last)+"…") > width {
		last = last[:len(last)-1]
	}
	out[most-1] = strings.TrimRight(string(last), " ") + "…"
	return out
}
