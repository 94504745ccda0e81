package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ringtrue/internal/trial"
)

// The page has a row of every class that belongs in it.
func TestPage_EveryClass(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "trust.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(page), from)
	table, _, ended := strings.Cut(rest, to)
	if !found || !ended {
		t.Fatal(errNoPlace)
	}
	classes, err := chosen("")
	if err != nil || len(classes) < 12 {
		t.Fatalf("%d classes, %v", len(classes), err)
	}
	for _, c := range classes {
		if strings.Count(table, "\n| "+c.Name+" |") != 2 || !strings.Contains(table, "\n| "+c.Name+" | "+c.About+" |") {
			t.Errorf("docs/trust.md has no row of %s as it is now: go run ./docs/trust", c.Name)
		}
	}
}

func TestPlaced(t *testing.T) {
	got, err := placed("a\n"+from+"old\n"+to+"b\n", marks{from, to}, "new\n")
	if want := "a\n" + from + "\nnew\n\n" + to + "b\n"; err != nil || got != want {
		t.Errorf("%q %v, want %q", got, err, want)
	}
	for _, page := range []string{"a", from, to + from} {
		if _, err := placed(page, marks{from, to}, "x"); !errors.Is(err, errNoPlace) {
			t.Errorf("%q: %v", page, err)
		}
	}
}

func TestChosen(t *testing.T) {
	all, err := chosen("all")
	if err != nil || len(all) != len(trial.Classes()) {
		t.Errorf("%d of %d, %v", len(all), len(trial.Classes()), err)
	}
	two, err := chosen("odd,probe")
	if err != nil || len(two) != 2 || two[1].Name != "probe" {
		t.Errorf("%v %v", two, err)
	}
	if _, err := chosen("odd,lute"); err == nil {
		t.Error("no error for a class that there is not")
	}
}

// One class to the screen, and a neck as files.
func TestRun_PrintAndWrite(t *testing.T) {
	var out bytes.Buffer
	a := asked{class: "odd", print: true, blame: true, plan: trial.Plan{Necks: 2, Seed: 1}}
	if err := run(&out, a); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(out.String(), "\n| odd | one to three frets or ends off, misreads | 2 |") || !strings.Contains(out.String(), "Averaging alone") {
		t.Error(out.String())
	}
	a.write = t.TempDir()
	if err := run(&out, a); err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{"odd-1.toml", "odd-1.csv"} {
		if data, err := os.ReadFile(filepath.Join(a.write, f)); err != nil || len(data) < 500 {
			t.Errorf("%s: %d bytes, %v", f, len(data), err)
		}
	}
}
