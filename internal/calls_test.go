package internal

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"ringtrue/internal/cli"
)

// Every call that a page shows, in a block or in a line, is a command with
// options that it has.
func TestPages_CallsExist(t *testing.T) {
	looked := 0
	for _, page := range pages(t) {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, call := range callsIn(string(text)) {
			looked++
			if err := callable(call); err != nil {
				t.Errorf("%s: %s: %v", filepath.Base(page), call, err)
			}
		}
	}
	if looked < 200 {
		t.Errorf("found only %d calls: the search is broken", looked)
	}
}

// pages are all that this project's readers are given.
func pages(t *testing.T) []string {
	t.Helper()
	docs, err := filepath.Glob("../docs/*.md")
	if err != nil || len(docs) < 10 {
		t.Fatal(len(docs), err)
	}
	return append(docs, "../README.md", "../CHANGELOG.md", "../ARCHITECTURE.md", "../CONTRIBUTING.md")
}

// The search must be able to fail.
func TestPages_FalseCallsAreSeen(t *testing.T) {
	calls := callsIn("Say `ringtrue frets NECK --draw card.pdf` or\n```sh\n$ ringtrue fret x\nringtrue play a.toml --whistle\n```\nringtrue fret is prose\n")
	if len(calls) != 3 || callable(calls[0]) != nil || callable(calls[1]) == nil || callable(calls[2]) == nil {
		t.Errorf("%q", calls)
	}
}

// callsIn are the arguments of the calls of a page: lines of its blocks, and
// what its lines quote.
func callsIn(page string) (calls []string) {
	inLine := regexp.MustCompile("`ringtrue ([^`\n]+)`")
	inBlock := regexp.MustCompile(`(?m)^(?:\$ )?(?:ringtrue|go run \./cmd/ringtrue) (.+)$`)
	for i, part := range strings.Split(page, "```") {
		search := inLine
		if i%2 == 1 {
			search = inBlock
		}
		for _, m := range search.FindAllStringSubmatch(part, -1) {
			call, _, _ := strings.Cut(m[1], " #")
			calls = append(calls, call)
		}
	}
	return calls
}

// callable says what a call lacks.
func callable(call string) error {
	args := words(call)
	root := cli.Commands()
	c, _, err := root.Find(args)
	if err != nil {
		return err
	}
	if !c.Runnable() && c != root && len(c.Commands()) == 0 || c == root {
		return fmt.Errorf("no such command")
	}
	for _, a := range args {
		name, isOption := strings.CutPrefix(a, "--")
		if name, _, _ = strings.Cut(name, "="); !isOption || name == "" || name == "help" {
			continue
		}
		if c.Flag(strings.TrimRight(name, ",.;)")) == nil {
			return fmt.Errorf("%s has no option --%s", c.CommandPath(), name)
		}
	}
	return nil
}

// The README leads to every command: it is in the table of questions, or its
// children are in the reference.
func TestREADME_EveryCommand(t *testing.T) {
	page, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	reference, err := os.ReadFile("../docs/reference.md")
	if err != nil {
		t.Fatal(err)
	}
	named := 0
	var each func(c *cobra.Command)
	each = func(c *cobra.Command) {
		if c.HasParent() && c.Name() != "help" && !c.Hidden {
			named++
			if top := c.Parent() == c.Root(); top && c.Name() != "version" && c.Name() != "completion" && !strings.Contains(string(page), "`"+c.CommandPath()) {
				t.Errorf("README.md does not lead to %s", c.CommandPath())
			}
			if !strings.Contains(string(reference), "| [`"+c.CommandPath()) {
				t.Errorf("docs/reference.md has no call of %s", c.CommandPath())
			}
		}
		if c.Name() != "completion" {
			for _, child := range c.Commands() {
				each(child)
			}
		}
	}
	each(cli.Commands())
	if named < 20 {
		t.Errorf("found only %d commands: the search is broken", named)
	}
}
