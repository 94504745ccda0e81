package packed

import (
	"bytes"
	"debug/buildinfo"
	"debug/elf"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// links lists the modules that a program names, as "path version", sorted, and
// how it was built.
func links(t *testing.T, a archive) (modules []string, settings map[string]string) {
	t.Helper()
	info, err := buildinfo.ReadFile(a.program())
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range info.Deps {
		modules = append(modules, d.Path+" "+d.Version)
	}
	slices.Sort(modules)
	settings = map[string]string{}
	for _, s := range info.Settings {
		settings[s.Key] = s.Value
	}
	if len(modules) < 20 {
		t.Fatalf("the program names %d parts only: %v", len(modules), modules)
	}
	return modules, settings
}

// A program is for the system its archive names, static, and knows no path of
// the machine that built it.
func TestProgram(t *testing.T) {
	each(t, func(t *testing.T, a archive) {
		_, s := links(t, a)
		if s["GOOS"] != a.system || s["GOARCH"] != a.arch || s["CGO_ENABLED"] != "0" || s["-trimpath"] != "true" {
			t.Errorf("built as %v", s)
		}
		program, err := os.ReadFile(a.program())
		if err != nil {
			t.Fatal(err)
		}
		home, err := os.UserHomeDir()
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range []string{filepath.Join(home, "go") + "/", filepath.Clean(runtime.GOROOT()) + "/src/", "/tmp/tmp."} {
			if bytes.Contains(program, []byte(path)) {
				t.Errorf("holds a path of this machine, %s", path)
			}
		}
		if a.system != "linux" {
			return
		}
		f, err := elf.NewFile(bytes.NewReader(program))
		if err != nil {
			t.Fatal(err)
		}
		if libraries, err := f.ImportedLibraries(); err != nil || len(libraries) > 0 || f.Section(".interp") != nil {
			t.Errorf("not static: needs %v, %v", libraries, err)
		}
	})
}

// The licences are those of what this very program links: none is missing,
// none is of a part that only another system's has.
func TestLicences(t *testing.T) {
	each(t, func(t *testing.T, a archive) {
		modules, _ := links(t, a)
		text, err := os.ReadFile(filepath.Join(a.dir, "LICENCES-OF-PARTS.txt"))
		if err != nil {
			t.Fatal(err)
		}
		var named []string
		for _, part := range strings.Split(string(text), "\n==== ")[1:] {
			head, body, _ := strings.Cut(part, "\n")
			lower := strings.ToLower(body)
			if len(body) < 100 || !strings.Contains(lower, "copyright") && !strings.Contains(lower, "licen") {
				t.Errorf("%s: no licence in %q", head, body)
			}
			named = append(named, head)
		}
		if len(named) == 0 || named[0] != "go "+runtime.Version() {
			t.Fatalf("begins with %v, not with Go's own", named)
		}
		named = named[1:]
		slices.Sort(named)
		if !slices.Equal(named, modules) {
			t.Errorf("licences of\n%s\nlinked\n%s", strings.Join(named, "\n"), strings.Join(modules, "\n"))
		}
	})
}

// The list of parts is CycloneDX JSON and names each linked module once, with
// its version.
func TestSBOM(t *testing.T) {
	each(t, func(t *testing.T, a archive) {
		modules, _ := links(t, a)
		text, err := os.ReadFile(filepath.Join(made(t), a.name+".sbom.json"))
		if err != nil {
			t.Fatal(err)
		}
		var sbom struct {
			BOMFormat string `json:"bomFormat"`
			Metadata  struct {
				Timestamp string
				Component struct{ Name, Version string }
			}
			SerialNumber string `json:"serialNumber"`
			Components   []struct{ Name, Version, PURL string }
		}
		if err := json.Unmarshal(text, &sbom); err != nil {
			t.Fatal(err)
		}
		m := sbom.Metadata
		if sbom.BOMFormat != "CycloneDX" || m.Component.Name != "ringtrue" || strings.TrimPrefix(m.Component.Version, "v") != a.version || m.Timestamp+sbom.SerialNumber != "" {
			t.Errorf("head %+v", sbom.Metadata)
		}
		var named []string
		std := 0
		for _, c := range sbom.Components {
			if c.Name == "std" && c.Version == runtime.Version() {
				std++
				continue
			}
			if !strings.HasPrefix(c.PURL, "pkg:golang/") {
				t.Errorf("%s is called %q", c.Name, c.PURL)
			}
			named = append(named, c.Name+" "+c.Version)
		}
		slices.Sort(named)
		if std != 1 || !slices.Equal(named, modules) {
			t.Errorf("Go's own library %d times; lists\n%s\nlinked\n%s", std, strings.Join(named, "\n"), strings.Join(modules, "\n"))
		}
	})
}
