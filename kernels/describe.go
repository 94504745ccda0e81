package main

import (
	"github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// all writes every kernel. Each takes counts that are multiples of block (rows:
// of four); what each works out is said beside its plain twin in the package.
func (g *gen) all() {
	g.turn()
	g.advance()
	g.push()
	g.heights()
	g.low()
	g.worst()
	g.dotTwo()
	g.ahead()
	g.amplitudes()
	g.absSums()
}

func (g *gen) turn() {
	r := g.function("turn", "toRe, toIm, re, im, turnRe, turnIm *float64, n int", "",
		"toRe", "toIm", "re", "im", "turnRe", "turnIm", "n")
	g.loop(r[6], block, func(i reg.Register) {
		for v := range g.vectors() {
			x, y := g.load(g.at(r[2], i, v)), g.load(g.at(r[3], i, v))
			tr, ti := g.load(g.at(r[4], i, v)), g.load(g.at(r[5], i, v))
			a, b := g.vec(), g.vec()
			g.VMULPD(ti, y, a)
			g.VMULPD(ti, x, b)
			g.VFMSUB231PD(tr, x, a) // a = tr·x − a
			g.VFMADD231PD(tr, y, b)
			g.VMOVUPD(a, g.at(r[0], i, v))
			g.VMOVUPD(b, g.at(r[1], i, v))
		}
	})
	g.end()
}

func (g *gen) advance() {
	r := g.function("advance", "before, q, a, b *float64, n int", "", "before", "q", "a", "b", "n")
	g.loop(r[4], block, func(i reg.Register) {
		for v := range g.vectors() {
			t := g.load(g.at(r[0], i, v))
			g.VMULPD(g.at(r[3], i, v), t, t)
			q := g.load(g.at(r[1], i, v))
			g.VFMSUB231PD(g.at(r[2], i, v), q, t)
			g.VMOVUPD(t, g.at(r[0], i, v))
		}
	})
	g.end()
}

func (g *gen) push() {
	r := g.function("push", "q, gain, row *float64, n int, force float64", "", "q", "gain", "row", "n")
	f := g.vec()
	m, err := g.Param("force").Resolve()
	if err != nil {
		panic(err) // the signature above
	}
	g.VBROADCASTSD(m.Addr, f)
	g.loop(r[3], block, func(i reg.Register) {
		for v := range g.vectors() {
			t, q := g.load(g.at(r[1], i, v)), g.load(g.at(r[0], i, v))
			g.VMULPD(g.at(r[2], i, v), t, t)
			g.VFMADD231PD(f, t, q)
			g.VMOVUPD(q, g.at(r[0], i, v))
		}
	})
	g.end()
}

// heights takes four rows at a time; the rows lie stride elements apart.
func (g *gen) heights() {
	r := g.function("heights", "out, rows *float64, stride, count int, q *float64, n int", "",
		"out", "rows", "stride", "count", "q", "n")
	out, rows, stride, count, q, n := r[0], r[1], r[2], r[3], r[4], r[5]
	g.SHLQ(operand.U8(3), stride)
	g.loop(count, 4, func(j reg.Register) {
		p := []reg.Register{g.GP64(), g.GP64(), g.GP64(), g.GP64()}
		g.MOVQ(rows, p[0])
		for k := 1; k < 4; k++ {
			g.MOVQ(p[k-1], p[k])
			g.ADDQ(stride, p[k])
		}
		acc := g.zeros(4 * g.vectors())
		g.loop(n, block, func(i reg.Register) {
			for v := range g.vectors() {
				x := g.load(g.at(q, i, v))
				for k := range p {
					g.VFMADD231PD(g.at(p[k], i, v), x, acc[4*v+k])
				}
			}
		})
		g.VMOVUPD(g.sumFour(g.fold(acc, 4)), operand.Mem{Base: out, Index: j, Scale: 8})
		g.LEAQ(operand.Mem{Base: rows, Index: stride, Scale: 4}, rows)
	})
	g.end()
}

// low has the crowns in lanes, two modes at a time.
func (g *gen) low() {
	r := g.function("low", "height, slope, table *float64, width int, re, rate *float64, n int", "",
		"height", "slope", "table", "width", "re", "rate", "n")
	height, slope, table, across, re, rate, n := r[0], r[1], r[2], r[3], r[4], r[5], r[6]
	stride := g.GP64()
	g.MOVQ(across, stride)
	g.SHLQ(operand.U8(3), stride)
	g.loop(across, block, func(j reg.Register) {
		p, m := g.GP64(), g.vectors()
		g.LEAQ(operand.Mem{Base: table, Index: j, Scale: 8}, p)
		h, s := g.zeros(2*m), g.zeros(2*m)
		g.loop(n, 2, func(i reg.Register) {
			for two := range 2 {
				x, y := g.vec(), g.vec()
				g.VBROADCASTSD(operand.Mem{Base: re, Index: i, Scale: 8, Disp: 8 * two}, x)
				g.VBROADCASTSD(operand.Mem{Base: rate, Index: i, Scale: 8, Disp: 8 * two}, y)
				for v := range m {
					t := g.load(operand.Mem{Base: p, Disp: 8 * g.lanes * v})
					g.VFMADD231PD(t, x, h[m*two+v])
					g.VFMADD231PD(t, y, s[m*two+v])
				}
				g.ADDQ(stride, p)
			}
		})
		h, s = g.fold(h, m), g.fold(s, m)
		for v := range m {
			g.VMOVUPD(h[v], g.at(height, j, v))
			g.VMOVUPD(s[v], g.at(slope, j, v))
		}
	})
	g.end()
}

// worst is the greatest of all differences; with nothing to look at, −∞.
func (g *gen) worst() {
	r := g.function("worst", "height, slope, toHeight, toSlope, slack, below, above *float64, n int", " float64",
		"height", "slope", "toHeight", "toSlope", "slack", "below", "above", "n")
	minus := g.GP64()
	g.MOVQ(operand.U64(0xfff0000000000000), minus)
	x, most := g.XMM(), g.vec()
	g.VMOVQ(minus, x)
	g.VBROADCASTSD(x, most)
	g.loop(r[7], block, func(i reg.Register) {
		for v := range g.vectors() {
			h0, h1 := g.load(g.at(r[0], i, v)), g.load(g.at(r[2], i, v))
			b0, b1, least := g.vec(), g.vec(), g.vec()
			g.VADDPD(g.at(r[1], i, v), h0, b0)
			g.VSUBPD(g.at(r[3], i, v), h1, b1)
			g.VMINPD(h0, h1, least)
			g.VMINPD(b0, least, least)
			g.VMINPD(b1, least, least)
			g.VMAXPD(h0, h1, h1)
			g.VMAXPD(b0, h1, h1)
			g.VMAXPD(b1, h1, h1)
			slack := g.load(g.at(r[4], i, v))
			g.VSUBPD(slack, least, least)
			g.VADDPD(slack, h1, h1)
			below := g.load(g.at(r[5], i, v))
			g.VSUBPD(least, below, below)      // below − least
			g.VSUBPD(g.at(r[6], i, v), h1, h1) // most − above
			g.VMAXPD(below, most, most)
			g.VMAXPD(h1, most, most)
		}
	})
	g.Store(g.greatest(most), g.ReturnIndex(0))
	g.end()
}

// greatest is the greatest lane of a register, in lane 0.
func (g *gen) greatest(v reg.VecVirtual) reg.VecVirtual {
	if g.lanes == 8 {
		high := g.YMM()
		g.VEXTRACTF64X4(operand.U8(1), v, high)
		g.VMAXPD(high, v.AsY(), high)
		v = high
	}
	x, y := g.XMM(), g.XMM()
	g.VEXTRACTF128(operand.U8(1), v, x)
	g.VMAXPD(v.AsX(), x, x)
	g.VUNPCKHPD(x, x, y)
	g.VMAXSD(y, x, x)
	return x
}

func (g *gen) dotTwo() {
	r := g.function("dotTwo", "row, x, y *float64, n int", " (rowX, rowY float64)", "row", "x", "y", "n")
	acc := g.zeros(2 * g.vectors())
	g.loop(r[3], block, func(i reg.Register) {
		for v := range g.vectors() {
			s := g.load(g.at(r[0], i, v))
			g.VFMADD231PD(g.at(r[1], i, v), s, acc[2*v])
			g.VFMADD231PD(g.at(r[2], i, v), s, acc[2*v+1])
		}
	})
	acc = g.fold(acc, 2)
	for k := range 2 {
		g.Store(g.sum(acc[k]), g.ReturnIndex(k))
	}
	g.end()
}

// ahead keeps the next eight heights in eight registers.
func (g *gen) ahead() {
	r := g.function("ahead", "out, row, q, before, a, b *float64, n int", "", "out", "row", "q", "before", "a", "b", "n")
	acc := g.zeros(8)
	g.loop(r[6], g.lanes, func(i reg.Register) {
		row, now, was := g.load(g.at(r[1], i, 0)), g.load(g.at(r[2], i, 0)), g.load(g.at(r[3], i, 0))
		a, b := g.load(g.at(r[4], i, 0)), g.load(g.at(r[5], i, 0))
		for k := range acc {
			g.VMULPD(b, was, was)
			g.VFMSUB231PD(a, now, was)
			now, was = was, now
			g.VFMADD231PD(row, now, acc[k])
		}
	})
	for k := 0; k < 8; k += 4 {
		g.VMOVUPD(g.sumFour(acc[k:k+4]), operand.Mem{Base: r[0], Disp: 8 * k})
	}
	g.end()
}

func (g *gen) amplitudes() {
	r := g.function("amplitudes", "size, first, second, re, im, c1, c2 *float64, n int", "",
		"size", "first", "second", "re", "im", "c1", "c2", "n")
	g.loop(r[7], block, func(i reg.Register) {
		for v := range g.vectors() {
			x, y := g.load(g.at(r[3], i, v)), g.load(g.at(r[4], i, v))
			g.VMULPD(x, x, x)
			g.VFMADD231PD(y, y, x)
			g.VSQRTPD(x, x)
			g.VMOVUPD(x, g.at(r[0], i, v))
			g.VMULPD(g.at(r[5], i, v), x, y)
			g.VMOVUPD(y, g.at(r[1], i, v))
			g.VMULPD(g.at(r[6], i, v), x, x)
			g.VMOVUPD(x, g.at(r[2], i, v))
		}
	})
	g.end()
}

func (g *gen) absSums() {
	r := g.function("absSums", "row, first, second, third *float64, n int", " (sum1, sum2, sum3 float64)",
		"row", "first", "second", "third", "n")
	mask, bits, x := g.vec(), g.GP64(), g.XMM()
	g.MOVQ(operand.U64(0x7fffffffffffffff), bits)
	g.VMOVQ(bits, x)
	g.VBROADCASTSD(x, mask)
	acc := g.zeros(3 * g.vectors())
	g.loop(r[4], block, func(i reg.Register) {
		for v := range g.vectors() {
			s := g.load(g.at(r[0], i, v))
			if g.lanes == 8 {
				g.VPANDQ(mask, s, s)
			} else {
				g.VANDPD(mask, s, s)
			}
			for k := range 3 {
				g.VFMADD231PD(g.at(r[1+k], i, v), s, acc[3*v+k])
			}
		}
	})
	acc = g.fold(acc, 3)
	for k := range 3 {
		g.Store(g.sum(acc[k]), g.ReturnIndex(k))
	}
	g.end()
}
