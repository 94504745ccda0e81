package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ringtrue/internal/cli"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
)

// reference is docs/reference.md.
func reference() []byte {
	var b bytes.Buffer
	b.WriteString(`# Reference

` + "`go run ./docs/gen`" + ` makes this page from the program's own definitions. A test fails if it is out of date.

- [Which call](#which-call)
- [Options that many calls take](#options-that-many-calls-take)
- [Exit status](#exit-status)
- [Commands](#commands)
- [The neck file](#the-neck-file)
- [The shop file](#the-shop-file)
- [The readings file](#the-readings-file)
- [Words](#words)

`)
	calls(&b, cli.Commands())
	shared(&b, cli.Commands())
	b.WriteString("\n## Commands\n")
	commands(&b, cli.Commands())
	neckFile(&b)
	readingsFile(&b)
	words(&b)
	return b.Bytes()
}

// commands writes a section per command, parents before children.
func commands(b *bytes.Buffer, c *cobra.Command) {
	if c.Name() == "help" || c.Hidden {
		return
	}
	if c.Runnable() && c.HasParent() {
		fmt.Fprintf(b, "\n### %s\n\n%s.\n\n", c.CommandPath(), strings.TrimSuffix(c.Short, "."))
		fmt.Fprintf(b, "    %s\n", c.UseLine())
		if long := strings.TrimSpace(c.Long); long != "" {
			fmt.Fprintf(b, "\n%s\n", long)
		}
		flags(b, c.NonInheritedFlags())
		b.WriteString(notes()[c.CommandPath()])
		if c.Example != "" {
			fmt.Fprintf(b, "\n```sh\n%s\n```\n", unindent(c.Example))
		}
	}
	if c.Name() == "completion" {
		fmt.Fprintf(b, "\n### %s\n\n%s.\n\n    %s\n", c.CommandPath(), completionDoes, completionCall)
		return
	}
	for _, child := range c.Commands() {
		commands(b, child)
	}
}

func unindent(s string) string {
	lines := strings.Split(strings.Trim(s, "\n"), "\n")
	for i := range lines {
		lines[i] = strings.TrimSpace(lines[i])
	}
	return strings.Join(lines, "\n")
}

// flags writes a table of the options of one command.
func flags(b *bytes.Buffer, set *pflag.FlagSet) {
	first := true
	set.VisitAll(func(f *pflag.Flag) {
		if f.Hidden || f.Name == "help" {
			return
		}
		if first {
			b.WriteString("\n| option | meaning |\n|---|---|\n")
			first = false
		}
		value, usage := pflag.UnquoteUsage(f)
		option := "--" + f.Name
		if value != "" {
			option += " " + value
		}
		if f.DefValue != "" && f.DefValue != "false" && f.DefValue != "0" && f.DefValue != "[]" && !strings.Contains(usage, "default") {
			usage += " (default " + f.DefValue + ")"
		}
		fmt.Fprintf(b, "| `%s` | %s |\n", option, cell(usage))
	})
}

// cell makes a text fit for a cell of a table.
func cell(s string) string {
	return strings.ReplaceAll(strings.Join(strings.Fields(s), " "), "|", "\\|")
}

// neckFile writes the keys of the neck file and the shop file.
func neckFile(b *bytes.Buffer) {
	b.WriteString(`
## The neck file

TOML. Sizes carry their unit and may be written in any unit of their kind (` + "`\"0.58 mm\"`, `\"0.023 in\"`" + `). Unknown keys are errors.
` + "`ringtrue neck new FILE --like electric`" + ` writes one to start from.
`)
	keys(b, neck.Keys())
	b.WriteString(`
## The shop file

TOML, given with ` + "`--shop FILE`" + ` or ` + "`RINGTRUE_SHOP`" + `, else ` + "`shop.toml`" + ` beside the book. It says what is the same for every neck of a shop. A neck file overrides it.
`)
	keys(b, neck.ShopKeys())
}

// keys writes a table of keys for each table of a file.
func keys(b *bytes.Buffer, all []neck.Key) {
	table := "?"
	for _, k := range all {
		if k.Table != table {
			table = k.Table
			title := "Above all tables"
			if table != "" {
				title = "[" + table + "]"
			}
			fmt.Fprintf(b, "\n### %s\n\n| key | value | default | meaning |\n|---|---|---|---|\n", title)
		}
		key(b, k, k.Name)
	}
}

// key writes a row for a key and one for each of its parts.
func key(b *bytes.Buffer, k neck.Key, name string) {
	value := k.Value
	if k.Range != "" {
		value += ", " + k.Range
	}
	left := "`" + cell(k.Default) + "`"
	switch {
	case k.Required:
		left = "**required**"
	case !strings.ContainsAny(k.Default, `"0123456789{[`) && k.Default != "true" && k.Default != "false":
		left = cell(k.Default)
	}
	fmt.Fprintf(b, "| `%s` | %s | %s | %s |\n", name, cell(value), left, cell(k.Meaning))
	for _, p := range k.Parts {
		key(b, p, name+"."+p.Name)
	}
}

// readingsFile writes a table of the columns, and one of the methods.
func readingsFile(b *bytes.Buffer) {
	b.WriteString(`
## The readings file

CSV with a header row and one reading per row. Commas, semicolons or tabs separate the cells, and ` + "`#`" + ` starts a comment.

| column | needed by | meaning |
|---|---|---|
`)
	for _, c := range reading.Columns() {
		fmt.Fprintf(b, "| `%s` | %s | %s |\n", c.Name, cell(c.Needed), cell(c.Meaning))
	}
	b.WriteString("\n" + text.GridFile() + "\n")
	b.WriteString("\n| method | how it reads |\n|---|---|\n")
	for _, m := range reading.Methods() {
		fmt.Fprintf(b, "| `%s` | %s |\n", m, cell(text.OfMethod(m).How))
	}
}

// words writes the glossary.
func words(b *bytes.Buffer) {
	b.WriteString("\n## Words\n\n| word | also called | meaning | in files |\n|---|---|---|---|\n")
	for _, w := range text.Glossary() {
		var keys []string
		for _, k := range w.Keys {
			keys = append(keys, "`"+k+"`")
		}
		fmt.Fprintf(b, "| **%s** | %s | %s | %s |\n", w.Name, strings.Join(w.Also, ", "), cell(w.Meaning), strings.Join(keys, ", "))
	}
}
