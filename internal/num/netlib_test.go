package num

import (
	"bufio"
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

const published = "../../testdata/published/metro_"

// The optimal values are those of the Netlib LP collection's readme, printed to
// eleven digits.
func TestProgram_Netlib(t *testing.T) {
	f, err := os.Open(published + "netlib_optima.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 9 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, row := range rows[1:] {
		t.Run(row[0], func(t *testing.T) {
			want, err := strconv.ParseFloat(row[1], 64)
			if err != nil {
				t.Fatal(err)
			}
			p := readMPS(t, published+"netlib_"+row[0]+".mps")
			v, got, err := p.Solve()
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got-want) > 1e-9*math.Abs(want) {
				t.Errorf("%.12g, published %.12g", got, want)
			}
			for i, r := range p.rows {
				if miss := r.bound - r.times(v); miss > 1e-8*(1+math.Abs(r.bound)) {
					t.Errorf("row %d missed by %g", i, miss)
				}
			}
		})
	}
}

// readMPS reads a fixed-format program whose variables are 0 or more.
func readMPS(t *testing.T, path string) *Program {
	t.Helper()
	f, err := os.Open(filepath.Clean(path))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	type entry struct {
		column int
		value  float64
	}
	kind, entries, right := map[string]string{}, map[string][]entry{}, map[string]float64{}
	var order []string
	columns := map[string]int{}
	upper := map[int]float64{}
	cost := ""
	section := ""
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		line := lines.Text()
		if strings.HasPrefix(line, "*") || strings.TrimSpace(line) == "" {
			continue
		}
		words := strings.Fields(line)
		if line[0] != ' ' {
			section = words[0]
			continue
		}
		number := func(s string) float64 {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatalf("%s: %q", path, line)
			}
			return v
		}
		switch section {
		case "ROWS":
			kind[words[1]] = words[0]
			if words[0] == "N" {
				cost = words[1]
			} else {
				order = append(order, words[1])
			}
		case "COLUMNS":
			c, ok := columns[words[0]]
			if !ok {
				c = len(columns)
				columns[words[0]] = c
			}
			for k := 1; k+1 < len(words); k += 2 {
				entries[words[k]] = append(entries[words[k]], entry{c, number(words[k+1])})
			}
		case "RHS":
			words = words[len(words)%2:] // the set's name may be blank
			for k := 0; k+1 < len(words); k += 2 {
				right[words[k]] = number(words[k+1])
			}
		case "BOUNDS":
			if words[0] != "UP" {
				t.Fatalf("%s: bound %q", path, line)
			}
			upper[columns[words[2]]] = number(words[3])
		default:
			t.Fatalf("%s: section %q", path, section)
		}
	}
	costs := make([]float64, len(columns))
	for _, e := range entries[cost] {
		costs[e.column] = e.value
	}
	p := NewProgram(costs)
	for _, name := range order {
		var at []int
		var coef, minus []float64
		for _, e := range entries[name] {
			at, coef, minus = append(at, e.column), append(coef, e.value), append(minus, -e.value)
		}
		if kind[name] != "L" {
			p.AtLeast(right[name], at, coef)
		}
		if kind[name] != "G" {
			p.AtLeast(-right[name], at, minus)
		}
	}
	for c := range costs {
		p.AtLeast(0, []int{c}, []float64{1})
		if u, ok := upper[c]; ok {
			p.AtLeast(-u, []int{c}, []float64{-1})
		}
	}
	return p
}

func TestProgram_NoAnswer(t *testing.T) {
	p := NewProgram([]float64{1, 1})
	p.AtLeast(1, []int{0}, []float64{1})
	p.AtLeast(0, []int{0}, []float64{-1})
	if _, _, err := p.Solve(); !errors.Is(err, ErrInfeasible) {
		t.Errorf("x ≥ 1 and x ≤ 0: %v", err)
	}
	p = NewProgram([]float64{1, -1})
	p.AtLeast(1, []int{0}, []float64{1})
	if _, _, err := p.Solve(); !errors.Is(err, ErrUnbounded) {
		t.Errorf("y free and its cost −1: %v", err)
	}
	p = NewProgram([]float64{0})
	p.AtLeast(1, nil, nil)
	if _, _, err := p.Solve(); !errors.Is(err, ErrInfeasible) {
		t.Errorf("0 ≥ 1: %v", err)
	}
	p = NewProgram([]float64{0, 0})
	p.AtLeast(3, []int{0, 1}, []float64{1, 1})
	v, value, err := p.Solve()
	if err != nil || value != 0 || v[0]+v[1] < 3-1e-9 {
		t.Errorf("no cost: %v, %v, %v", v, value, err)
	}
}

// An L∞ fit is a program: least t with |residual| ≤ t.
func TestProgram_NAGe02gc(t *testing.T) {
	f, err := os.Open(published + "nag_e02gc_linf.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) != 6 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	var basis [][]float64
	var y []float64
	for _, row := range rows[1:] {
		x, _ := strconv.ParseFloat(row[0], 64)
		v, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		basis, y = append(basis, []float64{math.Exp(x), math.Exp(-x), 1}), append(y, v)
	}
	v := minimax(t, basis, y)
	for i, want := range []float64{1.0049, 2.0149, 1.4822} {
		if math.Abs(v[i]-want) > 6e-5 {
			t.Errorf("coefficient %d: %.6f, published %.4f", i, v[i], want)
		}
	}
	if math.Abs(v[3]-1.034037e-3) > 5e-9 {
		t.Errorf("largest residual %.6e, published 1.03e-3", v[3])
	}
}

func TestProgram_NAGe02al(t *testing.T) {
	var basis [][]float64
	var y []float64
	for k := range 21 {
		x := 0.05 * float64(k)
		row := []float64{1}
		for range 5 {
			row = append(row, row[len(row)-1]*x)
		}
		basis, y = append(basis, row), append(y, math.Exp(x))
	}
	v := minimax(t, basis, y)
	for i, want := range []float64{1, 1.0001, .49909, .17042, .034784, .013909} {
		if digits := 5e-5 * math.Min(1, want*10); math.Abs(v[i]-want) > digits {
			t.Errorf("coefficient %d: %.6f, published %v", i, v[i], want)
		}
	}
	if math.Abs(v[6]-1.0915041e-6) > 1e-11 {
		t.Errorf("deviation %.6e, published 1.09e-6", v[6])
	}
}

// minimax fits y by the basis; the last entry is the largest residual.
func minimax(t *testing.T, basis [][]float64, y []float64) []float64 {
	t.Helper()
	n := len(basis[0])
	cost := make([]float64, n+1)
	cost[n] = 1
	p := NewProgram(cost)
	at := make([]int, n+1)
	for i := range at {
		at[i] = i
	}
	for k, row := range basis {
		up, down := append(append([]float64(nil), row...), 1), []float64{}
		for _, c := range row {
			down = append(down, -c)
		}
		p.AtLeast(y[k], at, up)
		p.AtLeast(-y[k], at, append(down, 1))
	}
	v, _, err := p.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return v
}
