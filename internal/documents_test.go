package internal

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Every file, folder, function and type that the two pages for programmers name
// is there; where a paragraph names packages in bold, it is in one of them.
func TestDocuments_NameWhatIsThere(t *testing.T) {
	paths, names := pathsOf(t), namesOf(t)
	for _, page := range []string{"ARCHITECTURE.md", "CONTRIBUTING.md"} {
		text, err := os.ReadFile(filepath.Join("..", page))
		if err != nil {
			t.Fatal(err)
		}
		looked, faults := missing(string(text), paths, names)
		if looked < 15 {
			t.Errorf("%s: found only %d names: the search is broken", page, looked)
		}
		for _, f := range faults {
			t.Errorf("%s names %s", page, f)
		}
	}
}

// The search must be able to fail.
func TestDocuments_FaultsAreSeen(t *testing.T) {
	paths := []string{"internal/cli", "internal/cli/frets.go", "internal/play", "internal/play/lane.go", "internal/num/testdata/published"}
	names := map[string][]string{"retake": {"internal/play"}, "Lane": {"internal/play"}, "Lane.Rest": {"internal/play"}, "Run": {"internal/cli"}}
	for text, want := range map[string]string{
		"1. **cli** (`frets.go`) and `testdata/published/`, `internal/cli/NAME.go`": "",
		"1. **play** (`Lane.Rest`), then `setup.graze`, `u_mm`, `apt-get`":          "",
		"- **A thing**: `cli/frets.go`, `Run`":                                      "",
		"1. **play** (`frets.go`)":                                                  "frets.go, which is not in play",
		"1. **play** (`Run`)":                                                       "Run, which is not in play",
		"1. **play** ends.\n2. `lane.go`, `loan.go`":                                "loan.go, which is nowhere",
		"`retake`, `init`, `case`, `play`":                                          "",
		"`retook`, `reachMM`":                                                       "retook, which is nowhere; reachMM, which is nowhere",
		"`Lane.Stop`":                                                               "Lane.Stop, which is nowhere",
		"go test ./internal/plai -run X":                                            "internal/plai, which is nowhere",
		"go test ./internal/play/... -run":                                          "",
	} {
		_, faults := missing(text, paths, names)
		if got := strings.Join(faults, "; "); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

// missing lists what a page names and is not there, and counts what was looked up.
func missing(page string, paths []string, names map[string][]string) (looked int, faults []string) {
	file := regexp.MustCompile(`^[\w./-]+(/|\.(go|md|csv|toml|txtar|sh))$|^[\w.-]+(/[\w.-]+)+$`)
	name := regexp.MustCompile(`^[A-Z]\w*[a-z]\w*(\.[A-Z]\w*)?$`)
	inner := regexp.MustCompile(`^[a-z]+([A-Z]\w*)?$`) // of a package's own
	for _, part := range regexp.MustCompile(`\n\s*\n|\n(?:\d+\.|-|\|) `).Split(page, -1) {
		var rooms []string
		for _, m := range regexp.MustCompile(`\*\*([a-z/]+)\*\*`).FindAllStringSubmatch(part, -1) {
			if slices.Contains(paths, "internal/"+m[1]) {
				rooms = append(rooms, m[1])
			}
		}
		asked := regexp.MustCompile("`([^`\n]+)`").FindAllStringSubmatch(part, -1)
		for _, m := range regexp.MustCompile(`\./(internal(?:/\w+)+)`).FindAllStringSubmatch(part, -1) {
			asked = append(asked, []string{"", m[1]})
		}
		for _, m := range asked {
			what := m[1]
			var places []string // the folders that have it
			switch {
			case strings.Contains(what, "NAME") || strings.HasPrefix(what, "Test"):
				continue
			case file.MatchString(what):
				places = foldersOf(strings.TrimSuffix(what, "/"), paths)
			case name.MatchString(what), inner.MatchString(what) && !token.IsKeyword(what) && what != "init" && !slices.Contains(paths, "internal/"+what):
				places = names[what]
			default:
				continue
			}
			looked++
			if len(places) == 0 {
				faults = append(faults, what+", which is nowhere")
			} else if len(rooms) > 0 && !strings.Contains(what, "/") && !strings.HasSuffix(what, ".csv") &&
				!slices.ContainsFunc(rooms, func(r string) bool { return slices.Contains(places, "internal/"+r) }) {
				faults = append(faults, what+", which is not in "+strings.Join(rooms, ", "))
			}
		}
	}
	return looked, faults
}

// foldersOf are the folders in which a path, or the end of one, stands.
func foldersOf(what string, paths []string) (folders []string) {
	for _, p := range paths {
		if p == what || strings.HasSuffix(p, "/"+what) {
			folders = append(folders, path.Dir(p))
		}
	}
	return folders
}

// pathsOf lists every file and folder of the project.
func pathsOf(t *testing.T) (paths []string) {
	root := os.DirFS("..")
	err := fs.WalkDir(root, ".", func(p string, d fs.DirEntry, err error) error {
		if err == nil && d.Name() == ".git" {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		paths = append(paths, p)
		return err
	})
	if err != nil || len(paths) < 100 {
		t.Fatal(len(paths), err)
	}
	return paths
}

// namesOf maps the functions, types and methods (as Type.Method) of the packages
// to their folders, and names of a package's own: methods without their type,
// parameters and fields, and what the tests declare.
func namesOf(t *testing.T) map[string][]string {
	names := map[string][]string{}
	for _, floor := range floors() {
		folder := "internal/" + floor
		files, err := filepath.Glob(filepath.Join("..", folder, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatal(folder, err)
		}
		for _, file := range files {
			code, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			add := func(n string) {
				if !ast.IsExported(n) || !strings.HasSuffix(file, "_test.go") {
					names[n] = append(names[n], folder)
				}
			}
			for _, d := range code.Decls {
				for _, n := range declared(d) {
					add(n)
				}
			}
			ast.Inspect(code, func(n ast.Node) bool {
				if f, ok := n.(*ast.Field); ok {
					for _, id := range f.Names {
						if !id.IsExported() {
							add(id.Name)
						}
					}
				}
				return true
			})
		}
	}
	return names
}

// declared are the names that a declaration of a function or of types brings.
func declared(d ast.Decl) (names []string) {
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Recv == nil {
			return []string{d.Name.Name}
		}
		of := d.Recv.List[0].Type
		if star, ok := of.(*ast.StarExpr); ok {
			of = star.X
		}
		if id, ok := of.(*ast.Ident); ok {
			names = []string{id.Name + "." + d.Name.Name}
			if !d.Name.IsExported() {
				names = append(names, d.Name.Name)
			}
			return names
		}
	case *ast.GenDecl:
		for _, s := range d.Specs {
			if s, ok := s.(*ast.TypeSpec); ok {
				names = append(names, s.Name.Name)
			}
		}
	}
	return names
}

// The picture of the packages shows each of them.
func TestDocuments_EveryPackageInArchitecture(t *testing.T) {
	text, err := os.ReadFile("../ARCHITECTURE.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(text), "## Arrows")
	section, _, found := strings.Cut(rest, "\n## ")
	if !found {
		t.Fatal("ARCHITECTURE.md has no section on the arrows")
	}
	named := regexp.MustCompile(`[a-z]+(?:/[a-z]+)*`).FindAllString(section, -1)
	for _, floor := range floors() {
		if !slices.Contains(named, floor) {
			t.Errorf("ARCHITECTURE.md: the picture lacks %s", floor)
		}
	}
}
