// Package packed looks at what .ci/dist made, as one who downloads it: sums,
// archives, licences, lists of parts, and the programs themselves where this
// machine can run them. RINGTRUE_DIST names the folder.
package packed

import (
	"archive/tar"
	"archive/zip"
	"bufio"
	"compress/gzip"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// archive is one of them, unpacked.
type archive struct {
	name         string // without .tar.gz or .zip
	version      string
	system, arch string
	dir          string   // where its one folder lies
	files        []string // below dir
}

// program is the path of the binary.
func (a archive) program() string {
	if a.system == "windows" {
		return filepath.Join(a.dir, "ringtrue.exe")
	}
	return filepath.Join(a.dir, "ringtrue")
}

var archiveName = regexp.MustCompile(`^ringtrue-(.+)-(linux|darwin|windows)-(amd64|arm64)\.(tar\.gz|zip)$`)

// made is the folder that .ci/dist filled.
func made(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("RINGTRUE_DIST")
	if dir == "" {
		t.Fatal("RINGTRUE_DIST names no folder; .ci/dist runs these tests")
	}
	return dir
}

// each unpacks every archive and hands it to a test of its own.
func each(t *testing.T, test func(*testing.T, archive)) {
	t.Helper()
	dir := made(t)
	all, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, f := range all {
		m := archiveName.FindStringSubmatch(f.Name())
		if m == nil {
			continue
		}
		found++
		a := archive{name: strings.TrimSuffix(f.Name(), "."+m[4]), version: m[1], system: m[2], arch: m[3]}
		t.Run(a.system+"-"+a.arch, func(t *testing.T) {
			to := t.TempDir()
			unpack := untar
			if m[4] == "zip" {
				unpack = unzip
			}
			if a.files, err = unpack(filepath.Join(dir, f.Name()), to, a.name); err != nil {
				t.Fatal(err)
			}
			a.dir = filepath.Join(to, a.name)
			test(t, a)
		})
	}
	if found == 0 {
		t.Fatalf("no archive in %s", dir)
	}
}

func TestSums(t *testing.T) {
	dir := made(t)
	f, err := os.Open(filepath.Join(dir, "SHA256SUMS"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	named := map[string]bool{"SHA256SUMS": true}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		sum, name, ok := strings.Cut(lines.Text(), "  ")
		bytes, err := os.ReadFile(filepath.Join(dir, name))
		if got := fmt.Sprintf("%x", sha256.Sum256(bytes)); !ok || err != nil || got != sum {
			t.Errorf("%q: the file has %s, %v", lines.Text(), got, err)
		}
		named[name] = true
	}
	all, err := os.ReadDir(dir)
	if err != nil || len(all) < 3 {
		t.Fatalf("%d files, %v; want an archive, its parts and the sums at least", len(all), err)
	}
	for _, f := range all {
		if !named[f.Name()] {
			t.Errorf("%s has no sum", f.Name())
		}
	}
}

// An archive holds what a maker needs and nothing that only this machine knows.
func TestFiles(t *testing.T) {
	each(t, func(t *testing.T, a archive) {
		for _, want := range []string{"LICENSE", "README.md", "CHANGELOG.md", "LICENCES-OF-PARTS.txt", "docs/first-neck.md", "examples/heron.toml",
			"man/ringtrue.1", "man/ringtrue-frets.1", "completions/ringtrue.bash", "completions/_ringtrue", "completions/ringtrue.fish", "completions/ringtrue.ps1"} {
			if info, err := os.Stat(filepath.Join(a.dir, want)); err != nil || info.Size() == 0 {
				t.Errorf("%s: %v, or empty", want, err)
			}
		}
		info, err := os.Stat(a.program())
		if err != nil {
			t.Fatal(err)
		}
		if a.system != "windows" && info.Mode().Perm() != 0o755 {
			t.Errorf("the program's mode is %v", info.Mode())
		}
		if mb := float64(info.Size()) / 1e6; mb >= 42 {
			t.Errorf("the program takes %.1f MB; at most 42 may be carried home", mb)
		}
		for _, f := range a.files {
			if strings.HasSuffix(f, ".go") {
				t.Errorf("%s is of use to nobody without the rest of the source", f)
			}
		}
	})
}

var link = regexp.MustCompile(`\]\(([^)\s]+)\)|(?:src|href)="([^"]+)"`)

// Every page's links lead to a file of the archive.
func TestLinks(t *testing.T) {
	each(t, func(t *testing.T, a archive) {
		links := 0
		for _, f := range a.files {
			if filepath.Ext(f) != ".md" {
				continue
			}
			text, err := os.ReadFile(filepath.Join(a.dir, f))
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range link.FindAllStringSubmatch(string(text), -1) {
				to, _, _ := strings.Cut(m[1]+m[2], "#")
				if to == "" || strings.Contains(to, "://") {
					continue
				}
				links++
				path := filepath.Join(a.dir, filepath.Dir(f), filepath.FromSlash(to))
				if _, err := os.Stat(path); err != nil || !strings.HasPrefix(path, a.dir) {
					t.Errorf("%s links to %s, which is not packed", f, to)
				}
			}
		}
		if links < 10 {
			t.Errorf("only %d links found; this test has lost its eyes", links)
		}
	})
}

// untar unpacks into a folder and lists the files below the archive's own
// folder, beyond which nothing may lie.
func untar(path, to, top string) (files []string, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		return nil, err
	}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return files, nil
		}
		if err != nil {
			return nil, err
		}
		switch h.Typeflag {
		case tar.TypeDir:
			continue
		case tar.TypeReg:
		default:
			return nil, fmt.Errorf("%s: neither a file nor a folder", h.Name)
		}
		if h.Uid != 0 || h.Gid != 0 || h.Uname != "" && h.Uname != "root" {
			return nil, fmt.Errorf("%s: carries its owner %d %s", h.Name, h.Uid, h.Uname)
		}
		if files, err = keep(files, to, top, h.Name, h.FileInfo().Mode(), r); err != nil {
			return nil, err
		}
	}
}

func unzip(path, to, top string) (files []string, err error) {
	z, err := zip.OpenReader(path)
	if err != nil {
		return nil, err
	}
	defer z.Close()
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			return nil, err
		}
		if files, err = keep(files, to, top, f.Name, 0o644, r); err != nil {
			return nil, err
		}
		if err := r.Close(); err != nil {
			return nil, err
		}
	}
	return files, nil
}

func keep(files []string, to, top, name string, mode os.FileMode, r io.Reader) ([]string, error) {
	below, inside := strings.CutPrefix(name, top+"/")
	if !inside || !filepath.IsLocal(name) {
		return nil, fmt.Errorf("%s lies outside %s", name, top)
	}
	path := filepath.Join(to, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, mode)
	if err != nil {
		return nil, err
	}
	_, err = io.Copy(f, r)
	return append(files, below), errors.Join(err, f.Close())
}
