package cli

import (
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/unit"
)

// wavOptions are the flags of `play --wav`, as written.
type wavOptions struct {
	file, pickup string
	seconds      float64
	compare, all bool
}

// addWavFlags adds the flags of `play --wav`.
func addWavFlags(c *cobra.Command, o *wavOptions) {
	f := c.Flags()
	f.StringVar(&o.file, "wav", "", "write the note of --string and --fret into `FILE` (.wav)")
	f.BoolVar(&o.compare, "compare", false, "with --wav: the note as read, a pause, and as planned")
	f.BoolVar(&o.all, "all-notes", false, "with --wav: every note in turn; those not clear on the right")
	f.Float64Var(&o.seconds, "seconds", 0, "with --wav: `S` for each note (default 3; 0.4 with --all-notes)")
	f.StringVar(&o.pickup, "pickup", "", "with --wav: speed at `PLACE`, \"150 mm from the saddle\", not saddle force")
}

// by is the flag that asks for one note, "" where none does.
func (o wavOptions) by() string {
	if o.file != "" && !o.all {
		return "wav"
	}
	return ""
}

// check refuses flags that do not go together.
func (o wavOptions) check(c *cobra.Command) error {
	if o.file == "" {
		for _, name := range []string{"compare", "all-notes", "seconds", "pickup"} {
			if c.Flags().Changed(name) {
				return inputErrorf("--%s says what to hear; add --wav FILE", name)
			}
		}
		return nil
	}
	if strings.ToLower(filepath.Ext(o.file)) != ".wav" {
		return inputErrorf("--wav: %s: end the file's name in .wav", o.file)
	}
	for _, name := range []string{"draw", "check", "bend", "tune"} {
		if c.Flags().Changed(name) {
			return inputErrorf("--%s does not go with --wav", name)
		}
	}
	switch {
	case o.compare && o.all:
		return inputErrorf("--compare is for one note; leave out --all-notes, or write two files, one with --as-planned")
	case o.compare && c.Flags().Changed("as-planned"):
		return inputErrorf("--compare has both, before and after; leave out --as-planned")
	case o.all && (c.Flags().Changed("string") || c.Flags().Changed("fret")):
		return inputErrorf("--all-notes takes every string and fret; leave out --string and --fret")
	case c.Flags().Changed("seconds") && !(o.seconds > 0):
		return inputErrorf("--seconds: %g s must be 0.1 or more", o.seconds)
	}
	return nil
}

// fromSaddle reads "150 mm from the saddle".
func (o wavOptions) fromSaddle() (float64, error) {
	if o.pickup == "" {
		return 0, nil
	}
	size := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(o.pickup), "from the saddle"))
	return flagSize("pickup", unit.Length, size, 1, 2000)
}

// runWav answers `play --wav`.
func runWav(c *cobra.Command, s *streams, neckFile string, o playOptions, play answer.PlayRequest) error {
	r := answer.SoundRequest{PlayRequest: play, Note: o.note.NoteChoice, Seconds: o.wav.seconds}
	var err error
	if r.PickupMM, err = o.wav.fromSaddle(); err != nil {
		return err
	}
	var a *answer.SoundAnswer
	var data []byte
	switch {
	case o.wav.all:
		tell, end := s.progress("listening")
		a, data, err = answer.SoundAll(c.Context(), r, tell)
		end()
	case o.wav.compare:
		a, data, err = answer.SoundCompare(c.Context(), r)
	default:
		a, data, err = answer.Sound(c.Context(), r)
	}
	if err != nil {
		return placed(neckFile, o.set, err)
	}
	if err := writeFile(o.wav.file, data); err != nil {
		return err
	}
	return s.say(o.json, a, wavText{out: s.out, answer: a, file: o.wav.file, colour: s.colour}.print)
}
