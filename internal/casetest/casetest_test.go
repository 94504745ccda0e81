package casetest

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// told is a test under test: it keeps what it is told instead of failing.
type told struct {
	testing.TB
	words string
}

func (t *told) Helper()                           {}
func (t *told) Errorf(format string, args ...any) { t.words += fmt.Sprintf(format, args...) }
func (t *told) Fatalf(format string, args ...any) { t.Errorf(format, args...); panic(t) }
func (t *told) Fatal(args ...any)                 { t.words += fmt.Sprint(args...); panic(t) }

// refused is what a call fails with, "" for nothing.
func refused(call func(t testing.TB)) string {
	t := &told{}
	func() {
		defer func() { recover() }()
		call(t)
	}()
	return t.words
}

func TestNear_Fails(t *testing.T) {
	for _, c := range []struct {
		got, want float64
		near      bool
	}{{1.5, 1, true}, {0.5, 1, true}, {1.5000001, 1, false}, {0.4999999, 1, false}, {math.NaN(), 1, false}, {1, math.NaN(), false}, {math.Inf(1), 1, false}} {
		if words := refused(func(t testing.TB) { Near(t, "it", c.got, c.want, 0.5) }); (words == "") != c.near {
			t.Errorf("%g beside %g: %q", c.got, c.want, words)
		}
	}
}

func TestTables_Fail(t *testing.T) {
	file := func(text string) string {
		path := filepath.Join(t.TempDir(), "x.csv")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	if rows := Rows(t, file("# a source\nid,v\n\"A, B\",2\n")); len(rows) != 1 || rows[0]["id"] != "A, B" || rows[0]["v"] != "2" {
		t.Errorf("rows %v", rows)
	}
	for what, call := range map[string]func(t testing.TB){
		"a file that is missing":   func(t testing.TB) { Published(t, "no such table") },
		"a table without a row":    func(f testing.TB) { Rows(f, file("# a source\nid,v\n")) },
		"a row that is too short":  func(f testing.TB) { Rows(f, file("id,v\nA\n")) },
		"a column that is missing": func(t testing.TB) { Numbers(t, nil) },
		"a cell without a number":  func(t testing.TB) { Numbers(t, []string{"1", "x"}) },
		"an id of no case":         func(t testing.TB) { Checked(t, map[string]float64{"no such id": 1}) },
		"a value beside a case's":  func(t testing.TB) { Checked(t, map[string]float64{"EMC-T01": 9.5601}) },
	} {
		if refused(call) == "" {
			t.Errorf("%s passes", what)
		}
	}
	if words := refused(func(t testing.TB) { Checked(t, map[string]float64{"EMC-T01": 9.5599}) }); words != "" {
		t.Error(words)
	}
	if v := Numbers(t, []string{" 1.5", "-2"}); len(v) != 2 || v[0] != 1.5 || v[1] != -2 {
		t.Errorf("numbers %v", v)
	}
}
