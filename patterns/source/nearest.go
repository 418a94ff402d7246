package source

import (
	"fmt"
	"slices"
	"sort"
	"strings"
)

// Nearest is the word that needs the fewest letters changed to become the given one, or "" where none comes close:
// more than a third of the letters would have to change.
func Nearest(word string, known []string) string {
	sorted := append([]string(nil), known...)
	sort.Strings(sorted)
	best, least := "", len([]rune(word))/3+2
	for _, k := range sorted {
		if d := distance(strings.ToLower(word), strings.ToLower(k)); d < least {
			best, least = k, d
		}
	}
	return best
}

// Meant asks whether the word was meant that comes near to one that is not known, `did you mean "skip"?`; empty where none does.
func Meant(word string, known []string) string {
	if near := Nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return ""
}

// Instead is Meant, or where none comes near "there are" with all that are known.
func Instead(word string, known []string) string {
	if near := Meant(word, known); near != "" {
		return near
	}
	if slices.ContainsFunc(known, func(k string) bool { return strings.Contains(k, ",") }) {
		return "there are " + strings.Join(known, "; ")
	}
	last := len(known) - 1
	if last < 1 {
		return "there is " + strings.Join(known, "")
	}
	return "there are " + strings.Join(known[:last], ", ") + " and " + known[last]
}

// distance is the Levenshtein distance in characters.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	row := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i, c := range s {
		diagonal := row[0]
		row[0] = i + 1
		for j, d := range t {
			change := diagonal
			if c != d {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(t)]
}
