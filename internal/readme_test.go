package internal

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/cli"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
)

var update = flag.Bool("update", false, "write the pages' output anew")

// leftOut stands in a page for paragraphs of an output, or lines within one, that it does
// not show.
const leftOut = "[…]"

// Every ```console block of the README is a command and what it prints. A block
// may leave whole paragraphs out, and says so.
func TestREADME_OutputIsReal(t *testing.T) {
	t.Chdir("..")
	checkPage(t, "README.md")
}

// The pages on set-up, relief and other gauges are told in a copy of the examples and in
// a book of their own, block after block.
func TestSetupPage_OutputIsReal(t *testing.T) { checkBesideExamples(t, "setup.md") }

func TestReliefPage_OutputIsReal(t *testing.T) { checkBesideExamples(t, "relief.md") }

// The page on plucks shows what its calls draw: its pictures are theirs.
func TestRingingPage_OutputIsReal(t *testing.T) {
	docs, err := filepath.Abs(filepath.Join("..", "docs"))
	if err != nil {
		t.Fatal(err)
	}
	checkBesideExamples(t, "ringing.md")
	for _, name := range []string{"play.svg", "study.svg", "pluck.svg", "tune.svg"} {
		checkPicture(t, filepath.Join(docs, name), name)
	}
}

// The README's picture is drawn of the neck that its first command judges.
func TestREADME_PictureIsReal(t *testing.T) {
	t.Chdir("..")
	drawn := filepath.Join(t.TempDir(), "frets.svg")
	cli.Run(context.Background(), []string{"frets", "examples/heron.toml", "examples/heron-seated.csv", "--draw", drawn}, strings.NewReader(""), io.Discard, io.Discard)
	checkPicture(t, filepath.Join("docs", "frets.svg"), drawn)
}

// The fault that the README shows is the one of a new neck file whose scale has
// lost its unit.
func TestREADME_FaultIsReal(t *testing.T) {
	page, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	var out bytes.Buffer
	cli.Run(context.Background(), []string{"neck", "new", "mine.toml", "--like", "acoustic"}, strings.NewReader(""), &out, &out)
	made, err := os.ReadFile("mine.toml")
	if err != nil {
		t.Fatal(err, out.String())
	}
	wrong := regexp.MustCompile(`(?m)^length = "[^"]+"`).ReplaceAllString(string(made), "length = 640")
	if err := os.WriteFile("mine.toml", []byte(wrong), 0o644); err != nil {
		t.Fatal(err)
	}
	out.Reset()
	cli.Run(context.Background(), []string{"plan", "mine.toml"}, strings.NewReader(""), io.Discard, &out)
	if said := strings.TrimSpace(out.String()); said == "" || !strings.Contains(string(page), "    "+said+"\n") {
		t.Errorf("README.md does not show %q", said)
	}
}

