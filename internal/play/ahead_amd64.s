#include "textflag.h"

// Four modes side by side in each register, and in each lane just what plainAhead
// and dot do, product and sum rounded apart: the same bits.
//
// Y0 to Y7: the partial sums of the eight heights. Y8: the row. Y9 and Y10: the
// modes now and a step before, in turns. Y11: a. Y12: b.

// STEP moves the modes by a step, q⁺ = a·q − b·q⁻, which takes the place of q⁻,
// and adds their height at the row to a sum.
#define STEP(now, was, sum) \
	VMULPD Y12, was, was \
	VMULPD Y11, now, Y13 \
	VSUBPD was, Y13, was \
	VMULPD Y8, was, Y14  \
	VADDPD Y14, sum, sum

// FOUR adds up the lanes of four sums, (s0 + s1) + (s2 + s3) each, and stores
// the results.
#define FOUR(s, t, u, v, at) \
	VHADDPD    t, s, s          \
	VHADDPD    v, u, u          \
	VPERM2F128 $0x20, u, s, Y13 \
	VPERM2F128 $0x31, u, s, Y14 \
	VADDPD     Y14, Y13, Y13    \
	VMOVUPD    Y13, at

// func rowAhead(out, row, q, before, a, b *float64, n int)
TEXT ·rowAhead(SB), NOSPLIT, $0-56
	MOVQ   out+0(FP), DI
	MOVQ   row+8(FP), R8
	MOVQ   q+16(FP), R9
	MOVQ   before+24(FP), R10
	MOVQ   a+32(FP), R11
	MOVQ   b+40(FP), R12
	MOVQ   n+48(FP), CX
	XORQ   AX, AX
	VXORPD Y0, Y0, Y0
	VXORPD Y1, Y1, Y1
	VXORPD Y2, Y2, Y2
	VXORPD Y3, Y3, Y3
	VXORPD Y4, Y4, Y4
	VXORPD Y5, Y5, Y5
	VXORPD Y6, Y6, Y6
	VXORPD Y7, Y7, Y7

modes:
	VMOVUPD (R8)(AX*8), Y8
	VMOVUPD (R9)(AX*8), Y9
	VMOVUPD (R10)(AX*8), Y10
	VMOVUPD (R11)(AX*8), Y11
	VMOVUPD (R12)(AX*8), Y12
	STEP(Y9, Y10, Y0)
	STEP(Y10, Y9, Y1)
	STEP(Y9, Y10, Y2)
	STEP(Y10, Y9, Y3)
	STEP(Y9, Y10, Y4)
	STEP(Y10, Y9, Y5)
	STEP(Y9, Y10, Y6)
	STEP(Y10, Y9, Y7)
	ADDQ    $4, AX
	CMPQ    AX, CX
	JLT     modes

	FOUR(Y0, Y1, Y2, Y3, (DI))
	FOUR(Y4, Y5, Y6, Y7, 32(DI))
	VZEROUPPER
	RET
