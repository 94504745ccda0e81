package main

import (
	"fmt"

	"github.com/mmcloughlin/avo/attr"
	"github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// width is a vector size: how many float64 it holds.
type width struct {
	name  string
	lanes int
}

// block is how many elements every inner loop takes at a time, whatever the
// width: two vectors of AVX2, one of AVX-512.
const block = 8

// gen writes the kernels of one width.
type gen struct {
	*build.Context
	width
	labels int
}

// vectors is how many vectors make a block.
func (g *gen) vectors() int { return block / g.lanes }

// vec is a fresh vector register of the width.
func (g *gen) vec() reg.VecVirtual {
	if g.lanes == 8 {
		return g.ZMM()
	}
	return g.YMM()
}

// vecs is several of them.
func (g *gen) vecs(n int) []reg.VecVirtual {
	out := make([]reg.VecVirtual, n)
	for i := range out {
		out[i] = g.vec()
	}
	return out
}

// zeros is several registers set to 0.
func (g *gen) zeros(n int) []reg.VecVirtual {
	out := g.vecs(n)
	for _, v := range out {
		if g.lanes == 8 {
			g.VPXORQ(v, v, v)
		} else {
			g.VXORPD(v, v, v)
		}
	}
	return out
}

// function begins a kernel and loads its arguments, each a pointer or an int.
func (g *gen) function(name, params, result string, args ...string) []reg.Register {
	g.Function(name + g.name)
	g.Attributes(attr.NOSPLIT)
	g.SignatureExpr("func(" + params + ")" + result)
	g.Pragma("noescape")
	out := make([]reg.Register, len(args))
	for i, a := range args {
		out[i] = g.Load(g.Param(a), g.GP64())
	}
	return out
}

// end leaves the kernel; Go's own code uses the older vector instructions, which
// are slow while upper halves are in use.
func (g *gen) end() {
	g.VZEROUPPER()
	g.RET()
}

// label is a fresh one.
func (g *gen) label(what string) string {
	g.labels++
	return fmt.Sprintf("%s%d", what, g.labels)
}

// loop runs body with i = 0, step, 2·step … while i < n.
func (g *gen) loop(n reg.Register, step int, body func(i reg.Register)) {
	i := g.GP64()
	top, done := g.label("top"), g.label("done")
	g.XORQ(i, i)
	g.CMPQ(i, n)
	g.JGE(operand.LabelRef(done))
	g.Label(top)
	body(i)
	g.ADDQ(operand.U32(uint32(step)), i)
	g.CMPQ(i, n)
	g.JLT(operand.LabelRef(top))
	g.Label(done)
}

// at is the v-th vector of the block that begins at element i of p.
func (g *gen) at(p, i reg.Register, v int) operand.Mem {
	return operand.Mem{Base: p, Index: i, Scale: 8, Disp: 8 * g.lanes * v}
}

// load brings a vector into a fresh register.
func (g *gen) load(m operand.Mem) reg.VecVirtual {
	v := g.vec()
	g.VMOVUPD(m, v)
	return v
}

// half folds a register into a YMM one: its two halves added.
func (g *gen) half(v reg.VecVirtual) reg.VecVirtual {
	if g.lanes == 4 {
		return v
	}
	high := g.YMM()
	g.VEXTRACTF64X4(operand.U8(1), v, high)
	g.VADDPD(high, v.AsY(), high)
	return high
}

// sum adds up all lanes of a register; the result is in lane 0.
func (g *gen) sum(v reg.VecVirtual) reg.VecVirtual {
	y, x := g.half(v), g.XMM()
	g.VEXTRACTF128(operand.U8(1), y, x)
	g.VADDPD(y.AsX(), x, x)
	g.VHADDPD(x, x, x)
	return x
}

// sumFour adds up the lanes of four registers: four sums side by side.
func (g *gen) sumFour(v []reg.VecVirtual) reg.VecVirtual {
	a, b, low, high := g.YMM(), g.YMM(), g.YMM(), g.YMM()
	h0, h1, h2, h3 := g.half(v[0]), g.half(v[1]), g.half(v[2]), g.half(v[3])
	g.VHADDPD(h1, h0, a)
	g.VHADDPD(h3, h2, b)
	g.VPERM2F128(operand.U8(0x20), b, a, low)
	g.VPERM2F128(operand.U8(0x31), b, a, high)
	g.VADDPD(low, high, low)
	return low
}

// fold adds the accumulators that a block's further vectors went to.
func (g *gen) fold(acc []reg.VecVirtual, count int) []reg.VecVirtual {
	for i := count; i < len(acc); i++ {
		g.VADDPD(acc[i], acc[i%count], acc[i%count])
	}
	return acc[:count]
}
