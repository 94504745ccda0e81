package unit

import (
	"fmt"
	"strings"
)

// Spans prints ascending numbers, runs of three and more shortened: 1-4, 7, 9-22.
func Spans(n []int) string {
	var parts []string
	for i := 0; i < len(n); {
		j := i
		for j+1 < len(n) && n[j+1] == n[j]+1 {
			j++
		}
		switch {
		case j-i >= 2:
			parts = append(parts, fmt.Sprintf("%d-%d", n[i], n[j]))
		case j > i:
			parts = append(parts, fmt.Sprint(n[i]), fmt.Sprint(n[j]))
		default:
			parts = append(parts, fmt.Sprint(n[i]))
		}
		i = j + 1
	}
	return strings.Join(parts, ", ")
}
