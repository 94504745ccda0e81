package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/text"
)

func newWordsCommand(s *streams) *cobra.Command {
	return &cobra.Command{
		Use:   "words [WORD]",
		Short: "Explain a term from the files and answers",
		Long: `words explains the terms in neck files, readings files and answers, and lists
other shop names for the same thing. WORD is a term, another name for it, or a
key such as board.radius. Without WORD it lists them all.`,
		Example: "  ringtrue words\n  ringtrue words \"three-point gauge\"\n  ringtrue words setup.action",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			words := text.Glossary()
			if len(args) == 1 {
				found, near := text.FindWord(args[0])
				switch {
				case len(found) == 0 && near != "":
					return inputErrorf("no such word %q; did you mean %q?", args[0], near)
				case len(found) == 0:
					return inputErrorf("no such word %q; ringtrue words lists them all", args[0])
				}
				words = found
			}
			return s.printWords(words)
		},
	}
}

// printWords prints each word with its meaning, set in beneath it.
func (s *streams) printWords(words []text.Word) error {
	for _, w := range words {
		fmt.Fprintln(s.out, w.Name)
		wrap(s.out, "    ", w.Meaning)
		if len(w.Also) > 0 {
			wrap(s.out, "    also: ", strings.Join(w.Also, ", "))
		}
		if len(w.Keys) > 0 {
			wrap(s.out, "    in files: ", strings.Join(w.Keys, ", "))
		}
	}
	return nil // Run reports what its buffer could not write
}
