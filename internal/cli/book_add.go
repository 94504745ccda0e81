package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
)

// bookAddOptions are the flags of `book add`, as written.
type bookAddOptions struct {
	stage, note, by, why string
	strokes              string
	tags                 []string
	corrects             int64
	folder               string
	keepGood             bool
	grid                 gridOptions
}

func newBookAddCommand(s *streams, b *bookOptions) *cobra.Command {
	var o bookAddOptions
	c := &cobra.Command{
		Use:   "add SERIAL NECK READINGS --stage STAGE",
		Short: "Save a neck's readings in the book",
		Long: `add makes one record of a neck at one stage of its life. Any word is a stage:
seated, levelled, strung, returned. The line with the record's number appears once
the record is safe on disk. The same serial, stage and files twice are one record.
With a grid, --method, --unit and --pass are saved in its file as comment lines.
From a spreadsheet (.xlsx) the book saves the sheet with the readings, not the
workbook: as CSV, with a comment line that names file and sheet. --strokes says what
was done since the neck's last record; book hand learns from it.

A correction is a new record: --corrects names the old one, --by who corrects it
and --why the reason. Both stay in the book.

With --folder, every SERIAL.csv (or .xlsx) in a folder is added under --stage, or
every SERIAL-STAGE.csv under its own. All share the neck file. All files are judged
first: if any is wrong, each fault is named and nothing is added.`,
		Example: `  ringtrue book add 0412 heron.toml heron-seated.csv --stage seated --tag wire=lot7
  ringtrue book add 0412 heron.toml again.csv --stage seated --corrects 17 --by Ines --why "dial misread"
  ringtrue book add --folder readings heron.toml --stage seated`,
		Args: func(c *cobra.Command, args []string) error {
			if o.folder != "" {
				return exactly(1, "a neck file where --folder is given")(c, args)
			}
			return exactly(3, "a serial, a neck file and a readings file")(c, args)
		},
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("corrects") && o.corrects < 1 {
				return inputErrorf("--corrects: %d is not a record number; use 1 or more", o.corrects)
			}
			if o.folder != "" {
				return runBookAddFolder(c.Context(), s, args[0], *b, o)
			}
			return runBookAdd(c.Context(), s, args, *b, o)
		},
	}
	f := c.Flags()
	f.StringVar(&o.stage, "stage", "", "the stage, any word: seated, levelled, strung")
	f.StringVar(&o.note, "note", "", "a note to save with the record")
	f.StringArrayVar(&o.tags, "tag", nil, "a `NAME=VALUE` to sort by later, such as wire=lot7; repeatable")
	f.StringVar(&o.by, "by", "", "who adds it, and did the strokes")
	strokesFlag(f, &o.strokes)
	f.Int64Var(&o.corrects, "corrects", 0, "number of the `RECORD` that this one corrects")
	f.StringVar(&o.why, "why", "", "why it is corrected")
	f.StringVar(&o.folder, "folder", "", "add every readings file in `DIR`")
	f.BoolVar(&o.keepGood, "keep-good", false, "with --folder: add the good files even if others have faults")
	o.grid.add(c)
	return c
}

func runBookAdd(ctx context.Context, s *streams, args []string, b bookOptions, o bookAddOptions) error {
	e, err := o.entry()
	if err != nil {
		return err
	}
	if o.stage == "" {
		return inputErrorf("book add: add the stage, any word, such as --stage seated")
	}
	e.Serial = args[0]
	strokes, err := s.strokesOf(&e, o.strokes)
	if err != nil {
		return err
	}
	if e.Files, err = s.bookFiles(args[1], args[2], o.grid); err != nil {
		return err
	}
	if err := answer.Judge(Version()).Prepare(ctx, &e, o.corrects); err != nil { // before a book is begun for it
		return bookError(err)
	}
	if p, err := e.Files.Parse(); err == nil {
		if err := onNeck(strokes, p.Layout); err != nil {
			return err
		}
	}
	return s.withBook(ctx, b.where, true, func(st book.Store) error {
		a, err := book.Put(ctx, st, &e, o.corrects)
		if err != nil {
			return err
		}
		if err := s.strokesKept(ctx, st, a, e.Tags[book.StrokesTag]); err != nil {
			return err
		}
		if b.json {
			err = s.printJSON(a)
		} else {
			err = s.printAdded(a)
		}
		s.tellClock([]book.Added{a})
		return err
	})
}

// entry reads the flags.
func (o bookAddOptions) entry() (book.Entry, error) {
	tags, err := tagsOf(o.tags)
	return book.Entry{Stage: o.stage, Note: o.note, By: o.by, Why: o.why, Tags: tags}, err
}

// tagsOf reads the tags of flags.
func tagsOf(flags []string) (book.Tags, error) {
	tags := book.Tags{}
	for _, t := range flags {
		k, v, err := book.ParseTag(t)
		if err != nil {
			return tags, inputErrorf("--tag: %w", err)
		}
		if had, twice := tags[k]; twice && had != v {
			return tags, inputErrorf("--tag: %s is given twice, %s and %s", k, had, v)
		}
		tags[k] = v
	}
	return tags, nil
}

// bookFiles reads a record's two files.
func (s *streams) bookFiles(neck, readings string, grid gridOptions) (f book.Files, err error) {
	f.Neck.Name, f.Readings.Name = shown(neck), shown(readings)
	if f.Neck.Bytes, err = s.readFile(neck, "neck", maxNeckBytes); err != nil {
		return f, err
	}
	f.Readings.Bytes, err = s.readReadings(readings, grid)
	return f, err
}

// printAdded prints the one line of a record that is safe on disk, at once.
func (s *streams) printAdded(a book.Added) error {
	what := "saved"
	if !a.New {
		what = "already there"
	}
	line := fmt.Sprintf("record %d: %s %s, %s", a.Record, a.Serial, a.Stage, what)
	if a.Corrects != 0 {
		line += fmt.Sprintf(", corrects record %d", a.Corrects)
	}
	line += ": " + strings.ToUpper(a.Verdict)
	if zone, known := a.ZoneMM.Get(); known {
		line += fmt.Sprintf(", zone %.3f mm", zone)
	}
	if _, err := fmt.Fprintln(s.out, line); err != nil {
		return outputError(err)
	}
	return s.flush()
}

// flush hands what is printed so far to standard output.
func (s *streams) flush() error {
	if f, ok := s.out.(interface{ Flush() error }); ok {
		if err := f.Flush(); err != nil {
			return outputError(err)
		}
	}
	return nil
}
