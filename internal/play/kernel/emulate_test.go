package kernel

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

// machine runs the generated vector code as text, one instruction at a time, so
// that code is tested which this processor cannot run. Every slice handed to it
// lies in a world of its own: whatever reads or writes past an end is a fault.
// Operands stand in the order of Go's assembler, the result last.
type machine struct {
	code    map[string][]string // instructions and labels of each function
	ints    map[string]uint64
	vectors [32][8]float64
	slices  [][]float64
	frame   map[string]uint64 // arguments and results by name
	less    bool              // of the last comparison
}

func newMachine(text string) *machine {
	m := &machine{code: map[string][]string{}}
	name := ""
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		switch {
		case line == "" || strings.HasPrefix(line, "//") || strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, "TEXT"):
			name, _, _ = strings.Cut(strings.TrimPrefix(line, "TEXT ·"), "(")
		default:
			m.code[name] = append(m.code[name], line)
		}
	}
	return m
}

// call runs a function; args are pairs of a name and a []float64, int or float64.
func (m *machine) call(function string, args ...any) {
	m.ints, m.frame, m.slices = map[string]uint64{}, map[string]uint64{}, nil
	for i := range m.vectors { // what was there before must not matter
		for k := range m.vectors[i] {
			m.vectors[i][k] = math.NaN()
		}
	}
	for i := 0; i < len(args); i += 2 {
		name := args[i].(string)
		switch v := args[i+1].(type) {
		case []float64:
			m.slices = append(m.slices, v)
			m.frame[name] = uint64(len(m.slices)) << 32
		case int:
			m.frame[name] = uint64(v)
		case float64:
			m.frame[name] = math.Float64bits(v)
		}
	}
	code := m.code[function]
	if len(code) == 0 {
		panic("no function " + function)
	}
	for at := 0; ; at++ {
		op, rest, _ := strings.Cut(code[at], " ")
		var o []string
		for w := range strings.SplitSeq(rest, ",") {
			o = append(o, strings.TrimSpace(w))
		}
		switch {
		case op == "RET":
			return
		case (op == "JLT" && m.less) || (op == "JGE" && !m.less):
			at = label(code, o[0])
		case strings.HasSuffix(op, ":") || op[0] == 'J' || op == "VZEROUPPER":
		case op[0] == 'V' || op == "MOVSD":
			m.vector(op, o)
		default:
			m.integer(op, o)
		}
	}
}

func label(code []string, name string) int {
	for i, line := range code {
		if line == name+":" {
			return i
		}
	}
	panic("no label " + name)
}

func (m *machine) integer(op string, o []string) {
	last := o[len(o)-1]
	switch op {
	case "MOVQ":
		m.ints[last] = m.value(o[0])
	case "ADDQ":
		m.ints[last] += m.value(o[0])
	case "SHLQ":
		m.ints[last] <<= m.value(o[0])
	case "XORQ":
		m.ints[last] ^= m.value(o[0])
	case "LEAQ":
		m.ints[last] = m.address(o[0])
	case "CMPQ":
		m.less = int64(m.value(o[0])) < int64(m.value(o[1]))
	default:
		panic("unknown instruction " + op)
	}
}

// value is an immediate, an argument or a register.
func (m *machine) value(o string) uint64 {
	if text, is := strings.CutPrefix(o, "$"); is {
		v, err := strconv.ParseUint(text, 0, 64)
		if err != nil {
			panic(err)
		}
		return v
	}
	if name, _, is := strings.Cut(o, "+"); is {
		v, known := m.frame[name]
		if !known {
			panic("no argument " + name)
		}
		return v
	}
	v, known := m.ints[o]
	if !known {
		return m.zeroed(o)
	}
	return v
}

// zeroed lets a register be read that only XORQ with itself has to do with yet.
func (m *machine) zeroed(o string) uint64 {
	if strings.ContainsAny(o, "()$ ") {
		panic("cannot read " + o)
	}
	return 0
}

// address is disp(BASE)(INDEX*8).
func (m *machine) address(o string) uint64 {
	disp, rest, _ := strings.Cut(o, "(")
	at := uint64(0)
	if disp != "" {
		at, _ = strconv.ParseUint(disp, 0, 64)
	}
	base, index, more := strings.Cut(strings.TrimSuffix(rest, ")"), ")(")
	at += m.ints[base]
	if more {
		reg, scale, _ := strings.Cut(index, "*")
		s, err := strconv.ParseUint(scale, 0, 64)
		if err != nil {
			panic(err)
		}
		at += m.ints[reg] * s
	}
	return at
}

// place is the n numbers at an address.
func (m *machine) place(o string, n int) []float64 {
	at := m.address(o)
	s := m.slices[at>>32-1]
	i := int(at & (1<<32 - 1))
	if i%8 != 0 || i/8+n > len(s) {
		panic(fmt.Sprintf("%s reaches element %d of %d", o, i/8+n, len(s)))
	}
	return s[i/8 : i/8+n]
}

