#include "textflag.h"

// Four modes side by side in each register, and in each lane just what plainAhead
// and dot do, product and sum rounded apart: the same bits. Between the two the
// modes lie by fours, eight steps of four modes together.

// STEP moves the modes by a step, q⁺ = a·q − b·q⁻, which takes the place of q⁻,
// and keeps them. Y11: a. Y12: b.
#define STEP(now, was, at) \
	VMULPD  Y12, was, was \
	VMULPD  Y11, now, Y13 \
	VSUBPD  was, Y13, was \
	VMOVUPD was, at(DI)

// SUM adds a step's part of the height at the row in Y8 to a sum.
#define SUM(at, part, sum) \
	VMULPD at(R9), Y8, part \
	VADDPD part, sum, sum

// FOUR adds up the lanes of four sums, (s0 + s1) + (s2 + s3) each, and stores
// the results.
#define FOUR(s, t, u, v, at) \
	VHADDPD    t, s, s          \
	VHADDPD    v, u, u          \
	VPERM2F128 $0x20, u, s, Y13 \
	VPERM2F128 $0x31, u, s, Y14 \
	VADDPD     Y14, Y13, Y13    \
	VMOVUPD    Y13, at

// func modesAhead(room, q, before, a, b *float64, n int)
TEXT ·modesAhead(SB), NOSPLIT, $0-48
	MOVQ room+0(FP), DI
	MOVQ q+8(FP), R9
	MOVQ before+16(FP), R10
	MOVQ a+24(FP), R11
	MOVQ b+32(FP), R12
	MOVQ n+40(FP), CX
	XORQ AX, AX

modes:
	VMOVUPD (R9)(AX*8), Y9
	VMOVUPD (R10)(AX*8), Y10
	VMOVUPD (R11)(AX*8), Y11
	VMOVUPD (R12)(AX*8), Y12
	STEP(Y9, Y10, 0)
	STEP(Y10, Y9, 32)
	STEP(Y9, Y10, 64)
	STEP(Y10, Y9, 96)
	STEP(Y9, Y10, 128)
	STEP(Y10, Y9, 160)
	STEP(Y9, Y10, 192)
	STEP(Y10, Y9, 224)
	ADDQ    $256, DI
	ADDQ    $4, AX
	CMPQ    AX, CX
	JLT     modes
	VZEROUPPER
	RET

// func rowAhead(out, row, room *float64, n int)
TEXT ·rowAhead(SB), NOSPLIT, $0-32
	MOVQ   out+0(FP), DI
	MOVQ   row+8(FP), R8
	MOVQ   room+16(FP), R9
	MOVQ   n+24(FP), CX
	XORQ   AX, AX
	VXORPD Y0, Y0, Y0
	VXORPD Y1, Y1, Y1
	VXORPD Y2, Y2, Y2
	VXORPD Y3, Y3, Y3
	VXORPD Y4, Y4, Y4
	VXORPD Y5, Y5, Y5
	VXORPD Y6, Y6, Y6
	VXORPD Y7, Y7, Y7

heights:
	VMOVUPD (R8)(AX*8), Y8
	SUM(0, Y9, Y0)
	SUM(32, Y10, Y1)
	SUM(64, Y11, Y2)
	SUM(96, Y12, Y3)
	SUM(128, Y9, Y4)
	SUM(160, Y10, Y5)
	SUM(192, Y11, Y6)
	SUM(224, Y12, Y7)
	ADDQ    $256, R9
	ADDQ    $4, AX
	CMPQ    AX, CX
	JLT     heights

	FOUR(Y0, Y1, Y2, Y3, (DI))
	FOUR(Y4, Y5, Y6, Y7, 32(DI))
	VZEROUPPER
	RET
