package main

import (
	"strings"
	"testing"
)

func TestParseBench_Medians(t *testing.T) {
	out := `goos: linux
BenchmarkBook/import/1000/sqlite-2   	       3	 0 ns/op	      9000 necks/s
BenchmarkBook/import/1000/sqlite-2   	       3	 0 ns/op	      7000 necks/s
BenchmarkBook/import/1000/sqlite-2   	       3	 0 ns/op	      8000 necks/s
BenchmarkNeck/AVX-512/cores=2-2   	       1	 41.5 ns/op	 16 B/op	 2 allocs/op
PASS
ok  	ringtrue/internal/book	1.2s
`
	b, err := parseBench(out, 2)
	if err != nil || len(b) != 2 {
		t.Fatal(b, err)
	}
	if v, err := of(b, "Book/import/1000/sqlite", "necks/s"); err != nil || v != 8000 {
		t.Error(v, err)
	}
	if v, err := of(b, "Neck/AVX-512/cores=2", "ns/op"); err != nil || v != 41.5 {
		t.Error(v, err)
	}
	if _, err := of(b, "Neck/AVX-512/cores=2", "MB"); err == nil {
		t.Error("a figure that is not there was found")
	}
	if b, err := parseBench("BenchmarkX-8 1 2 ns/op\n", 1); err != nil || b["X-8"] == nil {
		t.Error(b, err) // of one core go test adds no number
	}
	if _, err := parseBench("BenchmarkX 1 x ns/op\n", 1); err == nil {
		t.Error("no number passed for one")
	}
}

func TestPlain_TakesFoldersAndAddressesAway(t *testing.T) {
	r := &report{hide: []string{"/home/me/ringtrue"}}
	for text, want := range map[string]string{
		"/home/me/ringtrue/peers/a.go:3: no":        "peers/a.go:3: no",
		"open /var/tmp/x/book.db: full":             "open book.db: full",
		"get https://example.test/a?b failed":       "get (address) failed",
		"dial tcp 10.1.2.3:80":                      "dial tcp (address):80",
		"ok  \tringtrue/internal/book\t1.2s, 3/4 x": "ok  \tringtrue/internal/book\t1.2s, 3/4 x",
		"2 ns/op, necks/s, ./run.sh":                "2 ns/op, necks/s, ./run.sh",
	} {
		if got := r.plain(text); got != want {
			t.Errorf("%q became %q, want %q", text, got, want)
		}
	}
}

func TestWrite_MetAndShort(t *testing.T) {
	r := &report{part: "Levelling", machine: []string{"Some CPU, 2 cores"}, date: "2026-01-02"}
	r.atMost("a", 0.0613, 0.060, seconds)
	r.atLeast("b", 2.2e6, 1e6, perSecond("lanes"))
	r.against("c", "glpk", 1e-6, 99e-6, 100)
	r.against("d", "glpk", 1e-6, 150e-6, 100)
	r.leftOut("e: %s", "glpsol is not there")
	var b strings.Builder
	if err := r.write(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"### Levelling\n\n| figure",
		"2 figures met, 2 short, 1 left out.",
		"What falls short:\n\n- a: 61.3 ms, wanted under 60.0 ms\n- c: 99 ×, wanted at least 100 ×\n\n## Figures",
		"Measured on 2026-01-02 on a machine of Some CPU, 2 cores",
		"| a | – | 61.3 ms | – | under 60.0 ms | **short** |",
		"| b | – | 2.20 million lanes/s | – | at least 1.00 million lanes/s | met |",
		"| c | 99 × | 1.00 µs | glpk 99.0 µs | at least 100 × | **short** |",
		"| d | 150 × | 1.00 µs | glpk 150 µs | at least 100 × | met |",
		"- e: glpsol is not there",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the page lacks %q:\n%s", want, b.String())
		}
	}
}

func TestNeckText_OtherSizes(t *testing.T) {
	const heron = "[scale]\nfrets = 22\ndivisions = 12 # x\nset = [\n  { pitch = \"E4\" },\n  { pitch = \"B3\" },\n]\nfall_away = { from = 15 }\n"
	got, err := neckText(heron, 60, 4)
	want := "[scale]\nfrets = 60\ndivisions = 24\nset = [\n  { pitch = \"E4\" },\n  { pitch = \"E4\" },\n  { pitch = \"B3\" },\n  { pitch = \"B3\" },\n]\n"
	if err != nil || got != want {
		t.Errorf("%v\n%s", err, got)
	}
	if _, err := neckText("frets = 22\n", 24, 6); err == nil {
		t.Error("a neck without strings was taken")
	}
}

func TestContactTouch_PicksPeers(t *testing.T) {
	r := &report{}
	contactTouch(r, "firm", []contactLine{
		{Program: "Go, plain loops, stepwise", Seconds: 0.9},
		{Program: "C++ O3, rows inside, stepwise", Seconds: 0.5},
		{Program: "C++ fast-math, rows inside, stepwise", Seconds: 0.35},
		{Program: "C++ fast-math, frets inside, stepwise", Seconds: 0.39},
		{Program: "ringtrue, plain", Seconds: 0.18, One: 0.2, Two: 0.1},
		{Program: "ringtrue, AVX2", Seconds: 0.07, One: 0.1, Two: 0.06},
		{Program: "ringtrue, AVX-512", Seconds: 0.05, One: 0.08, Two: 0.05},
	})
	want := []string{"5 ×", "18 ×", "7 ×", "1.6 ×"}
	if len(r.figures) != len(want) {
		t.Fatal(r.figures)
	}
	for i, f := range r.figures {
		if f.ratio != want[i] || *f.met != (i < 3) {
			t.Errorf("%+v, want %s", f, want[i])
		}
	}
}
