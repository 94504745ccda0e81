package cli

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/text"
)

func newBookNoteCommand(s *streams, b *bookOptions) *cobra.Command {
	var by string
	var begin bool
	c := &cobra.Command{
		Use:   "note SERIAL [TEXT]",
		Short: "Note what was done to a neck",
		Long: `note saves what only you can say about a neck between its records. shop
understands these, and shows any other text as it is:

  glued, glued at 13:50, glued at 13:50 with hide, glued yesterday at 17:00
  glue setting until 18:10, glue has set
  pressed, levelled, strung, drying, drying until 2026-03-09, dry
  handed to Ines, Ines has it
  waiting for wire, wire is here
  done, sold, sold to Ines, back

A note without a time is about now. Notes are saved like records: nothing is
overwritten, and export, import and check include them. Without a text, note lists
the neck's notes.`,
		Example: `  ringtrue book note 0412 "glued at 13:50 with hide" --by Ines
  ringtrue book note 0412 handed to Ines
  ringtrue book note 0412`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return inputErrorf("note takes a serial and a text; see ringtrue book note --help")
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 1 {
				return runBookNotes(c.Context(), s, *b, args[0])
			}
			said := strings.TrimSpace(strings.Join(args[1:], " "))
			return runBookNote(c.Context(), s, *b, book.Said{Serial: args[0], Text: said, By: by}, begin)
		},
	}
	c.Flags().StringVar(&by, "by", "", "who says it")
	c.Flags().BoolVar(&begin, "new", false, "the neck is not in the book yet")
	return c
}

func runBookNote(ctx context.Context, s *streams, b bookOptions, n book.Said, begin bool) error {
	shop, _, err := s.shopFile(b.where)
	if err != nil {
		return err
	}
	return s.withBook(ctx, b.where, begin, func(st book.Store) error {
		a, err := answer.Tell(ctx, st, n, time.Now(), begin, shop)
		if err != nil {
			return err
		}
		if b.json {
			return s.printJSON(a)
		}
		if _, err := fmt.Fprintf(s.out, "note %d: %s\n", a.Note, printable(a.Heard)); err != nil {
			return outputError(err)
		}
		if next := text.NoteNext(a.Serial, a.Next); next != "" {
			wrap(s.out, "", printable(next))
		}
		return s.flush()
	})
}

// runBookNotes lists a neck's notes.
func runBookNotes(ctx context.Context, s *streams, b bookOptions, serial string) error {
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		a, err := answer.Told(ctx, st, serial)
		if err != nil {
			return err
		}
		return s.say(b.json, a, func() {
			if len(a.Notes) == 0 {
				fmt.Fprintln(s.out, printable(text.NoNotes(serial)))
				return
			}
			rows := [][]string{{"at", "note", "by"}}
			for _, n := range a.Notes {
				rows = append(rows, []string{n.At.Local().Format("2006-01-02 15:04"), n.Text, wordOrDash(n.By)})
			}
			leftTable(s.out, rows)
		})
	})
}
