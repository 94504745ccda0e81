package kernel

import (
	"crypto/sha256"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// numbers draws n values between −1 and 1, and leaves a NaN behind them where
// no kernel may look: whoever reads past the end gives it away.
func numbers(r *rand.Rand, n int) []float64 {
	v := make([]float64, n+2*Block)
	for i := range v {
		v[i] = math.NaN()
		if i < n {
			v[i] = 2*r.Float64() - 1
		}
	}
	return v[:n]
}

// intact reports whether a kernel left what lies behind v alone.
func intact(v []float64) bool {
	for _, x := range v[len(v):cap(v)] {
		if !math.IsNaN(x) {
			return false
		}
	}
	return true
}

// near compares results that may differ by rounding, the terms being about 1.
func near(t testing.TB, what string, got, want []float64, terms int) {
	t.Helper()
	if !intact(got) {
		t.Errorf("%s wrote past the end", what)
	}
	for i, w := range want {
		if !(math.Abs(got[i]-w) <= 1e-15*float64(terms+8)) {
			t.Errorf("%s: element %d of %d is %.17g, plain %.17g", what, i, len(want), got[i], w)
			return
		}
	}
}

// agree runs every kernel of a path and its plain twin on the same numbers: m
// modes, p crowns.
func agree(t testing.TB, path Path, m, p int, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 1))
	draw := func() []float64 { return numbers(r, m) }
	name := func(kernel string) string { return fmt.Sprintf("%s of %s, %d modes, %d crowns", kernel, path, m, p) }

	re, im, tr, ti := draw(), draw(), draw(), draw()
	toRe, toIm, wantRe, wantIm := draw(), draw(), draw(), draw()
	z, by := Complex{re, im}, Complex{tr, ti}
	path.Turn(&Complex{toRe, toIm}, &z, &by)
	plainTurn(wantRe, wantIm, re, im, tr, ti)
	near(t, name("Turn"), toRe, wantRe, 2)
	near(t, name("Turn"), toIm, wantIm, 2)
	path.Turn(&z, &z, &by)
	near(t, name("Turn in place"), re, wantRe, 2)
	near(t, name("Turn in place"), im, wantIm, 2)

	q, before, a, b := draw(), draw(), draw(), draw()
	got, want := clone(before), clone(before)
	path.Advance(got, q, a, b)
	plainAdvance(want, q, a, b)
	near(t, name("Advance"), got, want, 2)

	got, want = clone(q), clone(q)
	path.Push(got, a, b, 0.7)
	plainPush(want, a, b, 0.7)
	near(t, name("Push"), got, want, 2)

	stride := m + r.IntN(2*Block)
	rows := numbers(r, stride*p)
	got, want = numbers(r, p), make([]float64, p)
	path.Heights(got, rows, stride, q)
	plainHeights(want, rows, stride, q)
	near(t, name("Heights"), got, want, m)

	table := numbers(r, m*p)
	got, want = numbers(r, p), make([]float64, p)
	gotSlope, wantSlope := numbers(r, p), make([]float64, p)
	path.Low(got, gotSlope, table, q, before)
	plainLow(want, wantSlope, table, q, before)
	near(t, name("Low"), got, want, m)
	near(t, name("Low"), gotSlope, wantSlope, m)

	lots := make([][]float64, 7)
	for i := range lots {
		lots[i] = numbers(r, p)
	}
	worst := path.Worst(lots[0], lots[1], lots[2], lots[3], lots[4], lots[5], lots[6])
	if w := plainWorst(lots[0], lots[1], lots[2], lots[3], lots[4], lots[5], lots[6]); worst != w {
		t.Errorf("%s is %g, plain %g", name("Worst"), worst, w)
	}

	x, y := path.DotTwo(q, a, b)
	wantX, wantY := plainDotTwo(q, a, b)
	near(t, name("DotTwo"), []float64{x, y}, []float64{wantX, wantY}, m)

	which := []int{}
	for j := range p {
		if r.IntN(2) == 0 {
			which = append(which, j)
		}
	}
	got, want = numbers(r, Ahead*len(which)), make([]float64, Ahead*len(which))
	path.LookAhead(got, rows, stride, which, q, before, a, b, numbers(r, Ahead*m))
	plainAhead(want, rows, stride, which, q, before, a, b, make([]float64, Ahead*m))
	near(t, name("LookAhead"), got, want, 64*m)

	size, first, second := draw(), draw(), draw()
	wantSize, wantFirst, wantSecond := draw(), draw(), draw()
	path.Amplitudes(size, first, second, q, before, a, b)
	plainAmplitudes(wantSize, wantFirst, wantSecond, q, before, a, b)
	near(t, name("Amplitudes"), size, wantSize, 2)
	near(t, name("Amplitudes"), first, wantFirst, 2)
	near(t, name("Amplitudes"), second, wantSecond, 2)

	s1, s2, s3 := path.AbsSums(q, a, b, tr)
	w1, w2, w3 := plainAbsSums(q, a, b, tr)
	near(t, name("AbsSums"), []float64{s1, s2, s3}, []float64{w1, w2, w3}, m)
}

