package cli

import (
	"github.com/spf13/cobra"
)

// bookOptions are the flags that every call of `book` takes.
type bookOptions struct {
	where string
	json  bool
}

func newBookCommand(s *streams) *cobra.Command {
	var o bookOptions
	c := &cobra.Command{
		Use:   "book",
		Short: "Keep a permanent record of every neck",
		Long: `book saves every neck's readings, byte for byte as you took them, with the results
calculated from them. Nothing in it is overwritten: a correction is a new record
that names the old one.

The book is one file among your own data, made by the first add. --book FILE uses
another. --book postgres://NAME@HOST/DATABASE uses a PostgreSQL database that
several benches share: put its password in PGPASSWORD or in the password file.
$RINGTRUE_BOOK names the book for every call.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return inputErrorf("book has no command %q; see ringtrue book --help", args[0])
			}
			return nil
		},
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	bookFlag(c.PersistentFlags(), &o.where)
	c.PersistentFlags().BoolVar(&o.json, "json", false, "print JSON, unrounded")
	c.AddCommand(
		newBookAddCommand(s, &o),
		newBookBackupCommand(s, &o),
		newBookCardCommand(s, &o),
		newBookCheckCommand(s, &o),
		newBookCompareCommand(s, &o),
		newBookDemoCommand(s, &o),
		newBookExportCommand(s, &o),
		newBookHandCommand(s, &o),
		newBookImportCommand(s, &o),
		newBookLabelCommand(s, &o),
		newBookListCommand(s, &o),
		newBookNoteCommand(s, &o),
		newBookRebuildCommand(s, &o),
		newBookSalvageCommand(s, &o),
		newBookShowCommand(s, &o),
		newBookTimesCommand(s, &o),
	)
	return c
}
