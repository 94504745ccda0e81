package cli

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/draw"
	"ringtrue/internal/name"
	"ringtrue/internal/reading"
	"ringtrue/internal/sheet"
	"ringtrue/internal/spreadsheet"
)

// sheetOptions are the flags of `sheet`.
type sheetOptions struct{ gauge, table, draw, paper string }

func newSheetCommand(s *streams) *cobra.Command {
	var o sheetOptions
	c := &cobra.Command{
		Use:   "sheet NECK",
		Short: "Make a blank sheet to write readings on",
		Long: `sheet makes a blank grid of frets by lanes for one gauge. --table writes a
spreadsheet (.xlsx or .csv), --draw a page to print and write on; without them
it prints CSV. Type one number per crown and leave a cell empty where you didn't
read. frets, board, play and book add read the filled table as it is.`,
		Example: `  ringtrue sheet heron.toml --draw sheet.pdf
  ringtrue sheet heron.toml --gauge edge --units in --draw sheet.pdf --paper letter
  ringtrue sheet heron.toml --table heron-today.xlsx
  ringtrue sheet heron.toml > heron-today.csv`,
		Args: exactly(1, "a neck file"),
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("paper") && o.draw == "" {
				return inputErrorf("--paper goes with --draw")
			}
			return runSheet(s, args[0], o)
		},
	}
	f := c.Flags()
	f.StringVar(&o.gauge, "gauge", string(reading.Beam), "sheet for this gauge: "+gridGauges())
	f.StringVar(&o.table, "table", "", "write the grid into `FILE` (.xlsx or .csv)")
	f.StringVar(&o.draw, "draw", "", "draw the sheet into `FILE` (.svg, .pdf or .png)")
	f.StringVar(&o.paper, "paper", "a4", "with --draw: a4 or letter")
	return c
}

func runSheet(s *streams, path string, o sheetOptions) error {
	method, err := gridGauge("gauge", o.gauge)
	if err != nil {
		return err
	}
	unit := "mm"
	if s.inches {
		unit = "in"
	}
	if s.units != "" { // the readings' unit here
		if unit, err = gridUnit("units", s.units); err != nil {
			return err
		}
	}
	paper, known := sheet.PapersByName()[strings.ToLower(o.paper)]
	if !known || paper == sheet.Phone {
		return inputErrorf("--paper: no such paper %q; use a4 or letter", o.paper)
	}
	if o.draw != "" {
		if _, err := pictureKind(o.draw); err != nil {
			return err
		}
	}
	if kind := tableKind(o.table); o.table != "" && kind != ".xlsx" && kind != ".csv" {
		return inputErrorf("--table: %s: end the file's name in .xlsx or .csv", o.table)
	}
	m, l, err := s.loadNeck(path)
	if err != nil {
		return err
	}
	blank := reading.Blank{Neck: m.Name, Method: method, Unit: unit,
		Bounds: reading.Bounds{FirstFret: l.FirstFret(), LastFret: l.LastFret(), Strings: l.Strings()}}
	if o.table != "" {
		if err := s.writeTable(o.table, blank); err != nil || o.draw == "" {
			return err
		}
	}
	if o.draw == "" {
		if err := reading.WriteBlank(s.out, blank); err != nil {
			return outputError(err)
		}
		return nil
	}
	pages, err := sheet.Blank(blank, paper)
	if err != nil {
		return err
	}
	if err := writePages(o.draw, pages); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "wrote %s\n", name.Visible(o.draw))
	return err
}

func tableKind(path string) string { return strings.ToLower(filepath.Ext(path)) }

// writeTable writes a blank grid as the kind that the file's ending asks for.
func (s *streams) writeTable(path string, blank reading.Blank) error {
	write := reading.WriteBlank
	if tableKind(path) == ".xlsx" {
		write = spreadsheet.WriteBlank
	}
	var b bytes.Buffer
	if err := write(&b, blank); err != nil {
		return failuref("%s: %w", path, err)
	}
	if err := writeFile(path, b.Bytes()); err != nil {
		return err
	}
	_, err := fmt.Fprintf(s.out, "wrote %s\n", name.Visible(path))
	return err
}

// writePages writes pages as the kind that the file's ending asks for; more than
// one only as PDF.
func writePages(path string, pages []*draw.Page) error {
	if len(pages) == 1 {
		return writePicture(path, pages[0])
	}
	if !strings.EqualFold(filepath.Ext(path), ".pdf") {
		return inputErrorf("--draw: %s: this sheet takes %d pages; use a name that ends in .pdf", path, len(pages))
	}
	var b bytes.Buffer
	if err := draw.WritePDFPages(&b, pages); err != nil {
		return failuref("%s: %w", path, err)
	}
	return writeFile(path, b.Bytes())
}