func clone(v []float64) []float64 {
	out := make([]float64, cap(v)) // no room beyond
	copy(out, v[:cap(v)])
	return out[:len(v)]
}

// Every length up to some blocks, none and odd ones among them.
func TestPaths_AgreeWithPlain(t *testing.T) {
	for _, path := range Paths()[1:] {
		for m := range 5*Block + 1 {
			for _, p := range []int{0, 1, 2, 3, 4, 5, 7, 8, 13, 16, 24} {
				agree(t, path, m, p, uint64(m*100+p))
			}
		}
	}
	if len(Paths()) == 1 {
		t.Log("this processor takes the plain path alone")
	}
}

func FuzzPaths(f *testing.F) {
	f.Add(uint8(0), uint8(0), uint64(0))
	f.Add(uint8(1), uint8(1), uint64(1))
	f.Add(uint8(222), uint8(24), uint64(2))
	f.Fuzz(func(t *testing.T, m, p uint8, seed uint64) {
		for _, path := range Paths() {
			agree(t, path, int(m), int(p)%40, seed)
		}
	})
}

// The plain sums against sums taken one term at a time.
func TestPlain_Sums(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for m := range 30 {
		q, w, rows := numbers(r, m), numbers(r, m), numbers(r, 3*m)
		out := make([]float64, 3)
		plainHeights(out, rows, m, q)
		for j := range out {
			sum := 0.0
			for n := range q {
				sum += rows[j*m+n] * q[n]
			}
			near(t, "plain heights", out[j:j+1:j+1], []float64{sum}, m)
		}
		abs := 0.0
		for n := range q {
			abs += math.Abs(q[n]) * w[n]
		}
		got, _, _ := plainAbsSums(q, w, w, w)
		near(t, "plain absolute sums", []float64{got}, []float64{abs}, m)
	}
}

// A caller's wrong length must stop in Go, before any vector code reads on.
func TestPaths_UnequalLengthsPanic(t *testing.T) {
	long, short := make([]float64, 32), make([]float64, 16)
	for _, path := range Paths() {
		for name, call := range map[string]func(){
			"Turn":    func() { path.Turn(&Complex{long, long}, &Complex{long, short}, &Complex{long, long}) },
			"Advance": func() { path.Advance(long, long, short, long) },
			"Push":    func() { path.Push(long, long, short, 1) },
			"Heights": func() { path.Heights(make([]float64, 4), long, 16, short) },
			"Low":     func() { path.Low(make([]float64, 8), make([]float64, 8), long, short, short) },
			"Worst":   func() { path.Worst(long, long, long, long, long, long, short) },
			"DotTwo":  func() { path.DotTwo(long, long, short) },
			"LookAhead": func() {
				path.LookAhead(make([]float64, 8), long, 16, []int{2}, short, short, short, short, make([]float64, 128))
			},
			"Amplitudes": func() { path.Amplitudes(long, long, long, long, short, long, long) },
			"AbsSums":    func() { path.AbsSums(long, long, long, short) },
		} {
			if !panics(call) {
				t.Errorf("%s of %s takes slices of unequal length", name, path)
			}
		}
	}
}

func panics(call func()) (did bool) {
	defer func() { did = recover() != nil }()
	call()
	return false
}

func TestBest_IsTheLastOfPaths(t *testing.T) {
	if all := Paths(); all[0] != Plain || Best() != all[len(all)-1] {
		t.Errorf("paths %v, best %v", all, Best())
	}
}

// The committed vector code says that it is generated, and from which generator.
func TestVectorCode_IsOfThisGenerator(t *testing.T) {
	sources, err := filepath.Glob("../../../kernels/*.go")
	if err != nil || len(sources) == 0 {
		t.Fatalf("no generator found: %v", err)
	}
	slices.Sort(sources)
	sum := sha256.New()
	for _, name := range sources {
		sum.Write([]byte(read(t, name)))
	}
	files, err := filepath.Glob("avx*_amd64.*")
	if err != nil || len(files) != 4 {
		t.Fatalf("generated files %v, %v", files, err)
	}
	for _, name := range files {
		lines := strings.SplitN(read(t, name), "\n", 3)
		if !strings.Contains(lines[0], "Code generated") || !strings.Contains(lines[0], "DO NOT EDIT") {
			t.Errorf("%s does not say that it is generated: %q", name, lines[0])
		}
		if want := fmt.Sprintf("// Source: kernels/, sha256 %x", sum.Sum(nil)); lines[1] != want {
			t.Errorf("%s is not what kernels/ writes now: run go generate ./internal/play/kernel", name)
		}
	}
}

func read(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
