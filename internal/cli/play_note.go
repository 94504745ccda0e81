package cli

import (
	"ringtrue/internal/play"

	"github.com/spf13/cobra"
)

// noteChoice is the one note that a picture or a sound is of, as written.
type noteChoice struct{ play.NoteChoice }

// addNoteFlags adds the flags that choose a note.
func addNoteFlags(c *cobra.Command, n *noteChoice) {
	f := c.Flags()
	f.IntVar(&n.String, "string", 0, "see or hear one note: its string, `N` from the treble side")
	f.IntVar(&n.Fret, "fret", 0, "with --string: the `FRET` it is stopped at; 0 is open")
	f.StringVar(&n.Touch, "touch", "", "with --string: the touch, by `NAME` (default setup.judge_by)")
}

// check refuses a note that nothing asks for, and asks for one where a picture
// or a sound (by is its flag, "" for none) needs it.
func (n noteChoice) check(c *cobra.Command, by string) error {
	if by != "" && !c.Flags().Changed("string") {
		return inputErrorf("--%s: which note? add --string N --fret FRET", by)
	}
	for _, name := range []string{"string", "fret", "touch"} {
		if by == "" && c.Flags().Changed(name) {
			return inputErrorf("--%s chooses a note to see or hear; add --film, --strip or --wav", name)
		}
	}
	return nil
}
