// Command licences prints the licence of every part that a built program links.
//
//	GOOS=… GOARCH=… go run .ci/licences/main.go PROGRAM ./cmd/ringtrue
//
// The parts are those that the program itself names; their packages are listed
// for the system that the environment names. Where the two differ, or a part
// says nothing of its licence, it fails.
package main

import (
	"bytes"
	"debug/buildinfo"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
)

// part is a module that is linked, with the folders of its linked packages.
type part struct {
	name, version, root string
	folders             []string
}

func main() {
	var out bytes.Buffer
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: licences PROGRAM PACKAGE")
		os.Exit(2)
	}
	if err := run(&out, os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, "licences:", err)
		os.Exit(1)
	}
	os.Stdout.Write(out.Bytes())
}

func run(out io.Writer, program, pkg string) error {
	parts, err := linked(pkg)
	if err != nil {
		return err
	}
	if err := asBuilt(parts, program); err != nil {
		return err
	}
	fmt.Fprintln(out, "ringtrue is under Apache-2.0, see LICENSE. It is built with these parts, and Go's own library.")
	goLicence, err := os.ReadFile(filepath.Join(runtime.GOROOT(), "LICENSE"))
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\n==== go %s\n%s", runtime.Version(), goLicence)
	for _, name := range slices.Sorted(maps.Keys(parts)) {
		p := parts[name]
		fmt.Fprintf(out, "\n==== %s %s\n", p.name, p.version)
		if err := p.print(out); err != nil {
			return err
		}
	}
	return nil
}

// linked lists the modules of every package that is linked, by name.
func linked(pkg string) (map[string]*part, error) {
	list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{.Path}}\t{{.Version}}\t{{.Dir}}\t{{$.Dir}}{{end}}", pkg)
	list.Stderr = os.Stderr
	text, err := list.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	parts := map[string]*part{}
	for line := range strings.Lines(string(text)) {
		f := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if len(f) != 4 || f[1] == "" { // Go's own, or ringtrue's
			continue
		}
		if parts[f[0]] == nil {
			parts[f[0]] = &part{name: f[0], version: f[1], root: f[2]}
		}
		parts[f[0]].folders = append(parts[f[0]].folders, f[3])
	}
	if len(parts) == 0 {
		return nil, fmt.Errorf("%s links no part", pkg)
	}
	return parts, nil
}

// asBuilt compares the parts with those that the program names.
func asBuilt(parts map[string]*part, program string) error {
	info, err := buildinfo.ReadFile(program)
	if err != nil {
		return err
	}
	for _, m := range info.Deps {
		if p := parts[m.Path]; p == nil || p.version != m.Version || m.Replace != nil {
			return fmt.Errorf("%s holds %s %s, which the list of its packages does not", program, m.Path, m.Version)
		}
	}
	if len(info.Deps) != len(parts) {
		return fmt.Errorf("%s holds %d parts; its packages are of %d", program, len(info.Deps), len(parts))
	}
	return nil
}

// print writes the licence files of the module and those that lie beside its
// linked packages; where there are none, what the head of its source says.
func (p *part) print(out io.Writer) error {
	folders := map[string]bool{}
	for _, dir := range p.folders {
		for ; len(dir) >= len(p.root); dir = filepath.Dir(dir) {
			folders[dir] = true
		}
	}
	found := false
	for _, dir := range slices.Sorted(maps.Keys(folders)) {
		files, err := licenceFiles(dir)
		if err != nil {
			return err
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				return err
			}
			name, err := filepath.Rel(p.root, file)
			if err != nil {
				return err
			}
			fmt.Fprintf(out, "-- %s\n%s\n", filepath.ToSlash(name), bytes.TrimRight(text, "\n"))
			found = true
		}
	}
	if found {
		return nil
	}
	return p.printHeads(out)
}

var licenceName = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents)`)

func licenceFiles(dir string) ([]string, error) {
	all, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var files []string
	for _, f := range all {
		switch {
		case !licenceName.MatchString(f.Name()) || strings.HasSuffix(f.Name(), ".go"):
		case f.IsDir():
			below, err := filepath.Glob(filepath.Join(dir, f.Name(), "*"))
			if err != nil {
				return nil, err
			}
			files = append(files, below...)
		default:
			files = append(files, filepath.Join(dir, f.Name()))
		}
	}
	return files, nil
}

// printHeads writes each different comment that opens a file and names a
// copyright or a licence.
func (p *part) printHeads(out io.Writer) error {
	heads := map[string]bool{}
	for _, dir := range p.folders {
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil {
			return err
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				return err
			}
			head, _, _ := strings.Cut(string(text), "\n\n")
			if strings.HasPrefix(head, "//") && regexp.MustCompile(`(?i)copyright|licen[cs]e`).MatchString(head) {
				heads[head] = true
			}
		}
	}
	if len(heads) == 0 {
		return fmt.Errorf("%s %s says nothing of its licence", p.name, p.version)
	}
	fmt.Fprintln(out, "(no licence file; from the head of its source:)")
	for _, head := range slices.Sorted(maps.Keys(heads)) {
		fmt.Fprintln(out, head)
	}
	return nil
}