// lanes is how many numbers a register holds.
func lanes(o string) int {
	if len(o) < 2 || o[1] < '0' || o[1] > '9' {
		return 0
	}
	return map[byte]int{'X': 2, 'Y': 4, 'Z': 8}[o[0]]
}

// read is n numbers of a register, of memory or of an argument.
func (m *machine) read(o string, n int) []float64 {
	switch {
	case lanes(o) > 0:
		i, _ := strconv.Atoi(o[1:])
		return append([]float64(nil), m.vectors[i][:n]...)
	case strings.Contains(o, "(FP)"):
		return []float64{math.Float64frombits(m.value(o))}
	}
	return append([]float64(nil), m.place(o, n)...)
}

// write fills a register, and what lies above with 0, or memory.
func (m *machine) write(o string, v []float64) {
	if lanes(o) > 0 {
		i, _ := strconv.Atoi(o[1:])
		m.vectors[i] = [8]float64{}
		copy(m.vectors[i][:], v)
		return
	}
	copy(m.place(o, len(v)), v)
}

func (m *machine) vector(op string, o []string) {
	last := o[len(o)-1]
	n := max(lanes(last), lanes(o[0]))
	switch op {
	case "MOVSD": // a result
		name, _, _ := strings.Cut(last, "+")
		m.frame[name] = math.Float64bits(m.read(o[0], 2)[0])
	case "VMOVUPD":
		m.write(last, m.read(o[0], n))
	case "VMOVQ":
		m.write(last, []float64{math.Float64frombits(m.ints[o[0]])})
	case "VBROADCASTSD":
		x, out := m.read(o[0], 1)[0], make([]float64, n)
		for i := range out {
			out[i] = x
		}
		m.write(last, out)
	case "VEXTRACTF128", "VEXTRACTF64X4":
		half := lanes(last)
		m.write(last, m.read(o[1], 2*half)[half:])
	case "VSQRTPD":
		out := m.read(o[0], n)
		for i := range out {
			out[i] = math.Sqrt(out[i])
		}
		m.write(last, out)
	case "VPERM2F128":
		a, b := m.read(o[1], 4), m.read(o[2], 4)
		switch o[0] {
		case "$0x20":
			m.write(last, []float64{b[0], b[1], a[0], a[1]})
		case "$0x31":
			m.write(last, []float64{b[2], b[3], a[2], a[3]})
		default:
			panic("unknown choice " + o[0])
		}
	default:
		m.write(last, combine(op, m.read(o[0], n), m.read(o[1], n), m.read(last, n)))
	}
}

// combine is "op a, b, c" on every lane.
func combine(op string, a, b, c []float64) []float64 {
	out := make([]float64, len(c))
	for i := range out {
		switch op {
		case "VADDPD":
			out[i] = b[i] + a[i]
		case "VSUBPD":
			out[i] = b[i] - a[i]
		case "VMULPD":
			out[i] = b[i] * a[i]
		case "VMINPD":
			out[i] = math.Min(b[i], a[i])
		case "VMAXPD":
			out[i] = math.Max(b[i], a[i])
		case "VMAXSD":
			out[i] = math.Max(b[0], a[0])
			if i > 0 {
				out[i] = b[i]
			}
		case "VFMADD231PD":
			out[i] = math.FMA(b[i], a[i], c[i])
		case "VFMSUB231PD":
			out[i] = math.FMA(b[i], a[i], -c[i])
		case "VANDPD", "VPANDQ":
			out[i] = math.Float64frombits(math.Float64bits(a[i]) & math.Float64bits(b[i]))
		case "VXORPD", "VPXORQ":
			out[i] = math.Float64frombits(math.Float64bits(a[i]) ^ math.Float64bits(b[i]))
		case "VHADDPD":
			from := [][]float64{b, a}[i%2]
			out[i] = from[i&^1] + from[i|1]
		case "VUNPCKHPD":
			out[i] = [][]float64{b, a}[i%2][i|1]
		default:
			panic("unknown instruction " + op)
		}
	}
	return out
}

func (m *machine) result(name string) float64 { return math.Float64frombits(m.frame[name]) }

// The code of both widths, read instruction by instruction, against the plain
// twins: whole blocks, as that is what it is called for.
func TestVectorCode_Emulated(t *testing.T) {
	for _, width := range []string{"AVX2", "AVX512"} {
		cpu := newMachine(read(t, strings.ToLower(width)+"_amd64.s"))
		if len(cpu.code) != 10 {
			t.Fatalf("%s: %d functions", width, len(cpu.code))
		}
		for _, m := range []int{0, Block, 2 * Block, 5 * Block} {
			for _, p := range []int{0, Block, 3 * Block} {
				emulate(t, cpu, width, m, p)
			}
		}
	}
}

