package internal

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
)

// source is one Go file below internal/, tests left out.
type source struct {
	room string // its package's path below internal/
	name string
	file *ast.File
	text string
}

// sources are all files of the rooms, read once.
func sources(t *testing.T) []source {
	t.Helper()
	all, err := readSources()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 300 {
		t.Fatalf("found only %d files: the search is broken", len(all))
	}
	return all
}

var readSources = sync.OnceValues(func() (all []source, err error) {
	err = filepath.WalkDir(".", func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			return enter(".", file, d.Name())
		}
		if !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			return nil
		}
		text, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, text, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		all = append(all, source{path.Dir(filepath.ToSlash(file)), filepath.ToSlash(file), parsed, string(text)})
		return nil
	})
	return all, err
})

// parse makes a source of a text, for trying the rules.
func parse(t *testing.T, name, text string) source {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), name, text, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	return source{path.Dir(name), name, parsed, text}
}

// literals are the texts that a file spells.
func (s source) literals() (texts []string) {
	ast.Inspect(s.file, func(n ast.Node) bool {
		if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING {
			if text, err := strconv.Unquote(l.Value); err == nil {
				texts = append(texts, text)
			}
		}
		return true
	})
	return texts
}

// imports says whether a file imports a path, or one below it.
func (s source) imports(target string) bool {
	return slices.ContainsFunc(s.file.Imports, func(i *ast.ImportSpec) bool {
		p, err := strconv.Unquote(i.Path.Value)
		return err == nil && (p == target || strings.HasPrefix(p, target+"/"))
	})
}

// spelled gives the files that spell a word as a text of its own, but for those
// of its homes.
func spelled(all []source, word string, homes ...string) (faults []string) {
	for _, s := range all {
		if !slices.Contains(homes, s.room) && slices.Contains(s.literals(), word) {
			faults = append(faults, fmt.Sprintf("%s spells %q: its home is %s", s.name, word, strings.Join(homes, ", ")))
		}
	}
	return faults
}

// verdicts gives each verdict's homes: the room of its rule, and text.
func verdicts() map[string][]string {
	return map[string][]string{
		"worn":      {"wear", "text"},
		"not level": {"straight", "text"},
		"in doubt":  {"straight", "text"},
		"buzzes":    {"play", "text"},
		"grazes":    {"play", "text"},
		"chokes":    {"play", "text"},
	}
}

// A verdict's words and its rule have one home.
func TestRules_VerdictsAreSpelledAtHome(t *testing.T) {
	all := sources(t)
	for word, homes := range verdicts() {
		for _, fault := range spelled(all, word, homes...) {
			t.Error(fault)
		}
	}
	stray := parse(t, "level/x.go", "package level\nvar v = \"worn\"")
	if len(spelled([]source{stray}, "worn", "wear")) != 1 || len(spelled([]source{stray}, "worn", "level")) != 0 {
		t.Error("the search is broken")
	}
}

// A gauge's name is known to its row, its equation and its words.
func TestRules_GaugesAreSpelledAtHome(t *testing.T) {
	all := sources(t)
	for _, word := range []string{"rocker", "bridge", "sticks"} {
		for _, fault := range spelled(all, word, "reading", "text") {
			t.Error(fault)
		}
	}
}

// calculates gives what answer's files work out or word themselves.
func calculates(all []source) (faults []string) {
	for _, s := range all {
		if s.room != "answer" {
			continue
		}
		for _, target := range []string{"math", "gonum.org"} {
			if s.imports(target) {
				faults = append(faults, s.name+" imports "+target)
			}
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			if f, ok := n.(*ast.SelectorExpr); ok && f.Sel.Name == "Sprintf" {
				faults = append(faults, s.name+" calls Sprintf")
			}
			return true
		})
	}
	return faults
}

// answer calls and gathers: it works nothing out and words nothing.
func TestRules_AnswerCallsAndGathers(t *testing.T) {
	for _, fault := range calculates(sources(t)) {
		t.Error(fault)
	}
	if n := len(calculates([]source{parse(t, "answer/x.go", "package answer\nimport (\"math\"; \"fmt\")\nvar v = fmt.Sprintf(\"%g\", math.Pi)")})); n != 2 {
		t.Errorf("the search is broken: %d faults", n)
	}
}

