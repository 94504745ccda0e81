package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"ringtrue/internal/book"
	"ringtrue/internal/name"
	"ringtrue/internal/sheet"
	"ringtrue/internal/unit"
)

// labelDotsPerMM is how fine a label's PNG is: 300 dots an inch, as label
// printers have it.
const labelDotsPerMM = 300 / unit.MMPerInch

func newBookLabelCommand(s *streams, b *bookOptions) *cobra.Command {
	var width, height string
	c := &cobra.Command{
		Use:   "label SERIAL FILE",
		Short: "Draw a label with the serial as a QR code",
		Long: `label draws a label to stick on a neck or its case: the serial as a QR code and in
letters, the model, and the day the neck was first read. FILE ends in .svg,
.pdf or .png. Print it at full size.`,
		Example: `  ringtrue book label 0412 label.pdf
  ringtrue book label 0412 label.png --width "62 mm" --height "29 mm"`,
		Args: exactly(2, "a serial and the file to write"),
		RunE: func(c *cobra.Command, args []string) error {
			if _, err := pictureKind(args[1]); err != nil {
				return inputErrorf("%s: end the file's name in .svg, .pdf or .png", args[1])
			}
			wide, err := flagSize("width", unit.Length, width, 8, 300)
			if err != nil {
				return err
			}
			high, err := flagSize("height", unit.Length, height, 8, 300)
			if err != nil {
				return err
			}
			return runBookLabel(c.Context(), s, args[0], args[1], *b, wide, high)
		},
	}
	c.Flags().StringVar(&width, "width", "50 mm", "the label's width")
	c.Flags().StringVar(&height, "height", "25 mm", "the label's height")
	return c
}

func runBookLabel(ctx context.Context, s *streams, serial, file string, b bookOptions, wide, high float64) error {
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		a, err := book.LabelOf(ctx, st, serial)
		if err != nil {
			return err
		}
		page, err := sheet.Label(a, wide, high)
		if err != nil {
			return inputErrorf("%w", err)
		}
		if err := writeFine(file, page, labelDotsPerMM); err != nil {
			return err
		}
		if b.json {
			return s.printJSON(a)
		}
		_, err = fmt.Fprintf(s.out, "wrote %s: %g by %g mm\n", name.Visible(file), wide, high)
		return err
	})
}