func emulate(t *testing.T, cpu *machine, width string, m, p int) {
	r := rand.New(rand.NewPCG(uint64(m), uint64(p)))
	draw := func(n int) []float64 { return append([]float64(nil), numbers(r, n)...) }
	name := func(kernel string) string { return fmt.Sprintf("%s%s, %d modes, %d crowns", kernel, width, m, p) }
	same := func(kernel string, got, want []float64) {
		t.Helper()
		for i, w := range want {
			if !(math.Abs(got[i]-w) <= 1e-15*float64(64*m+8)) {
				t.Fatalf("%s: element %d is %.17g, plain %.17g", name(kernel), i, got[i], w)
			}
		}
	}
	re, im, tr, ti, a, b := draw(m), draw(m), draw(m), draw(m), draw(m), draw(m)
	toRe, toIm, wantRe, wantIm := draw(m), draw(m), draw(m), draw(m)
	cpu.call("turn"+width, "toRe", toRe, "toIm", toIm, "re", re, "im", im, "turnRe", tr, "turnIm", ti, "n", m)
	plainTurn(wantRe, wantIm, re, im, tr, ti)
	same("turn", append(toRe, toIm...), append(wantRe, wantIm...))

	got, want := draw(m), make([]float64, m)
	copy(want, got)
	cpu.call("advance"+width, "before", got, "q", re, "a", a, "b", b, "n", m)
	plainAdvance(want, re, a, b)
	same("advance", got, want)

	copy(want, got)
	cpu.call("push"+width, "q", got, "gain", a, "row", b, "n", m, "force", 0.7)
	plainPush(want, a, b, 0.7)
	same("push", got, want)

	rows := draw((m + 3) * p)
	got, want = draw(p), make([]float64, p)
	cpu.call("heights"+width, "out", got, "rows", rows, "stride", m+3, "count", p, "q", re, "n", m)
	plainHeights(want, rows, m+3, re)
	same("heights", got, want)

	table := draw(m * p)
	slope, wantSlope := draw(p), make([]float64, p)
	cpu.call("low"+width, "height", got, "slope", slope, "table", table, "width", p, "re", re, "rate", im, "n", m)
	plainLow(want, wantSlope, table, re, im)
	same("low", append(got, slope...), append(want, wantSlope...))

	for range 50 { // each term is the greatest now and then
		h, s, th, ts, slack, below, above := draw(p), draw(p), draw(p), draw(p), draw(p), draw(p), draw(p)
		cpu.call("worst"+width, "height", h, "slope", s, "toHeight", th, "toSlope", ts, "slack", slack, "below", below, "above", above, "n", p)
		if w := plainWorst(h, s, th, ts, slack, below, above); cpu.result("ret") != w {
			t.Fatalf("%s is %g, plain %g", name("worst"), cpu.result("ret"), w)
		}
	}

	cpu.call("dotTwo"+width, "row", re, "x", a, "y", b, "n", m)
	x, y := plainDotTwo(re, a, b)
	same("dotTwo", []float64{cpu.result("rowX"), cpu.result("rowY")}, []float64{x, y})

	eight, wantEight := draw(Ahead), make([]float64, Ahead)
	cpu.call("ahead"+width, "out", eight, "row", tr, "q", re, "before", im, "a", a, "b", b, "n", m)
	plainAhead(wantEight, tr, m, []int{0}, re, im, a, b, make([]float64, Ahead*m))
	same("ahead", eight, wantEight)

	size, first, second, wSize, wFirst, wSecond := draw(m), draw(m), draw(m), draw(m), draw(m), draw(m)
	cpu.call("amplitudes"+width, "size", size, "first", first, "second", second, "re", re, "im", im, "c1", a, "c2", b, "n", m)
	plainAmplitudes(wSize, wFirst, wSecond, re, im, a, b)
	same("amplitudes", append(append(size, first...), second...), append(append(wSize, wFirst...), wSecond...))

	cpu.call("absSums"+width, "row", re, "first", a, "second", b, "third", tr, "n", m)
	s1, s2, s3 := plainAbsSums(re, a, b, tr)
	same("absSums", []float64{cpu.result("sum1"), cpu.result("sum2"), cpu.result("sum3")}, []float64{s1, s2, s3})
}

// The machine must be able to find a fault: a load that is shifted by one reads
// past the end.
func TestMachine_SeesFaults(t *testing.T) {
	good := read(t, "avx512_amd64.s")
	bad := strings.ReplaceAll(good, "VMOVUPD     (AX)(SI*8), Z2\n", "VMOVUPD     8(AX)(SI*8), Z2\n")
	q := make([]float64, Block)
	run := func(text string) func() {
		return func() { newMachine(text).call("dotTwoAVX512", "row", q, "x", q, "y", q, "n", Block) }
	}
	if panics(run(good)) || good == bad || !panics(run(bad)) {
		t.Error("a load past the end is not seen")
	}
}
