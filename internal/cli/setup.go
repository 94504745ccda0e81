package cli

import (
	"bytes"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/num"
	"ringtrue/internal/setup"
	"ringtrue/internal/sheet"
	csvtable "ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// setupOptions are the flags of `setup`, as written.
type setupOptions struct {
	json, check, all, lowest, form bool
	first, held, action, measured  string
	shows, top, least              string
	uGap, uAction, uSlot, uSaddle  string
	card, paper                    string
	from                           fromBook
}

func newSetupCommand(s *streams) *cobra.Command {
	var o setupOptions
	c := &cobra.Command{
		Use:   "setup NECK [READINGS]",
		Short: "Make the set-up sheet: nut slots, saddle, neck angle",
		Long: `setup brings the strings to where [setup] in the neck file wants them. It says what
to take off each nut slot and the saddle, in which order, and where to stop short.
It says whether the neck then rings and, if the saddle runs out, how far to turn
the neck.

Measure with the rod set and the strings at pitch: the open string's underside
over fret 1 (--first-gap) and over fret 12 (--action). Or hold the string down
on fret 3 and feel the gap over fret 1 (--held-gap). Give one value, two (string
1 and the last, even steps between) or one per string, string 1 first. A table,
which --form prints, works too. Without READINGS the crowns are perfect.`,
		Example: `  ringtrue setup heron.toml heron-levelled.csv --first-gap "0.60 mm" --action "2.00 mm, 2.40 mm"
  ringtrue setup heron.toml --form > strings.csv
  ringtrue setup heron.toml heron-levelled.csv --measured strings.csv --card setup.pdf
  ringtrue setup heron.toml --measured strings.csv --lowest
  ringtrue setup heron.toml --measured strings.csv --saddle-shows "3 mm, 3.5 mm"`,
		Args: o.from.orFiles(func(_ *cobra.Command, args []string) error {
			if len(args) != 1 && len(args) != 2 {
				return inputErrorf("setup takes a neck file, and a readings file if you have one; see ringtrue setup --help")
			}
			return nil
		}),
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("paper") && o.card == "" {
				return inputErrorf("--paper goes with --card")
			}
			return runSetup(c, s, args, o)
		},
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.BoolVar(&o.check, "check", false, "exit 1 unless frets are level, strings as wanted, all notes clear")
	f.StringVar(&o.first, "first-gap", "", "measured: the open string over fret 1: `SIZE`, two, or one per string")
	f.StringVar(&o.held, "held-gap", "", "measured: over fret 1, the string held down on fret 3 (`SIZE`)")
	f.StringVar(&o.action, "action", "", "measured: the open string over fret 12 (`SIZE`)")
	f.StringVar(&o.measured, "measured", "", "measured: a table `FILE` with one row per string")
	f.BoolVar(&o.form, "form", false, "print that table to fill in")
	f.BoolVar(&o.lowest, "lowest", false, "set as low as every note is clear, instead of setup.action")
	f.StringVar(&o.shows, "saddle-shows", "", "measured: how much of the saddle shows (`SIZE`)")
	f.StringVar(&o.top, "bridge-top", "", "measured: crowns' line over the bridge's top (`SIZE`; below 0: under)")
	f.StringVar(&o.least, "saddle-least", "", "how much of the saddle must show (default 2 mm, bolt-on 0)")
	f.StringVar(&o.uGap, "u-gap", "", "standard uncertainty of a gap (default 0.01 mm)")
	f.StringVar(&o.uAction, "u-action", "", "standard uncertainty of the action (default 0.05 mm)")
	f.StringVar(&o.uSlot, "u-slot", "", "standard uncertainty of a slot as filed (default 0.02 mm)")
	f.StringVar(&o.uSaddle, "u-saddle", "", "standard uncertainty of a saddle as cut (default 0.05 mm)")
	f.StringVar(&o.card, "card", "", "draw the sheet to print into `FILE` (.pdf, .svg or .png)")
	f.StringVar(&o.paper, "paper", "a4", "with --card: a4 or letter")
	o.from.add(c)
	return c
}

func runSetup(c *cobra.Command, s *streams, args []string, o setupOptions) error {
	paper, known := sheet.PapersByName()[strings.ToLower(o.paper)]
	if !known || paper == sheet.Phone {
		return inputErrorf("--paper: no such paper %q; use a4 or letter", o.paper)
	}
	if o.card != "" {
		if _, err := pictureKind(o.card); err != nil {
			return inputErrorf("--card: %s: end the file's name in .pdf, .svg or .png", o.card)
		}
	}
	from, err := s.source(c.Context(), o.from, args)
	if err != nil {
		return err
	}
	if o.form {
		if err := setup.Write(s.out, setup.Blank(from.layout.Strings())); err != nil {
			return outputError(err)
		}
		return nil
	}
	r := answer.SetupRequest{PlayRequest: answer.PlayRequest{Model: from.model, Layout: from.layout, Readings: from.readings, Read: from.read}, Lowest: o.lowest}
	if err := o.read(s, &r); err != nil {
		return err
	}
	a, err := answer.Setup(c.Context(), r)
	if err != nil {
		return setupError(from.inFaults, o.questioned(err, from.layout.Strings()))
	}
	if err := drawInto(o.card, func() (*draw.Page, error) { return sheet.Setup(a, paper, s.sheetUnits()) }); err != nil {
		return err
	}
	err = s.say(o.json, a, func() {
		setupText{out: s.out, answer: a, colour: s.colour, all: o.all}.print()
		s.short = !o.all
		s.drawn(o.card)
		s.nextAfterSetup(a, from, o.lowest)
		s.more("heights, steps, setbacks")
	})
	if err == nil && o.check && !a.Passed() {
		err = errCheckFailed
	}
	return err
}

// setupError is a fault of the neck file, or of what was measured.
func setupError(neckFile string, err error) error {
	if errors.Is(err, setup.ErrNothing) {
		return inputErrorf(`nothing measured; add --first-gap "0.70 mm" --action "2.20 mm", or --measured FILE (see --form)`)
	}
	for _, of := range []error{setup.ErrNoNut, setup.ErrNoAction, setup.ErrZeroFret, setup.ErrSameSite} {
		if errors.Is(err, of) {
			return inputErrorf("%w", err)
		}
	}
	return placed(neckFile, "", err)
}

// questioned names where what has to be typed again was typed.
// Of a pair only what was typed is asked of: the strings between follow from it.
func (o setupOptions) questioned(err error, last int) error {
	var all setup.Questions
	if !errors.As(err, &all) {
		return err
	}
	var lines []string
	for _, q := range all {
		flag, value := "--action", o.action
		switch q.Size {
		case setup.SizeFirst:
			flag, value = "--first-gap", o.first
		case setup.SizeHeld:
			flag, value = "--held-gap", o.held
		}
		if value == "" || isTable(value) {
			path, _ := o.table() // it was read, so there is one
			flag = shown(path)
		} else if strings.Count(value, ",") == 1 && last > 2 {
			if q.String != 1 && q.String != last {
				continue
			}
			q.OtherMM = num.Opt{}
		}
		lines = append(lines, flag+": "+setup.Questions{q}.Error())
	}
	return inputErrorf("%s", strings.Join(lines, "\n"))
}

// read reads the flags that say what was measured, and how well.
func (o setupOptions) read(s *streams, r *answer.SetupRequest) error {
	n := r.Layout.Strings()
	r.Doubt = setup.Usual()
	for _, f := range []struct {
		flag, value string
		out         *float64
	}{{"u-gap", o.uGap, &r.Doubt.GapMM}, {"u-action", o.uAction, &r.Doubt.ActionMM}, {"u-slot", o.uSlot, &r.Doubt.SlotMM}, {"u-saddle", o.uSaddle, &r.Doubt.SaddleMM}} {
		if f.value == "" {
			continue
		}
		v, err := flagSize(f.flag, unit.Length, f.value, 0.001, 1)
		if err != nil {
			return err
		}
		*f.out = v
	}
	for _, f := range []struct {
		flag, value string
		low, high   float64
		out         *num.Opt
	}{{"bridge-top", o.top, -setup.MostMM, setup.MostMM, &r.BridgeTopMM}, {"saddle-least", o.least, 0, setup.MostMM, &r.SaddleLeastMM}} {
		if f.value == "" {
			continue
		}
		v, err := flagSize(f.flag, unit.Length, f.value, f.low, f.high)
		if err != nil {
			return err
		}
		*f.out = num.Some(v)
	}
	if err := o.readTable(s, r); err != nil {
		return err
	}
	if r.Measured == nil {
		for i := range n {
			r.Measured = append(r.Measured, setup.Measured{String: i + 1})
		}
	}
	return o.readEach(r)
}

// readTable reads the table of what was measured. The options that take sizes take its
// name too.
func (o setupOptions) readTable(s *streams, r *answer.SetupRequest) error {
	path, err := o.table()
	if path == "" || err != nil {
		return err
	}
	data, err := s.readFile(path, "set-up table", csvtable.MaxBytes)
	if err != nil {
		return err
	}
	if r.Measured, err = setup.Read(shown(path), bytes.NewReader(data)); err != nil {
		return err
	}
	for _, m := range r.Measured {
		if m.String > r.Layout.Strings() {
			return inputErrorf("%s: string: this neck has no string %d", shown(path), m.String)
		}
	}
	return nil
}

// table is the name of the table of what was measured; "" for none. There is one: two
// of them are a fault.
func (o setupOptions) table() (path string, err error) {
	flag := ""
	for _, f := range [][2]string{{"measured", o.measured}, {"first-gap", o.first}, {"held-gap", o.held}, {"action", o.action}, {"saddle-shows", o.shows}} {
		switch {
		case f[1] == "" || f[0] != "measured" && !isTable(f[1]):
		case path != "" && path != f[1]:
			return "", inputErrorf("--%s %s and --%s %s are two tables; put everything into one", flag, shown(path), f[0], shown(f[1]))
		default:
			flag, path = f[0], f[1]
		}
	}
	return path, nil
}

func isTable(value string) bool { return strings.HasSuffix(strings.ToLower(value), ".csv") }

// readEach reads the values given as options, which go before those of a table.
func (o setupOptions) readEach(r *answer.SetupRequest) error {
	for _, f := range []struct {
		flag, value string
		of          func(*setup.Measured) *num.Opt
	}{
		{"first-gap", o.first, func(m *setup.Measured) *num.Opt { return &m.FirstMM }},
		{"held-gap", o.held, func(m *setup.Measured) *num.Opt { return &m.HeldMM }},
		{"action", o.action, func(m *setup.Measured) *num.Opt { return &m.ActionMM }},
		{"saddle-shows", o.shows, func(m *setup.Measured) *num.Opt { return &m.ShowsMM }},
	} {
		if f.value == "" || isTable(f.value) {
			continue
		}
		var sizes []float64
		for _, part := range strings.Split(f.value, ",") {
			v, err := flagSize(f.flag, unit.Length, strings.TrimSpace(part), 0, setup.MostMM)
			if first, _, _ := strings.Cut(f.value, ", "); err != nil && len(sizes) == 0 && strings.Trim(part, "0123456789") == "" && strings.Contains(first, ",") { // a decimal comma
				_, err = flagSize(f.flag, unit.Length, first, 0, setup.MostMM)
			}
			if err != nil {
				return err
			}
			sizes = append(sizes, v)
		}
		each, ok := setup.Each(sizes, r.Layout.Strings())
		if !ok {
			return inputErrorf("--%s: %d values for %d strings; give one, two (string 1 and the last) or one per string", f.flag, len(sizes), r.Layout.Strings())
		}
		for i := range r.Measured {
			*f.of(&r.Measured[i]) = num.Some(each[r.Measured[i].String-1])
		}
	}
	return nil
}

// nextAfterSetup says what comes after the first deed.
func (s *streams) nextAfterSetup(a *answer.SetupAnswer, from source, lowest bool) {
	call := append([]string{"setup"}, from.words...)
	if lowest {
		call = append(call, "--lowest")
	}
	switch {
	case a.Sheet.FretsOff:
		s.next("", append([]string{"frets"}, from.words...)...)
	case a.Sheet.Done() && !a.Sheet.FirstTurn():
		s.next("", append([]string{"play"}, from.words...)...)
	default:
		s.next("string up, measure again, then", append(call, "--measured", againStrings)...)
	}
}
