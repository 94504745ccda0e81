package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write docs/reference.md anew")

func TestReference_UpToDate(t *testing.T) {
	path := filepath.Join("..", "reference.md")
	made := reference()
	if *update {
		if err := os.WriteFile(path, made, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(kept, made) {
		t.Error("docs/reference.md is out of date: go run ./docs/gen")
	}
}

func TestWriteMan_APageACommand(t *testing.T) {
	dir := t.TempDir()
	if err := run(dir, ""); err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(filepath.Join(dir, "ringtrue-frets.1"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{".TH", "\\fB--after\\fP", "ringtrue frets"} {
		if !strings.Contains(string(page), want) {
			t.Errorf("ringtrue-frets.1 lacks %q", want)
		}
	}
}

func TestWriteCompletions_EveryShell(t *testing.T) {
	dir := t.TempDir()
	if err := run("", dir); err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{"ringtrue.bash", "_ringtrue", "ringtrue.fish", "ringtrue.ps1"} {
		data, err := os.ReadFile(filepath.Join(dir, f))
		if err != nil || !strings.Contains(string(data), "ringtrue") {
			t.Errorf("%s: %d bytes, %v", f, len(data), err)
		}
	}
}
