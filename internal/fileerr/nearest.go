package fileerr

import "strings"

// Nearest is the known word that a misspelt one was most likely meant to be,
// or "" where none is near: at most a third of its letters wrong, missing,
// added or swapped with a neighbour. Case does not count.
func Nearest(word string, known []string) string {
	const longest = 40 // no known word is longer: spare the work
	if word == "" || len(word) > longest {
		return ""
	}
	best, bestSlips := "", 0
	for _, k := range known {
		n := Slips(strings.ToLower(word), strings.ToLower(k))
		if 3*n > max(len(k), 3) || (best != "" && n >= bestSlips) {
			continue
		}
		best, bestSlips = k, n
	}
	return best
}

// Slips counts letters wrong, missing, added or swapped between two words
// (the optimal string alignment distance, byte by byte).
func Slips(a, b string) int {
	before, row := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		next := make([]int, len(b)+1)
		next[0] = i
		for j := 1; j <= len(b); j++ {
			wrong := 1
			if a[i-1] == b[j-1] {
				wrong = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+wrong)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, row = row, next
	}
	return row[len(b)]
}
