// Package toy is there to be mutated.
package toy

const far = 3

// Far says whether a number lies beyond the bound; its test knows nothing of the bound itself.
func Far(n int) bool { return n > far }

// Between says whether a number lies in a range, to which its ends belong.
func Between(n, low, high int) bool { return n >= low && n <= high }

// First counts how many of a row are below nought before one is not.
func First(row []float64) int {
	n := 0
	for _, v := range row {
		if v < 0 {
			n++
			continue
		}
		break
	}
	return n
}

// Never is not tested.
func Never(ok bool) int {
	if ok {
		return max(1, len("toy"))
	}
	return 0
}
