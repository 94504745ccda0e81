package main

import (
	"bufio"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestDependencies_AllNamed: every module that go.mod asks for by name stands
// in docs/dependencies.md.
func TestDependencies_AllNamed(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "dependencies.md"))
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(filepath.Join("..", "..", "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	named := 0
	for lines := bufio.NewScanner(f); lines.Scan(); {
		path, rest, _ := strings.Cut(strings.TrimSpace(strings.TrimPrefix(lines.Text(), "require ")), " ")
		if !strings.HasPrefix(rest, "v") || strings.Contains(rest, "// indirect") {
			continue
		}
		named++
		if !strings.Contains(string(page), "`"+path+"`") {
			t.Errorf("%s is not in docs/dependencies.md", path)
		}
	}
	if named == 0 {
		t.Fatal("go.mod names no module")
	}
}
