package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/book"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// fromBook are the flags that take neck and readings out of the book.
type fromBook struct {
	serial, stage, where string
	grid                 gridOptions // of readings from a file
}

func (o *fromBook) add(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.serial, "serial", "", "take neck and readings from the book, by `SERIAL`")
	f.StringVar(&o.stage, "stage", "", "with --serial: take this stage (default the latest record)")
	bookFlag(f, &o.where)
	o.grid.add(c)
}

// orFiles wants a serial and no files, or what files asks for.
func (o *fromBook) orFiles(files cobra.PositionalArgs) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch {
		case !c.Flags().Changed("serial"):
			for _, flag := range []string{"stage", "book"} {
				learns := flag == "book" && c.Flags().Lookup("by") != nil // the hand, of files too
				if c.Flags().Changed(flag) && !learns {
					return inputErrorf("--%s works on the book; add --serial SERIAL", flag)
				}
			}
			return files(c, args)
		case o.grid.given() && !c.Flags().Changed("after"):
			return inputErrorf("%s is for a grid in a file; readings in the book have it already", o.grid.words()[0])
		case o.serial == "":
			return inputErrorf("--serial: name the neck, such as --serial 0412")
		case len(args) > 0:
			return inputErrorf("--serial takes neck and readings from the book; leave out %s, or --serial", strings.Join(args, " "))
		}
		return nil
	}
}

// source is what a call works on, from files or from the book.
type source struct {
	model    neck.Model
	layout   *geometry.Layout
	readings []reading.Reading
	read     bool     // readings were given
	neckFile string   // as it is, or was when it was added to the book
	inFaults string   // what messages call it
	serial   string   // of a neck in the book
	where    string   // the book, as it was given; empty for the usual one
	words    []string // what names neck and readings in a call
	grid     []string // of these: what is said of a grid of readings
}

// source reads the neck and, where there are any, its readings.
func (s *streams) source(ctx context.Context, o fromBook, args []string) (source, error) {
	if o.serial != "" {
		return s.sourceOfBook(ctx, o)
	}
	from := source{neckFile: args[0], inFaults: args[0], words: args, read: len(args) > 1}
	var err error
	if from.model, from.layout, err = s.loadNeck(args[0]); err != nil {
		return from, err
	}
	if !from.read {
		return from, o.grid.unused()
	}
	from.grid = o.grid.words()
	from.words = slices.Concat(args, from.grid)
	set, err := s.loadReadings(args[1], from.layout, o.grid)
	from.readings = set.Readings
	return from, err
}

func (s *streams) sourceOfBook(ctx context.Context, o fromBook) (from source, err error) {
	err = s.withBook(ctx, o.where, false, func(b book.Store) error {
		f, err := book.Read(ctx, b, o.serial, o.stage)
		if err != nil {
			return err
		}
		from = source{model: f.Model, layout: f.Layout, readings: f.Readings, read: true, serial: o.serial, words: o.words(), grid: o.grid.words(),
			where:    withoutSecrets(o.where),
			neckFile: f.NeckName, inFaults: fmt.Sprintf("record %d, %s", f.Number, f.NeckName)}
		return nil
	})
	return from, err
}

// words are the flags again, for the next call.
func (o fromBook) words() []string {
	w := []string{"--serial", o.serial}
	if o.stage != "" {
		w = append(w, "--stage", o.stage)
	}
	if o.where != "" {
		w = append(w, "--book", withoutSecrets(o.where))
	}
	return w
}