// retellings gives structs of sheet that others may fill, numbers of answers
// that may be missing and are pointers, and rooms that read CSV themselves.
func retellings(all []source) (faults []string) {
	for _, s := range all {
		if s.imports("encoding/csv") && s.room != "table" && s.room != "reading" && s.room != "casetest" {
			faults = append(faults, s.name+" reads or writes CSV itself: that is table's trade")
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.TypeSpec:
				if _, ok := n.Type.(*ast.StructType); ok && s.room == "sheet" && n.Name.IsExported() && n.Name.Name != "Paper" && n.Name.Name != "Units" {
					faults = append(faults, fmt.Sprintf("%s: %s is a struct to fill: sheet draws answers", s.name, n.Name.Name))
				}
			case *ast.StarExpr:
				if id, ok := n.X.(*ast.Ident); ok && id.Name == "float64" && s.room == "answer" {
					faults = append(faults, s.name+" has a *float64: num.Opt is a number that may be missing")
				}
			}
			return true
		})
	}
	return faults
}

// sheet draws answers, one room reads CSV, a missing number is an Opt.
func TestRules_NothingIsRetold(t *testing.T) {
	for _, fault := range retellings(sources(t)) {
		t.Error(fault)
	}
	tried := []source{
		parse(t, "sheet/x.go", "package sheet\ntype Band struct{}\ntype Paper struct{}"),
		parse(t, "answer/x.go", "package answer\ntype A struct{ V *float64 }"),
		parse(t, "drift/x.go", "package drift\nimport \"encoding/csv\""),
	}
	if n := len(retellings(tried)); n != 3 {
		t.Errorf("the search is broken: %d faults", n)
	}
}

// maxRequirements is how many modules go.mod may require.
const maxRequirements = 57

func TestRules_FewModules(t *testing.T) {
	mod, err := os.ReadFile("../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	n := len(regexp.MustCompile(`(?m)^\t\S+ v\d`).FindAll(mod, -1))
	if n < 10 {
		t.Fatalf("found only %d requirements: the search is broken", n)
	}
	if n > maxRequirements {
		t.Errorf("go.mod has %d requirements, at most %d: what does the new one save?", n, maxRequirements)
	}
}

// Every room keeps under its ceiling of lines; raising one is a line in the diff.
func TestRules_RoomsKeepTheirSize(t *testing.T) {
	lines, ceiling := map[string]int{}, ceilings()
	for _, s := range sources(t) {
		lines[s.room] += strings.Count(s.text, "\n")
	}
	for _, room := range floors() {
		switch most, ok := ceiling[room]; {
		case !ok:
			t.Errorf("%s has no ceiling: its %d lines want one", room, lines[room])
		case lines[room] > most:
			t.Errorf("%s has %d lines, its ceiling is %d", room, lines[room], most)
		case lines[room] < most*3/4-200:
			t.Errorf("%s has %d lines: lower its ceiling of %d", room, lines[room], most)
		}
	}
}

// ceilings is how many lines each room may have, tests left out: a room that
// grows past it does more than its name says, or says it at length.
func ceilings() map[string]int {
	return map[string]int{
		"cli":               13150,
		"bench/browser":     100,
		"bench":             10015,
		"bench/serialgauge": 550,
		"bench/playthrough": 400,
		"bench/draft":       2150,
		"sheet":             5900,
		"answer":            5100,
		"trial":             2550,
		"text":              6500,
		"draw":              1850,
		"likely":            300,
		"findings":          3300,
		"setup":             1080,
		"listen":            950,
		"ear":               1250,
		"heard":             1450,
		"recording":         300,
		"tune":              550,
		"demo":              800,
		"sound":             650,
		"book/archive":      1950,
		"book/sqlite":       1000,
		"book/postgres":     800,
		"book/booktest":     1900,
		"book/tables":       1900,
		"book":              3650,
		"inhand":            570,
		"book/parquet":      250,
		"book/column":       450,
		"book/salvage":      1150,
		"book/pages":        800,
		"board":             4100,
		"arrive":            750,
		"hand":              1500,
		"filing":            1800,
		"level":             2050,
		"relief":            745,
		"study":             650,
		"film":              350,
		"play":              4000,
		"plan":              1100,
		"glue":              850,
		"gauge":             2500,
		"drift":             4300,
		"pace":              350,
		"wear":              2900,
		"feelers":           1000,
		"readplan":          1650,
		"straight":          1750,
		"plausible":         1050,
		"heights":           5700,
		"stringset":         400,
		"wire":              350,
		"wood":              750,
		"geometry":          300,
		"reading":           1500,
		"spreadsheet":       580,
		"neck":              2350,
		"material":          700,
		"table":             850,
		"unit":              500,
		"fileerr":           300,
		"name":              130,
		"casetest":          280,
		"necktest":          50,
		"num":               800,
	}
}
