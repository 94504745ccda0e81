package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
)

// calls writes the table of all calls.
func calls(b *bytes.Buffer, root *cobra.Command) {
	b.WriteString("## Which call\n\n| call | what it does |\n|---|---|\n")
	var each func(c *cobra.Command)
	each = func(c *cobra.Command) {
		if c.Name() == "help" || c.Hidden {
			return
		}
		if c.HasParent() {
			call, does := strings.TrimSuffix(c.UseLine(), " [flags]"), c.Short
			if c.Name() == "completion" {
				call, does = completionCall, completionDoes
			}
			fmt.Fprintf(b, "| [`%s`](#%s) | %s |\n", cell(call), strings.ReplaceAll(c.CommandPath(), " ", "-"), cell(strings.TrimSuffix(does, ".")))
		}
		if c.Name() == "completion" {
			return
		}
		for _, child := range c.Commands() {
			each(child)
		}
	}
	each(root)
}

// What the command says that its library wrote.
const (
	completionCall = "ringtrue completion bash|zsh|fish|powershell"
	completionDoes = "Print the shell's completions"
)

// shared writes what holds for many calls: options, and how they end.
func shared(b *bytes.Buffer, root *cobra.Command) {
	b.WriteString("\n## Options that many calls take\n\nEvery call takes these:\n")
	flags(b, root.PersistentFlags())
	b.WriteString(`| ` + "`--help`" + ` | print the call's options and an example |

Many take these. Its own table says which.

| option | meaning |
|---|---|
| ` + "`--all`" + ` | print the tables, figures and reasons behind the short answer |
| ` + "`--json`" + ` | print the whole answer, unrounded, each field named with its unit (` + "`zone_mm`" + `). Nothing else goes to standard output |
| ` + "`--check`" + ` | for scripts: exit 1 unless the answer is what you want |
| ` + "`--draw FILE`" + ` | draw the answer into FILE: .svg, .pdf or .png, as the ending says |
| ` + "`--book FILE`" + ` | the book: a file, or ` + "`postgres://NAME@HOST/DATABASE`" + `. ` + "`RINGTRUE_BOOK`" + ` names it for every call |
| ` + "`--serial SERIAL`" + ` | take neck and readings from the book instead of files |

` + "`--units in`" + ` gives answers and pictures in inches and thousandths. ` + "`RINGTRUE_UNITS=in`" + `, or ` + "`units = \"in\"`" + ` in a shop file, does it for all calls.
Files may mix mm and inches either way, and JSON stays in mm. ` + "`-`" + ` instead of a file reads standard input.

## Exit status

| exit status | meaning |
|---|---|
| 0 | the answer was worked out, whatever it says |
| 1 | with ` + "`--check`" + `: the answer isn't what was asked for, such as a neck not level, a note that buzzes, a set-up not done. In doubt, a reading set aside or a crown not determined also counts as not. With ` + "`--after`" + ` the second readings decide. ` + "`book check`" + ` needs no option for it |
| 2 | the input or the call is wrong: one line per fault, with file, line and key or column. Nothing is written |
| 3 | a disk, a database or the network failed, or the run was interrupted |
`)
}

// notes are what a command's options need said at more length than its help has.
func notes() map[string]string {
	return map[string]string{
		"ringtrue frets": `
- ` + "`--after`" + `: the answer is that of the second readings. The first ones still count for crowns that weren't filed. It says where a crown is still
  proud, where more came off than planned, and what was filed by mistake.
- ` + "`--plan-to`" + `: without it, you file to the widest zone that the next reading will call level, 19 times in 20. A lane filed to the limit itself
  ends right there, and the next reading stays in doubt.
- ` + "`--seated`" + `: such frets are high although they sit down on the board, so pressing them doesn't help.
- ` + "`--shop`" + `: the moves are made for the beams and files in that file (` + "`examples/shop.toml`" + `).
- ` + "`--card`" + `: the moves on paper, with boxes to tick and each flat at true size.
`,
	}
}
