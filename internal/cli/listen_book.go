package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/text"
)

// listenBook are the flags of `listen` that are of a neck in the book.
type listenBook struct {
	serial, stage, where, since string
	by, note, date              string
	keep, sound                 bool
}

func (o *listenBook) add(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.serial, "serial", "", "take the neck from the book, by its `SERIAL`, in place of a file")
	f.StringVar(&o.stage, "stage", "", "with --serial: the stage to take (default: the latest record)")
	f.StringVar(&o.since, "since", "", "with --serial: compare with `HEARD`, a number or date (default: first)")
	f.BoolVar(&o.keep, "keep", false, "with --serial: save what was heard in the book")
	f.BoolVar(&o.sound, "sound", false, "with --keep: save the recording too")
	f.StringVar(&o.by, "by", "", "with --keep: who played")
	f.StringVar(&o.note, "note", "", "with --keep: a note, such as new strings")
	f.StringVar(&o.date, "date", "", "with --keep: when it was played, such as 2026-03-02")
	bookFlag(f, &o.where)
}

// args wants a neck file and a recording, or a serial and a recording.
func (o *listenBook) args(c *cobra.Command, args []string) error {
	needs := map[string]string{"stage": "serial", "since": "serial", "keep": "serial", "book": "serial", "sound": "keep", "by": "keep", "note": "keep", "date": "keep"}
	for _, flag := range []string{"stage", "since", "keep", "book", "sound", "by", "note", "date"} {
		if c.Flags().Changed(flag) && !c.Flags().Changed(needs[flag]) {
			return inputErrorf("--%s: add --%s", flag, needs[flag])
		}
	}
	switch {
	case !c.Flags().Changed("serial") && len(args) != 2:
		return inputErrorf("listen takes a neck file and a recording; see ringtrue listen --help")
	case c.Flags().Changed("serial") && o.serial == "":
		return inputErrorf("--serial: of which neck? write --serial 0412")
	case c.Flags().Changed("serial") && len(args) != 1:
		return inputErrorf("listen --serial takes one recording; the neck file is the book's")
	}
	return nil
}

// listenNeck is the neck that was played, and what messages call it.
func (s *streams) listenNeck(ctx context.Context, args []string, o listenBook) (m neck.Model, l *geometry.Layout, name string, err error) {
	if o.serial == "" {
		m, l, err = s.loadNeck(args[0])
		return m, l, args[0], err
	}
	if _, err := o.played(); err != nil {
		return m, l, "", err
	}
	from, err := s.sourceOfBook(ctx, fromBook{serial: o.serial, stage: o.stage, where: o.where})
	return from.model, from.layout, from.inFaults, err
}

// played is the day given, zero where there is none.
func (o listenBook) played() (time.Time, error) {
	t, err := flagDay("date", o.date)
	if err == nil && t.After(time.Now()) {
		err = inputErrorf("--date: %s is still to come", o.date)
	}
	return t, err
}

// listenBook compares what was heard of a neck in the book, and keeps it.
func (s *streams) listenBook(ctx context.Context, a *answer.ListenAnswer, wav []byte, o listenBook) error {
	if o.serial == "" {
		return nil
	}
	if !a.Fits {
		if o.keep {
			return inputErrorf("--keep: nothing is saved: these are not this neck's notes in this order")
		}
		return nil
	}
	played, err := o.played()
	if err != nil {
		return err
	}
	return s.withBook(ctx, o.where, false, func(b book.Store) error {
		if err := a.Compare(ctx, b, o.serial, o.since, wav); err != nil {
			return sinceError(err)
		}
		if !o.keep {
			return nil
		}
		return a.Keep(ctx, b, answer.KeepRequest{Serial: o.serial, By: o.by, Note: o.note, Program: Version(), Played: played, Sound: o.sound}, wav)
	})
}

// sinceError turns a play-through that is not there into a fault of the call.
func sinceError(err error) error {
	if errors.Is(err, book.ErrNotFound) || errors.Is(err, book.ErrEntry) {
		return inputErrorf("--since: %w", err)
	}
	return err
}

// heardSince prints what has changed since a play-through.
func heardSince(w io.Writer, h *answer.HeardSince) {
	if h == nil {
		return
	}
	fmt.Fprintln(w, text.HeardHead(h.Heard, h.On))
	for _, line := range h.Says {
		wrap(w, "  ", line)
	}
}

// heard prints what was heard of a neck, the first to the last.
func (t bookShowText) heard() {
	a := t.shown.answer
	for _, h := range a.Heard {
		fmt.Fprintf(t.out, "\nheard %d  %s\n", h.Number, h.On.Format(time.DateOnly))
		wrap(t.out, "  ", h.Says)
		if h.By != "" {
			wrap(t.out, "  ", "by "+printable(h.By))
		}
		if h.Note != "" {
			wrap(t.out, "  ", "note: "+printable(h.Note))
		}
	}
	if a.Since != nil {
		fmt.Fprintln(t.out)
		heardSince(t.out, a.Since)
	}
}
