package internal

import (
	"fmt"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "ringtrue"

// floors lists every package under internal/, the topmost first. A package may
// import only packages that stand below it. A new package gets its line here:
// where it stands is a decision, so one that is missing fails the test.
func floors() []string {
	return []string{
		"cli",
		"bench/browser",
		"bench",
		"bench/draft",
		"bench/serialgauge",
		"bench/playthrough",
		"sheet",
		"answer",
		"trial",
		"spreadsheet",
		"text",
		"draw",
		"findings",
		"setup",
		"listen",
		"ear",
		"tune",
		"demo",
		"sound",
		"book/salvage",
		"recording",
		"book/archive",
		"book/parquet",
		"book/sqlite",
		"book/postgres",
		"book/booktest",
		"book/tables",
		"book/column",
		"book/pages",
		"book",
		"inhand",
		"board",
		"arrive",
		"likely",
		"hand",
		"filing",
		"level",
		"relief",
		"study",
		"film",
		"heard",
		"play",
		"plan",
		"glue",
		"gauge",
		"pace",
		"drift",
		"wear",
		"feelers",
		"readplan",
		"straight",
		"plausible",
		"heights",
		"stringset",
		"wire",
		"wood",
		"necktest",
		"geometry",
		"reading",
		"neck",
		"material",
		"table",
		"unit",
		"fileerr",
		"name",
		"casetest",
		"num",
	}
}

// touchesOutside lists the packages whose trade is files, databases, a gauge's line,
// the command line or the web. All others are handed what they work on.
func touchesOutside() []string {
	return []string{"cli", "bench", "bench/draft", "bench/serialgauge", "book/sqlite", "book/postgres", "book/booktest", "book/tables", "necktest", "casetest"}
}

// outside lists what only touchesOutside may import.
func outside() []string {
	return []string{
		"os", "os/exec", "os/signal", "flag", "net", "net/http", "html/template", "database/sql", "syscall",
		"github.com/spf13/cobra", "github.com/spf13/pflag", "go.bug.st/serial",
	}
}

// imports maps each package (its path below the module) to what its own code
// imports. Tests are left out: they may reach wherever the compiler lets them.
type imports map[string][]string

func TestArrowsPointDown(t *testing.T) {
	all := readImports(t, "..")
	if len(all["internal/answer"]) == 0 || len(all["internal/cli"]) == 0 {
		t.Fatalf("found no imports of internal/answer or internal/cli among %d packages: the search itself is broken", len(all))
	}
	for _, fault := range upward(all) {
		t.Error(fault)
	}
}

func TestDomainKnowsNoFilesNorWeb(t *testing.T) {
	all := readImports(t, "..")
	if len(all) == 0 {
		t.Fatal("found no packages")
	}
	for _, fault := range reachingOut(all) {
		t.Error(fault)
	}
}

// The two checks must be able to fail.
func TestArrows_FaultsAreSeen(t *testing.T) {
	const in = module + "/internal/"
	cases := []struct {
		name string
		all  imports
		want string // part of the one fault; "" for none
	}{
		{"down", imports{"internal/answer": {in + "level"}}, ""},
		{"many floors down", imports{"internal/cli": {in + "num"}}, ""},
		{"from the program", imports{"cmd/ringtrue": {in + "cli"}}, ""},
		{"up", imports{"internal/level": {in + "answer"}}, "internal/level imports internal/answer, which stands above it"},
		{"a room into its own inner folder", imports{"internal/book": {in + "book/sqlite"}}, "stands above it"},
		{"into the program", imports{"internal/answer": {module + "/cmd/ringtrue"}}, "no package"},
		{"unknown", imports{"internal/newcomer": nil}, "internal/newcomer has no place"},
		{"unknown target", imports{"internal/answer": {in + "newcomer"}}, "internal/newcomer, which has no place"},
		{"inner folder is a package of its own", imports{"internal/level/deep": nil}, "internal/level/deep has no place"},
		{"a file", imports{"internal/level": {"os"}}, `internal/level imports "os"`},
		{"a flag", imports{"internal/answer": {"github.com/spf13/cobra"}}, `internal/answer imports "github.com/spf13/cobra"`},
		{"a database where it belongs", imports{"internal/book/sqlite": {"database/sql"}}, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := append(upward(c.all), reachingOut(c.all)...)
			switch {
			case c.want == "" && len(got) > 0:
				t.Errorf("unexpected: %q", got)
			case c.want != "" && (len(got) != 1 || !strings.Contains(got[0], c.want)):
				t.Errorf("got %q, want one with %q", got, c.want)
			}
		})
	}
}

// upward returns a line for each arrow that does not point down, and for each
// package without a place.
func upward(all imports) []string {
	order := floors()
	var faults []string
	for _, from := range sorted(all) {
		floor := -1 // above all: a program
		if name, inside := strings.CutPrefix(from, "internal/"); inside {
			if floor = slices.Index(order, name); floor < 0 {
				faults = append(faults, fmt.Sprintf("%s has no place in floors(): give it one", from))
				continue
			}
		}
		for _, target := range all[from] {
			to, ours := strings.CutPrefix(target, module+"/")
			if !ours {
				continue
			}
			name, inside := strings.CutPrefix(to, "internal/")
			at := slices.Index(order, name)
			switch {
			case !inside:
				faults = append(faults, fmt.Sprintf("%s imports %s: no package imports a program", from, to))
			case at < 0:
				faults = append(faults, fmt.Sprintf("%s imports %s, which has no place in floors()", from, to))
			case at <= floor:
				faults = append(faults, fmt.Sprintf("%s imports %s, which stands above it", from, to))
			}
		}
	}
	return faults
}

// reachingOut returns a line for each package that takes hold of the outside
// world though that is not its trade.
func reachingOut(all imports) []string {
	may, kept := touchesOutside(), outside()
	var faults []string
	for _, from := range sorted(all) {
		name, inside := strings.CutPrefix(from, "internal/")
		if !inside || slices.Contains(may, name) {
			continue
		}
		for _, target := range all[from] {
			if slices.Contains(kept, target) {
				faults = append(faults, fmt.Sprintf("%s imports %q: files, flags and the web are for %s", from, target, strings.Join(may, ", ")))
			}
		}
	}
	return faults
}

func sorted(all imports) []string {
	var names []string
	for name := range all {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// readImports reads the import lines of the Go files below root, whatever their
// build constraints. Nested modules and folders that the go command leaves out
// are left out here too.
func readImports(t *testing.T, root string) imports {
	t.Helper()
	all := imports{}
	err := filepath.WalkDir(root, func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			return enter(root, file, d.Name())
		}
		if !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			return nil
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, filepath.Dir(file))
		if err != nil {
			return err
		}
		name := path.Clean(filepath.ToSlash(rel))
		if _, seen := all[name]; !seen {
			all[name] = nil // a package without imports counts too
		}
		for _, spec := range parsed.Imports {
			target, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			if !slices.Contains(all[name], target) {
				all[name] = append(all[name], target)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// enter tells WalkDir which folders to leave out.
func enter(root, dir, name string) error {
	if dir == root {
		return nil
	}
	if name == "testdata" || strings.HasPrefix(name, ".") || strings.HasPrefix(name, "_") {
		return filepath.SkipDir
	}
	if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
		return filepath.SkipDir
	}
	return nil
}
