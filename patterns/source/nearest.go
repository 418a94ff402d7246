package source

import (
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
