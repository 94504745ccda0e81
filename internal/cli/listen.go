package cli

import (
	"errors"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
)

// maxWAVBytes is more than a quarter of an hour in stereo.
const maxWAVBytes = 256 << 20

// listenOptions are the flags of `listen`, as written.
type listenOptions struct {
	json, all      bool
	strings, learn string
	from, to       int
	a4             float64
	book           listenBook
}

func newListenCommand(s *streams) *cobra.Command {
	var o listenOptions
	c := &cobra.Command{
		Use:   "listen [NECK] RECORDING.wav",
		Short: "Listen to a neck played through: cents, ring, strings",
		Long: `listen finds the notes of a recording and names them by the order they were played
in. It says how far each is from equal temperament, and how far to move saddle and
nut for that. It names notes that die early, and says what the strings sound like.

Play each open string and every fret, the bass string first, one note a second or
slower; two seconds if you want the ring. Damp the other strings. You may leave out
what you like: a note left out, played twice or played wrong does no harm. Record as
WAV, 16 bit or more, any rate, in a quiet room, with noise suppression and automatic
level off.

With --serial the neck is one in the book: listen says what has changed since it was
first heard, and --keep saves what was heard with it.

It never says whether a note buzzes: sound alone does not show it reliably.`,
		Example: `  ringtrue listen heron.toml played.wav
  ringtrue listen heron.toml treble.wav --strings 2,1 --from 12
  ringtrue listen heron.toml played.wav --learn strings.toml
  ringtrue play heron.toml --set strings.toml --wav note.wav --string 6 --fret 3
  ringtrue listen --serial 0412 played.wav --keep --by Ines`,
		Args: o.book.args,
		RunE: func(c *cobra.Command, args []string) error { return runListen(c, s, args, o) },
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.StringVar(&o.strings, "strings", "", "strings played, in order: `LIST`, such as 2,1 (default: last to first)")
	f.IntVar(&o.from, "from", 0, "each string's first `FRET`; 0 is the open string")
	f.IntVar(&o.to, "to", -1, "each string's last `FRET` (default the neck's last)")
	f.Float64Var(&o.a4, "a4", 0, "pitch of A4 in `HZ` (default 440)")
	f.StringVar(&o.learn, "learn", "", "write the strings as heard into `FILE` (.toml), for play --set")
	o.book.add(c)
	return c
}

func runListen(c *cobra.Command, s *streams, args []string, o listenOptions) error {
	m, l, name, err := s.listenNeck(c.Context(), args, o.book)
	if err != nil {
		return err
	}
	wav := args[len(args)-1]
	var r answer.ListenRequest
	r.Model, r.Layout, r.From, r.To, r.A4Hz = m, l, o.from, o.to, o.a4
	if r.Strings, err = stringList(o.strings); err != nil {
		return err
	}
	switch {
	case c.Flags().Changed("a4") && o.a4 <= 0:
		return inputErrorf("--a4: %g Hz is not a pitch; use 200 to 900", o.a4)
	case c.Flags().Changed("to") && o.to < 0:
		return inputErrorf("--to: %d is not a fret; use 0 or more", o.to)
	}
	if r.WAV, err = s.readFile(wav, "recording", maxWAVBytes); err != nil {
		return err
	}
	tell, end := s.progress("listening")
	a, err := answer.Listen(c.Context(), r, tell)
	end()
	var file answer.ErrRecording
	if errors.As(err, &file) {
		return inputErrorf("%s: %w", shown(wav), file)
	}
	if err != nil {
		return placed(name, "", err)
	}
	if o.learn != "" {
		if err := learn(a, r, o.learn); err != nil {
			return err
		}
	}
	if err := s.listenBook(c.Context(), a, r.WAV, o.book); err != nil {
		return err
	}
	return s.say(o.json, a, func() {
		s.short = !o.all
		listenText{out: s.out, answer: a, learned: o.learn, colour: s.colour, all: o.all}.print()
		if a.Fits {
			s.more("the nut, every note, what tune predicts, and the strings")
		}
	})
}

// learn writes the strings as heard.
func learn(a *answer.ListenAnswer, r answer.ListenRequest, file string) error {
	set, err := a.Learned(r)
	if err != nil {
		return inputErrorf("--learn: %w", err)
	}
	return writeFile(file, []byte(set))
}

// stringList reads string numbers in order.
func stringList(list string) (numbers []int, err error) {
	if strings.TrimSpace(list) == "" {
		return nil, nil
	}
	for _, part := range strings.Split(list, ",") {
		n, err := strconv.Atoi(strings.TrimSpace(part))
		if err != nil {
			return nil, inputErrorf("--strings: %q is not a string's number; write it like 2,1", part)
		}
		numbers = append(numbers, n)
	}
	return numbers, nil
}
