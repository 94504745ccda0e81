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
		Short: "What a word of the files and screens means at the bench",
		Long: `words explains the words of the neck file, the readings file and the answers, and
says what else benches call the same thing. WORD is a word, a bench's own name
for it, or a key such as board.radius; without it all are listed.`,
		Example: "  ringtrue words\n  ringtrue words \"three-point gauge\"\n  ringtrue words setup.action",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			words := text.Glossary()
			if len(args) == 1 {
				found, near := text.FindWord(args[0])
				switch {
				case len(found) == 0 && near != "":
					return inputErrorf("%q is no word of ringtrue; did you mean %q?", args[0], near)
				case len(found) == 0:
					return inputErrorf("%q is no word of ringtrue; ringtrue words lists all", args[0])
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
