//go:build !amd64

package play

// lookAhead is plainAhead, which on amd64 has vector code beside it.
func lookAhead(out, rows []float64, stride int, which []int, q, before, a, b, room []float64) {
	plainAhead(out, rows, stride, which, q, before, a, b, room)
}
