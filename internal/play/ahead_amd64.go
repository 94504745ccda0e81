package play

import "golang.org/x/sys/cpu"

// lookAhead is plainAhead, to the bit, by vector code where the processor has
// AVX and the modes come in whole blocks. Half of a contact run's time goes by
// here in plain Go. GODEBUG=cpu.avx=off tries the program without.
func lookAhead(out, rows []float64, stride int, which []int, q, before, a, b, room []float64) {
	m := len(q)
	if !cpu.X86.HasAVX || m == 0 || m%block != 0 {
		plainAhead(out, rows, stride, which, q, before, a, b, room)
		return
	}
	// Nothing stops the vector code at an end: wrong lengths must panic here.
	before, a, b, room = before[:m:m], a[:m:m], b[:m:m], room[:ahead*m]
	if len(which) == 0 {
		return
	}
	modesAhead(&room[0], &q[0], &before[0], &a[0], &b[0], m)
	for i, j := range which {
		to, row := out[i*ahead:(i+1)*ahead], rows[j*stride:][:m]
		rowAhead(&to[0], &row[0], &room[0], m)
	}
}

// modesAhead moves n modes, a multiple of four and not 0, by eight steps: room
// gets 8·n of them.
//
//go:noescape
func modesAhead(room, q, before, a, b *float64, n int)

// rowAhead gives the next eight heights at one row from what modesAhead gave.
//
//go:noescape
func rowAhead(out, row, room *float64, n int)