// checkPicture holds a page's picture against the one just drawn.
func checkPicture(t *testing.T, shown, drawn string) {
	t.Helper()
	made, err := os.ReadFile(drawn)
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(shown, made, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if kept, err := os.ReadFile(shown); err != nil || !bytes.Equal(kept, made) {
		t.Errorf("%s is not what the program draws, %v (go test ./internal -update draws it again)", shown, err)
	}
}

func TestOtherGaugesPage_OutputIsReal(t *testing.T) { checkBesideExamples(t, "other-gauges.md") }

func checkBesideExamples(t *testing.T, name string, between ...func(text string)) {
	t.Helper()
	checkBeside(t, name, "examples", between...)
}

// checkBeside runs a page in a copy of a folder.
func checkBeside(t *testing.T, name, folder string, between ...func(text string)) {
	t.Helper()
	page, err := filepath.Abs(filepath.Join("..", "docs", name))
	if err != nil {
		t.Fatal(err)
	}
	bench := t.TempDir()
	if err := os.CopyFS(bench, os.DirFS(filepath.Join("..", filepath.FromSlash(folder)))); err != nil {
		t.Fatal(err)
	}
	t.Chdir(bench)
	t.Setenv("RINGTRUE_BOOK", filepath.Join(bench, "first.db"))
	checkPage(t, page, between...)
}

// checkPage runs a page's blocks in order and holds them against what it shows. between
// is given the text before each block, and after the last.
func checkPage(t *testing.T, path string, between ...func(text string)) {
	t.Helper()
	page, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Base(path)
	parts := strings.Split(string(page), "```console\n")
	if len(parts) < 2 {
		t.Fatalf("%s shows no ```console block", name)
	}
	for i, part := range parts[1:] {
		block, rest, closed := strings.Cut(part, "```\n")
		line, shown, _ := strings.Cut(block, "\n")
		for _, f := range between {
			f(afterBlock(parts[i], i > 0))
		}
		args, isCall := arguments(line)
		if !closed || !isCall {
			t.Fatalf("block %d: want \"$ ringtrue …\" or \"$ go run ./cmd/ringtrue …\" and its output, not %q", i+1, line)
		}
		var out bytes.Buffer
		cli.Run(context.Background(), args, strings.NewReader(""), &out, &out)
		want, err := shorten(shown, someDay(out.String()))
		if err != nil {
			t.Errorf("%s: %v", line, err)
			continue
		}
		if want != shown && !*update {
			t.Errorf("%s: %s shows\n%s\nthe program prints\n%s\n(go test ./internal -update writes it anew)", line, name, shown, want)
		}
		parts[i+1] = line + "\n" + want + "```\n" + rest
	}
	for _, f := range between {
		f(afterBlock(parts[len(parts)-1], true))
	}
	if *update && !t.Failed() {
		if err := os.WriteFile(path, []byte(strings.Join(parts, "```console\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// afterBlock is the text of a part of a page behind the block that it begins with, where
// it does.
func afterBlock(part string, begins bool) string {
	if !begins {
		return part
	}
	_, rest, _ := strings.Cut(part, "\n```\n")
	return rest
}

// someDay puts one day for that on which a record is added or a neck is heard, and one
// time for that until which glue sets: now, whenever the pages were written.
func someDay(printed string) string {
	printed = regexp.MustCompile(`\b(added|Since) \d{4}-\d\d-\d\d`).ReplaceAllString(printed, "$1 2026-03-18")
	return regexp.MustCompile(`until tomorrow \d\d:\d\d`).ReplaceAllString(printed, "until tomorrow 14:20")
}

// The README's table of methods is made of their words.
func TestREADME_EveryMethod(t *testing.T) {
	page, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	const head = "| `method` | the gauge | `reading` |\n|---|---|---|\n"
	before, rest, found := strings.Cut(string(page), head)
	shown, after, closed := strings.Cut(rest, "\n\n")
	if !found || !closed {
		t.Fatal("README.md has no table of methods")
	}
	var rows []string
	for _, m := range reading.Methods() {
		said := text.OfMethod(m)
		rows = append(rows, fmt.Sprintf("| `%s` | %s | %s |", m, said.Tool, said.Says))
	}
	want := strings.Join(rows, "\n")
	if *update {
		if err := os.WriteFile("../README.md", []byte(before+head+want+"\n\n"+after), 0o644); err != nil {
			t.Fatal(err)
		}
	} else if shown != want {
		t.Errorf("README.md has\n%s\nthe words are\n%s\n(go test ./internal -update writes it anew)", shown, want)
	}
}

// A test that a page names must exist.
func TestREADME_NamesRealTests(t *testing.T) {
	have := testsOf(t)
	for _, page := range pages(t) {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		names := regexp.MustCompile("`((?:Test|Benchmark)[A-Z]\\w*)`").FindAllStringSubmatch(string(text), -1)
		if name := filepath.Base(page); len(names) == 0 && (name == "README.md" || name == "trust.md") {
			t.Errorf("%s names no test", page)
		}
		for _, name := range names {
			if !have[name[1]] {
				t.Errorf("%s names %s, which is not a test", page, name[1])
			}
		}
	}
}

// testsOf lists all tests and benchmarks below this folder and beside the pages.
func testsOf(t *testing.T) map[string]bool {
	have := map[string]bool{}
	read := func(path string, _ os.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		code, err := os.ReadFile(path)
		for _, f := range regexp.MustCompile(`(?m)^func (Test\w+|Benchmark\w+)\(\w+ \*testing\.[TB]\)`).FindAllSubmatch(code, -1) {
			have[string(f[1])] = true
		}
		return err
	}
	for _, folder := range []string{".", "../docs"} {
		if err := filepath.WalkDir(folder, read); err != nil {
			t.Fatal(err)
		}
	}
	return have
}

func arguments(line string) ([]string, bool) {
	for _, program := range []string{"$ go run ./cmd/ringtrue ", "$ ringtrue "} {
		if args, ok := strings.CutPrefix(line, program); ok {
			return words(args), true
		}
	}
	return nil, false
}

// words parts a call as a shell does, with double quotes.
func words(call string) []string {
	var out []string
	for _, m := range regexp.MustCompile(`"([^"]*)"|\S+`).FindAllStringSubmatch(call, -1) {
		if strings.HasPrefix(m[0], `"`) {
			m[0] = m[1]
		}
		out = append(out, m[0])
	}
	return out
}

// shorten keeps those paragraphs of an output that the page shows. It knows a
// paragraph again by its first two words, whatever numbers have changed.
func shorten(shown, printed string) (string, error) {
	all := paragraphs(printed)
	var kept []string
	at := 0
	for _, p := range paragraphs(shown) {
		if p == leftOut {
			kept = append(kept, p)
			continue
		}
		next := slices.IndexFunc(all[at:], func(q string) bool { return opening(q) == opening(p) })
		if next < 0 {
			return "", fmt.Errorf("prints no paragraph %q there", opening(p))
		}
		if next > 0 && !endsLeftOut(kept) {
			return "", fmt.Errorf("prints paragraphs before %q that the page leaves out without %s", opening(p), leftOut)
		}
		at += next + 1
		kept = append(kept, cut(all[at-1], p))
	}
	if at < len(all) && !endsLeftOut(kept) {
		return "", fmt.Errorf("prints more paragraphs than the page shows, without %s at the end", leftOut)
	}
	return strings.Join(kept, "\n\n") + "\n", nil
}

// endsLeftOut says whether what is kept so far ends by leaving out.
func endsLeftOut(kept []string) bool {
	return len(kept) > 0 && strings.HasSuffix(kept[len(kept)-1], leftOut)
}

// cut leaves lines of a printed paragraph out where the page does: it keeps as many
// before and after as the page shows.
func cut(printed, shown string) string {
	lines := strings.Split(shown, "\n")
	at := slices.IndexFunc(lines, func(l string) bool { return strings.TrimSpace(l) == leftOut })
	if at < 0 {
		return printed
	}
	all, after := strings.Split(printed, "\n"), len(lines)-at-1
	if len(all) <= at+after {
		return printed
	}
	return strings.Join(slices.Concat(all[:at], lines[at:at+1], all[len(all)-after:]), "\n")
}

func paragraphs(s string) []string {
	return strings.Split(strings.Trim(s, "\n"), "\n\n")
}

func opening(paragraph string) string {
	words := strings.Fields(paragraph)
	return strings.Join(words[:min(2, len(words))], " ")
}

func TestShorten(t *testing.T) {
	const printed = "Neck: LEVEL\nworst 1\n\nLanes are\n 2\n\nPlan: none\n"
	cases := []struct{ name, shown, want string }{
		{"all", "Neck: LEVEL\nworst 9\n\nLanes are\n\nPlan: none\n", printed},
		{"middle left out", "Neck: LEVEL\n\n[…]\n\nPlan: none\n", "Neck: LEVEL\nworst 1\n\n[…]\n\nPlan: none\n"},
		{"left out in silence", "Neck: LEVEL\n\nPlan: none\n", ""},
		{"lines left out", "Neck: LEVEL\n[…]\n\nPlan: none\n", "Neck: LEVEL\n[…]\n\nPlan: none\n"},
		{"lines before the last", "Neck: LEVEL\n  […]\nworst 9\n\n[…]\n", "Neck: LEVEL\nworst 1\n\n[…]\n"},
		{"end left out in silence", "Neck: LEVEL\n\nLanes are\n", ""},
		{"made up", "Neck: LEVEL\n\nCost is 3\n\n[…]\n", ""},
		{"order", "[…]\n\nPlan: none\n\nLanes are\n", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := shorten(c.shown, printed)
			if got != c.want || (err == nil) != (c.want != "") {
				t.Errorf("got %q, %v; want %q", got, err, c.want)
			}
		})
	}
}
