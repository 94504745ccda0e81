package cli

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

// maxShort is how many lines a listing of the Heron neck has without --all.
const maxShort = 12

// shortListings are calls on the examples, and how their listings begin.
func shortListings() []struct{ call, begins string } {
	return []struct{ call, begins string }{
		{"frets heron.toml heron-seated.csv", "Heron 22: NOT LEVEL\n"},
		{"frets heron.toml heron-refitted.csv", "Heron 22: NOT LEVEL\n"},
		{"frets heron.toml heron-refitted.csv --seated 19", "Heron 22: NOT LEVEL\n"},
		{"frets heron.toml heron-seated.csv --after heron-levelled.csv", "Heron 22, after levelling: LEVEL\n"},
		{"frets heron.toml heron-levelled.csv", "Heron 22: LEVEL\n"},
		{"frets heron.toml heron-feelers.csv", "Heron 22: NOT LEVEL\n"},
		{"play heron.toml heron-seated.csv", "Heron 22: NOTES BUZZ\n"},
		{"play heron.toml heron-levelled.csv", "Heron 22: SOME NOTES GRAZE\n"},
		{"play heron.toml heron-seated.csv --as-planned", "Heron 22: SOME NOTES GRAZE\n"},
		{"play heron.toml", "Heron 22: SOME NOTES GRAZE\n"},
		{"setup heron.toml heron-levelled.csv --first-gap 0.6mm --action 2mm,2.4mm", "Heron 22: TAKE SADDLE AND NUT DOWN\n"},
		{"setup heron.toml heron-seated.csv --first-gap 0.6mm --action 2mm,2.4mm", "Heron 22: FRETS FIRST, THEN THE SET-UP\n"},
		{"setup heron.toml --first-gap 0.6mm --action 2mm --bridge-top -2mm", "Heron 22: NECK ANGLE FIRST\n"},
		{"relief heron-bass.toml", "Heron Bass 34: THE STRINGS BEND THIS NECK BY 0.78 mm\n"},
		{"frets heron-bass.toml heron-bass-strung.csv", "Heron Bass 34: LEVEL\n"},
		{"plan heron.toml", "Heron 22: 22 frets on 640 mm\n"},
		{"board heron.toml heron-board.csv", "Heron 22, bare board: NOT READY\n"},
		{"wood heron.toml", "Heron 22, African ebony board at 7.0 %: READY "},
		{"wood heron.toml --humidity 60", "Heron 22, African ebony board at 7.0 %: NOT READY "},
		{"gauge gauge-study.csv --tolerance 0.03mm", "crossed study, 90 readings: SHARP ENOUGH "},
		{"drift --of zone --stage seated --at-most 0.03mm --by wire", "zone, mm, seated: "},
		{"drift --of pattern --stage seated --by wire", "Pattern of 12 necks, seated"},
		{"book compare 1003 levelled serviced", "1003  Heron 22: WORN\n"},
		{"drift --of zone --stage seated --first 5 --cusum 0.5,5 --at-most 0.03mm", "zone, mm, seated: "},
		{"frets --serial 1002", "Heron 22: NOT LEVEL\n"}, // back from its player, worn and bowed
		{"frets --serial 1003", "Heron 22: NOT LEVEL\n"}, // with a fret end that sprang up
		{"listen heron.toml played.wav --strings 1,2", "Heron 22: 46 OF 46 NOTES HEARD\n"},
		{"ear heron.toml heron-levelled.csv heard.csv", "Heron 22: EAR AND PREDICTION DISAGREE\n"},
		{"ear heron.toml heard.csv", "Heron 22: FRET 6 IS PROBABLY HIGH\n"},
	}
}

// listing runs a call beside the examples and gives what it prints.
func listing(t *testing.T, colour bool, call string, more ...string) string {
	t.Helper()
	var out bytes.Buffer
	s := &streams{in: strings.NewReader(""), out: &out, errOut: &out, colour: colour}
	root := newRootCommand(s)
	root.SetArgs(append(strings.Fields(call), more...))
	root.SetOut(&out)
	root.SetErr(&out)
	if err := root.ExecuteContext(context.Background()); err != nil {
		t.Fatalf("%s: %v", call, err)
	}
	return out.String()
}

// besideExamples works in a copy of the examples, with a book of its own.
func besideExamples(t *testing.T) {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "..", "examples"))); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	t.Setenv("RINGTRUE_BOOK", filepath.Join(dir, "listing.db"))
}

