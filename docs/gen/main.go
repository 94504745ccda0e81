package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"ringtrue/internal/cli"
)

func main() {
	man := flag.String("man", "", "write man pages into `DIR`")
	completions := flag.String("completions", "", "write shell completions into `DIR`")
	flag.Parse()
	err := run(*man, *completions)
	if err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(1)
	}
}

func run(man, completions string) error {
	switch {
	case man != "":
		return writeMan(man)
	case completions != "":
		return writeCompletions(completions)
	}
	return os.WriteFile(filepath.Join("docs", "reference.md"), reference(), 0o644)
}

// writeMan writes a page a command. No date stands in it: the same commands
// give the same pages.
func writeMan(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	return doc.GenManTree(cli.Commands(), &doc.GenManHeader{Section: "1", Source: "ringtrue", Manual: "The fretwork bench"}, dir)
}

// writeCompletions writes one file a shell.
func writeCompletions(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	root := cli.Commands()
	shells := []struct {
		file  string
		write func(*cobra.Command, *bytes.Buffer) error
	}{
		{"ringtrue.bash", func(c *cobra.Command, b *bytes.Buffer) error { return c.GenBashCompletionV2(b, true) }},
		{"_ringtrue", func(c *cobra.Command, b *bytes.Buffer) error { return c.GenZshCompletion(b) }},
		{"ringtrue.fish", func(c *cobra.Command, b *bytes.Buffer) error { return c.GenFishCompletion(b, true) }},
		{"ringtrue.ps1", func(c *cobra.Command, b *bytes.Buffer) error { return c.GenPowerShellCompletionWithDesc(b) }},
	}
	for _, s := range shells {
		var b bytes.Buffer
		if err := s.write(root, &b); err != nil {
			return fmt.Errorf("%s: %w", s.file, err)
		}
		if err := os.WriteFile(filepath.Join(dir, s.file), b.Bytes(), 0o644); err != nil {
			return err
		}
	}
	return nil
}
