package cli

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/glue"
	"ringtrue/internal/sheet"
	csvtable "ringtrue/internal/table"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// glueOptions are the flags of `glue`, as written.
type glueOptions struct {
	json, all, activator bool
	kind, at, humidity   string
	form, paper          string
	assumed              []string // options left to their defaults
}

func newGlueCommand(s *streams) *cobra.Command {
	var o glueOptions
	c := &cobra.Command{
		Use:   "glue NECK [TEST.csv]",
		Short: "Say how long glued frets must wait before levelling",
		Long: `glue says how long the glue beside and under the tangs needs before you level,
in your air and in the board's wood. It says whether the glue bridges the gaps,
and in which order to work.

TEST.csv is your own push-out test: columns minutes, force and unit (N, kgf or
lbf), and gap, temperature and humidity if you noted them. --form makes a form
for it.`,
		Example: `  ringtrue glue heron.toml --kind medium --at "18 C" --humidity 30
  ringtrue glue heron.toml --form form.pdf
  ringtrue glue heron.toml test.csv --all`,
		Args: func(c *cobra.Command, args []string) error {
			switch {
			case o.form != "" && len(args) > 1:
				return inputErrorf("--form takes at most a neck file")
			case o.form == "" && (len(args) < 1 || len(args) > 2):
				return inputErrorf("glue takes a neck file, and a push-out test if you have one; see ringtrue glue --help")
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("paper") && o.form == "" {
				return inputErrorf("--paper goes with --form")
			}
			if o.form != "" {
				return runGlueForm(s, args, o)
			}
			for _, name := range []string{text.GlueKind, text.GlueTemperature, text.GlueHumidity} {
				if !c.Flags().Changed(strings.TrimPrefix(name, "--")) {
					o.assumed = append(o.assumed, name)
				}
			}
			return runGlue(c.Context(), s, args, o)
		},
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	f.BoolVar(&o.all, "all", false, "print the tables and what the times rest on too")
	f.StringVar(&o.kind, "kind", string(glue.Thin), "glue: "+glueKinds())
	f.BoolVar(&o.activator, "activator", false, "count on activator with the cyanoacrylate")
	f.StringVar(&o.at, "at", "21 C", "temperature of the air")
	f.StringVar(&o.humidity, "humidity", "45", "humidity of the air, per cent")
	f.StringVar(&o.form, "form", "", "write a blank test into `FILE` (.svg, .pdf, .png, .csv; - prints it)")
	f.StringVar(&o.paper, "paper", "a4", "with --form: a4 or letter")
	return c
}

// glueKinds names the kinds of glue in a sentence.
func glueKinds() string {
	var names []string
	for _, k := range glue.Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}

func runGlue(ctx context.Context, s *streams, args []string, o glueOptions) error {
	r := answer.WaitRequest{Kind: glue.Kind(strings.ToLower(o.kind)), Activator: o.activator, Assumed: o.assumed}
	if !slices.Contains(glue.Kinds(), r.Kind) {
		return inputErrorf("--kind: no such glue %s; use %s", unit.Quote(o.kind), glueKinds())
	}
	var err error
	if r.TempC, err = flagSize("at", unit.Temperature, o.at, 0, 50); err != nil {
		return err
	}
	if r.HumidityPct, err = flagSize("humidity", unit.Percent, o.humidity, 0, 100); err != nil {
		return err
	}
	n, err := s.loadNeckFile(args[0])
	if err != nil {
		return err
	}
	r.Model = n.model
	if len(args) == 2 {
		data, err := s.readFile(args[1], "push-out test", csvtable.MaxBytes)
		if err != nil {
			return err
		}
		if r.Test, err = glue.Read(shown(args[1]), bytes.NewReader(data)); err != nil {
			return err
		}
	}
	a, err := answer.Wait(ctx, r)
	switch {
	case errors.Is(err, glue.ErrActivator), errors.Is(err, glue.ErrTemperature):
		return inputErrorf("--%w", err)
	case err != nil:
		return n.locate(err)
	}
	return s.say(o.json, a, func() {
		glueText{out: s.out, answer: a, all: o.all}.print()
		if a.Test == nil {
			s.call("test it yourself", "glue", args[0], "--form", "form.pdf")
		}
	})
}

// runGlueForm writes a blank push-out test.
func runGlueForm(s *streams, args []string, o glueOptions) error {
	f := glue.Form{Minutes: glue.FormMinutes()}
	paper, known := sheet.PapersByName()[strings.ToLower(o.paper)]
	if !known || paper == sheet.Phone {
		return inputErrorf("--paper: no such paper %q; use a4 or letter", o.paper)
	}
	kind := strings.ToLower(filepath.Ext(o.form))
	if o.form != "-" && !slices.Contains([]string{".svg", ".pdf", ".png", ".csv"}, kind) {
		return inputErrorf("--form: %s: end the file's name in .svg, .pdf, .png or .csv", o.form)
	}
	if len(args) == 1 {
		m, _, err := s.loadNeck(args[0])
		if err != nil {
			return err
		}
		f = glue.FormOf(m)
	}
	switch {
	case o.form == "-":
		if err := glue.WriteBlank(s.out, f); err != nil {
			return outputError(err)
		}
		return nil
	case kind == ".csv":
		var b bytes.Buffer
		if err := glue.WriteBlank(&b, f); err != nil {
			return err
		}
		if err := writeFile(o.form, b.Bytes()); err != nil {
			return err
		}
	default:
		page, err := sheet.GlueForm(f, paper, s.sheetUnits())
		if err != nil {
			return err
		}
		if err := writePicture(o.form, page); err != nil {
			return err
		}
	}
	wrap(s.out, "", text.Drawn(printable(o.form)))
	return nil
}