// heardBesideExamples puts a recording of the first two strings beside the examples, and
// answers by ear: fret 5 and two open strings buzz.
func heardBesideExamples(t *testing.T) {
	t.Helper()
	listing(t, false, "play heron.toml --all-notes --seconds 0.5 --wav played.wav")
	if i, err := os.Stat("played.wav"); err != nil {
		t.Fatal(err)
	} else if err := os.Truncate("played.wav", i.Size()/3); err != nil {
		t.Fatal(err)
	}
	answers := "string,fret,heard\n3,0,buzzes\n4,0,buzzes\n"
	for n := 1; n <= 6; n++ {
		answers += fmt.Sprintf("%d,5,buzzes\n%[1]d,3,clear\n%[1]d,8,clear\n", n)
	}
	if err := os.WriteFile("heard.csv", []byte(answers), 0o600); err != nil {
		t.Fatal(err)
	}
}

// facts are what a listing is searched for: its decimals, and what they are of.
func facts(listing string) []string {
	return regexp.MustCompile(`[-+]?\d+\.\d+|lane \d+|string \d+|slot \d+|\d+ in 20`).FindAllString(listing, -1)
}

// A listing begins with the verdict and keeps to twelve lines; --all has all its
// facts and more, and a terminal shows the same in bold.
func TestListing_TwelveLinesFirst(t *testing.T) {
	besideExamples(t)
	listing(t, false, "book demo --necks 12")
	heardBesideExamples(t)
	searched, compared := 0, map[string]bool{}
	for _, c := range shortListings() {
		short, all := listing(t, false, c.call), listing(t, false, c.call, "--all")
		if n := strings.Count(short, "\n"); n > maxShort {
			t.Errorf("%s: %d lines, want at most %d:\n%s", c.call, n, maxShort, short)
		}
		if !strings.HasPrefix(short, c.begins) || !strings.HasPrefix(all, c.begins) {
			t.Errorf("%s begins\n%.100s\nand with --all\n%.100s\nwant %q", c.call, short, all, c.begins)
		}
		if lines := strings.Split(strings.TrimSpace(short), "\n"); !strings.Contains(strings.Join(lines[max(0, len(lines)-2):], "\n"), "--all shows ") {
			t.Errorf("%s does not end by naming --all:\n%s", c.call, short)
		}
		if strings.Count(all, "\n") <= strings.Count(short, "\n") {
			t.Errorf("%s --all has no more lines than without", c.call)
		}
		for _, line := range strings.Split(short, "\n") {
			if utf8.RuneCountInString(line) > lineWidth && !strings.HasPrefix(line, "  ringtrue ") {
				t.Errorf("%s: wider than %d: %s", c.call, lineWidth, line)
			}
		}
		if bare, _ := bareSigns(short); len(bare) > 0 {
			t.Errorf("%s: ± without words:\n%s", c.call, short)
		}
		found := facts(short)
		searched += len(found)
		for _, f := range found {
			if !strings.Contains(strings.Join(strings.Fields(all), " "), f) {
				t.Errorf("%s: %q is not in --all", c.call, f)
			}
		}
		command, _, _ := strings.Cut(c.call, " ")
		if compared[command] {
			continue
		}
		compared[command] = true
		bold := listing(t, true, c.call)
		if plain := regexp.MustCompile("\x1b\\[[0-9;]*m").ReplaceAllString(bold, ""); plain != short {
			t.Errorf("%s: a terminal shows\n%s\na pipe\n%s", c.call, plain, short)
		}
	}
	if searched < 100 {
		t.Errorf("searched for %d facts only: the search is broken", searched)
	}
}

// Tables have the bass side left, as the neck lies, and as card and pages have it.
func TestListing_BassSideLeft(t *testing.T) {
	besideExamples(t)
	listing(t, false, "book demo --necks 12")
	for _, call := range []string{"frets heron.toml heron-seated.csv", "frets heron-twelve.toml heron-twelve-seated.csv", "board heron.toml heron-board.csv",
		"drift --of pattern --stage seated", "book compare 1003 levelled serviced"} {
		heads := regexp.MustCompile(`(?m)^ +(?:fret|slot) .*lane .*lane .*$`).FindAllString(listing(t, false, call, "--all"), -1)
		if len(heads) == 0 {
			t.Errorf("%s: no table of lanes: the search is broken", call)
		}
		for _, head := range heads {
			before := math.Inf(1)
			for _, n := range regexp.MustCompile(`lane (\d+\.?\d*)`).FindAllStringSubmatch(head, -1) {
				lane, err := strconv.ParseFloat(n[1], 64)
				if err != nil || lane >= before {
					t.Errorf("%s: lane %s stands right of lane %g: %s", call, n[1], before, head)
				}
				before = lane
			}
		}
	}
}
