package play

const (
	// ahead is how many heights lookAhead gives.
	ahead = 8
	// block is how many modes its vector code takes at a time.
	block = 4
)

// padded is n rounded up to a multiple of block.
func padded(n int) int { return (n + block - 1) &^ (block - 1) }

// plainAhead gives the heights in the next eight free steps, q⁺ = a·q − b·q⁻, at
// some rows: out[8i+k] is row which[i] after k+1 steps. The rows lie stride
// elements apart; room, 8·len(q) long, is written over.
func plainAhead(out, rows []float64, stride int, which []int, q, before, a, b, room []float64) {
	m := len(q)
	was, now := before[:m], q
	a, b = a[:m], b[:m]
	for k := range ahead {
		next := room[k*m:][:m]
		for n := range next {
			next[n] = float64(a[n]*now[n]) - float64(b[n]*was[n]) // not fused: see dot
		}
		was, now = now, next
	}
	for i, j := range which {
		row := rows[j*stride:][:m]
		for k := range ahead {
			out[i*ahead+k] = dot(row, room[k*m:][:m])
		}
	}
}
