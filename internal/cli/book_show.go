package cli

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/draw"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/sheet"
)

// bookShowOptions are the flags of `book show`, as written.
type bookShowOptions struct {
	record  int64
	play    bool
	picture neckPicture
}

func newBookShowCommand(s *streams, b *bookOptions) *cobra.Command {
	var o bookShowOptions
	c := &cobra.Command{
		Use:   "show SERIAL",
		Short: "Show everything the book has on one neck",
		Long: `show lists a neck's records in the order they were added: verdict, findings, what
the plan takes off, notes, corrections. --record shows one of them in full, as
frets does.`,
		Example: `  ringtrue book show 0412
  ringtrue book show 0412 --record 17 --draw card.pdf
  ringtrue book show 0412 --play`,
		Args: exactly(1, "a serial"),
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("record") && o.record < 1 {
				return inputErrorf("--record: %d is not a record number; use 1 or more", o.record)
			}
			return runBookShow(c.Context(), s, args[0], *b, o)
		},
	}
	f := c.Flags()
	f.Int64Var(&o.record, "record", 0, "show one record in full, by its `NUMBER`")
	f.BoolVar(&o.play, "play", false, "predict how the record plays (default: the latest)")
	o.picture.add(f, "draw the record (default: the latest) into")
	return c
}

func runBookShow(ctx context.Context, s *streams, serial string, b bookOptions, o bookShowOptions) error {
	unit, paper, err := o.picture.settle(s.inches)
	if err != nil {
		return err
	}
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		shown, err := o.gather(ctx, st, serial)
		if err != nil {
			return err
		}
		if err := drawInto(o.picture.draw, func() (*draw.Page, error) {
			return sheet.Frets(shown.judged.Frets, shown.judged.Layout, paper, unit.sheet)
		}); err != nil {
			return err
		}
		err = s.say(b.json, shown.answer, func() {
			bookShowText{out: s.out, unit: unit, shown: shown, one: o.record != 0, colour: s.colour}.print()
			s.drawn(o.picture.draw)
		})
		if err != nil {
			return err
		}
		return shown.damage(st.Where())
	})
}

// shownNeck is what there is to show of a neck.
type shownNeck struct {
	answer *answer.BookShowAnswer
	record answer.BookRecord // the one that is drawn, played or shown whole
	judged *answer.Judged    // its files; nil where none was asked for
}

// gather reads what is asked for.
func (o bookShowOptions) gather(ctx context.Context, st book.Store, serial string) (n shownNeck, err error) {
	if o.record == 0 {
		if n.answer, err = answer.BookShow(ctx, st, serial); err != nil {
			return n, err
		}
	}
	if o.record == 0 && !o.play && o.picture.draw == "" {
		return n, nil
	}
	if n.record, n.judged, err = answer.BookOpen(ctx, st, serial, o.record); err != nil {
		return n, err
	}
	if n.answer == nil {
		n.answer = &answer.BookShowAnswer{Serial: serial, Model: n.record.Model, Records: []answer.BookRecord{n.record}}
		if n.judged != nil {
			n.answer.Answer = n.judged.Frets
		}
	}
	switch {
	case n.judged != nil:
	case o.play || o.picture.draw != "":
		return n, inputErrorf("record %d cannot be drawn or played: %s", n.record.Record, n.record.Fault)
	}
	if o.play {
		n.answer.Play, err = answer.Play(ctx, answer.PlayRequest{Model: n.judged.Model, Layout: n.judged.Layout, Readings: n.judged.Readings, Read: true})
	}
	return n, inRecord(n.record, err)
}

// inRecord says of faults that name a key in which record's neck file it stands.
func inRecord(r answer.BookRecord, err error) error {
	var faults fileerr.List
	if !errors.As(err, &faults) {
		return err
	}
	out := append(fileerr.List(nil), faults...)
	for i := range out {
		if out[i].File == "" {
			out[i].File = fmt.Sprintf("record %d, %s", r.Record, r.Neck)
		}
	}
	return out
}

// damage ends a call that showed a record which is not what was recorded.
func (n shownNeck) damage(where string) error {
	for _, r := range n.answer.Records {
		if r.Damaged {
			return failuref("%s: record %d is damaged; see ringtrue book check", where, r.Record)
		}
	}
	return nil
}
