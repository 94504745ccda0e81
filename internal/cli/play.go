package cli

import (
	"errors"
	"os"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/neck"
	"ringtrue/internal/sheet"
	"ringtrue/internal/text"
)

// playOptions are the flags of `play`.
type playOptions struct {
	json, check, planned, all bool
	draw, set                 string
	a4, bend                  float64
	capo                      int
	note                      noteChoice
	tune                      tuneOptions
	wav                       wavOptions
	study                     studyOptions
	see                       filmOptions
	from                      fromBook
}

func newPlayCommand(s *streams) *cobra.Command {
	var o playOptions
	c := &cobra.Command{
		Use:   "play NECK [READINGS]",
		Short: "Predict which notes buzz and how low the action can go",
		Long: `play follows every string over the crowns beyond its stop, at every fret,
plucked as the touches in the neck file say. It predicts which notes buzz, where
and how badly, how low the action can go, and what would cure it with the least
metal.

Without READINGS the crowns are perfect. READINGS may be - for standard input.
--serial takes neck and readings from the book.`,
		Example: `  ringtrue play heron.toml heron-seated.csv
  ringtrue play heron.toml heron-seated.csv --as-planned --check
  ringtrue play heron.toml --set low-tuning.toml --capo 2
  ringtrue play heron.toml heron-seated.csv --bend 2 --draw notes.pdf
  ringtrue play heron.toml --study zone=0.01..0.08 --draw study.pdf
  ringtrue play heron.toml heron-seated.csv --string 1 --fret 6 --film pluck.svg
  ringtrue play --serial 0412 --stage levelled`,
		Args: o.from.orFiles(func(_ *cobra.Command, args []string) error {
			if len(args) != 1 && len(args) != 2 {
				return inputErrorf("play takes a neck file, and a readings file if you have one; see ringtrue play --help")
			}
			return nil
		}),
		RunE: func(c *cobra.Command, args []string) error { return runPlay(c, s, args, o) },
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.BoolVar(&o.check, "check", false, "exit 1 if a note buzzes, chokes or can't be judged at setup.judge_by")
	f.BoolVar(&o.planned, "as-planned", false, "judge the neck as the plan from frets will leave it")
	f.StringVar(&o.draw, "draw", "", "draw the notes into `FILE` (.svg, .pdf or .png)")
	f.StringVar(&o.set, "set", "", "try the strings, or tuning, of this `FILE` with a [strings] table")
	f.Float64Var(&o.a4, "a4", 0, "pitch of A4 in `HZ` (default 440)")
	f.IntVar(&o.capo, "capo", 0, "put a capo behind this `FRET`")
	f.Float64Var(&o.bend, "bend", 0, "bend every note by `SEMITONES`, across the board")
	addNoteFlags(c, &o.note)
	addTuneFlags(c, &o.tune)
	addWavFlags(c, &o.wav)
	addStudyFlags(c, &o.study)
	addFilmFlags(c, &o.see)
	o.from.add(c)
	return c
}

func runPlay(c *cobra.Command, s *streams, args []string, o playOptions) error {
	if o.draw != "" {
		if _, err := pictureKind(o.draw); err != nil {
			return err
		}
	}
	for _, fault := range []error{o.study.check(c, len(args), o.from.serial != ""), o.wav.check(c), o.see.check(c),
		o.note.check(c, o.wav.by()+o.see.by()), o.tune.check(c)} {
		if fault != nil {
			return fault
		}
	}
	from, err := s.source(c.Context(), o.from, args)
	if err != nil {
		return err
	}
	r := answer.PlayRequest{Model: from.model, Layout: from.layout, Readings: from.readings, Read: from.read, A4Hz: o.a4, Capo: o.capo, Bend: o.bend, Planned: o.planned}
	if o.planned {
		if r.Shop, err = s.shopFor(o.from.where, from.layout); err != nil {
			return err
		}
	}
	if c.Flags().Changed("a4") && o.a4 <= 0 {
		return inputErrorf("--a4: %g Hz must be 200 to 900", o.a4)
	}
	if o.set != "" {
		data, err := s.readFile(o.set, "set", maxNeckBytes)
		if err != nil {
			return err
		}
		if r.Set, r.Damping, err = neck.ParseSet(o.set, data); err != nil {
			return err
		}
	}
	if o.tune.asked {
		return runTune(c, s, from.inFaults, o, r)
	}
	if o.wav.file != "" {
		return runWav(c, s, from.inFaults, o, r)
	}
	if o.see.by() != "" {
		return runFilm(c, s, from.inFaults, o, r)
	}
	if o.study.what != "" {
		return runStudy(c, s, from.inFaults, r, o)
	}
	a, err := answer.Play(c.Context(), r)
	if err != nil {
		return placed(from.inFaults, o.set, err)
	}
	if err := drawInto(o.draw, func() (*draw.Page, error) { return sheet.Play(a, s.sheetUnits()) }); err != nil {
		return err
	}
	err = s.say(o.json, a, func() {
		playText{out: s.out, answer: a, colour: s.colour, touches: from.model.Setup.Touch, all: o.all}.print()
		s.short = !o.all
		s.drawn(o.draw)
		s.nextAfterPlay(from, o)
		s.more(text.PlayMore(len(a.Assumed)))
	})
	if err == nil && o.check && !a.Passed() {
		err = errCheckFailed
	}
	return err
}

// placed says of each fault that names a key where in which file the key stands.
func placed(neckFile, setFile string, err error) error {
	var faults fileerr.List
	if !errors.As(err, &faults) {
		return err
	}
	out := append(fileerr.List(nil), faults...)
	for i := range out {
		if out[i].File != "" {
			continue
		}
		out[i].File = neckFile
		if setFile != "" && out[i].Key == "strings.set" {
			out[i].File = setFile
		}
		if data, err := os.ReadFile(out[i].File); err == nil { // gone or a pipe: no line
			out[i].Line = neck.Line(data, out[i].Key)
		}
	}
	return out
}
