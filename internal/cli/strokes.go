package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"regexp"
	"slices"

	"github.com/spf13/pflag"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/geometry"
	"ringtrue/internal/hand"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// maxStrokesBytes is more than any file of strokes has.
const maxStrokesBytes = 1 << 20

// strokesFlag adds --strokes to a command's flags.
func strokesFlag(f *pflag.FlagSet, at *string) {
	f.StringVar(at, "strokes", "", "what was done, such as \"file 7: 40; beam 10-22: 120\", or a `FILE`")
}

// strokes reads what was done, typed or from a file; nothing where nothing is said.
func (s *streams) strokes(said string) (hand.Strokes, error) {
	if said == "" {
		return nil, nil
	}
	if typed := regexp.MustCompile(`:\s*\d|[;:]\s|^\s*(file|beam|block|press|replace)\s`).MatchString(said); typed {
		all, err := hand.Parse(said)
		if err != nil {
			return nil, inputErrorf("--%w", err)
		}
		return all, nil
	}
	data, err := s.readFile(said, "strokes", maxStrokesBytes)
	if err != nil {
		return nil, err
	}
	return hand.Read(shown(said), bytes.NewReader(data))
}

// onNeck holds what was done against a neck's frets and lanes.
func onNeck(all hand.Strokes, l *geometry.Layout) error {
	if err := all.Check(l.FirstFret(), l.LastFret(), l.Strings()); err != nil {
		return inputErrorf("--%w", err)
	}
	return nil
}

// handOptions are the flags of `frets` that say what was done, by whom, and ask how
// long it takes.
type handOptions struct {
	strokes, by string
	minutes     bool
}

func (o *handOptions) add(f *pflag.FlagSet) {
	strokesFlag(f, &o.strokes)
	f.StringVar(&o.by, "by", "", "the operator: `NAME` in the book, for strokes and flats")
	f.BoolVar(&o.minutes, "minutes", false, "say how long the work takes, and what to quote")
}

// learned fills in who files, from the book where there is one: with --by, --serial or
// --book, and with --minutes alone no more than the times. Other calls open no book.
func (s *streams) learned(ctx context.Context, o fretsOptions, r *answer.FretsRequest) (err error) {
	if o.from.where == "" && o.hand.by == "" && !o.hand.minutes && o.from.serial == "" {
		return nil
	}
	err = s.withBook(ctx, o.from.where, false, func(b book.Store) error {
		k, _, err := answer.HandOf(ctx, b, o.hand.by, answer.EachOf(r.Model, r.Shop))
		if o.hand.by+o.from.serial+o.from.where == "" { // --minutes alone changes no plan
			k = k.TimesOnly()
		}
		r.Hand = &k
		return err
	})
	if errors.Is(err, book.ErrNoBook) && o.from.where == "" {
		return nil
	}
	return err
}

// handNotes says what the book's hand changes in the plan.
func handNotes(w io.Writer, a *answer.FretsAnswer, o fretsOptions, k *hand.Known) {
	switch {
	case k == nil:
		return
	case o.hand.by != "" && !slices.Contains(k.Hands, o.hand.by):
		wrap(w, "", text.NoStrokesBy(unit.Quote(o.hand.by), k.Hands))
	case k.Several() && o.from.where != "":
		wrap(w, "", text.SeveralHands(k.Hands))
	}
	if a.Hand != nil && a.Hand.Flats != nil && a.Hand.Flats.Corrected {
		wrap(w, "", text.FlatsEnd(a.Hand.Flats.DeeperPct, a.Hand.Flats.UPct, a.Hand.Flats.Flats, true))
	}
}

// strokesOf reads what was done into an entry's tags, from --strokes or a tag.
func (s *streams) strokesOf(e *book.Entry, said string) (hand.Strokes, error) {
	tagged := e.Tags[book.StrokesTag]
	if tagged != "" && said != "" {
		return nil, inputErrorf("--strokes and --tag strokes say the same; give one of them")
	}
	all, err := s.strokes(said)
	if tagged != "" {
		if all, err = hand.Parse(tagged); err != nil {
			return nil, inputErrorf("--tag %w", err)
		}
	}
	if minutes := e.Tags[book.MinutesTag]; err == nil && minutes != "" {
		if v, wrong := unit.Number(minutes); wrong != nil || v <= 0 {
			return nil, inputErrorf("--tag minutes: %s is not a number of minutes; write minutes=95", unit.Quote(minutes))
		}
	}
	if err == nil && len(all) > 0 {
		e.Tags[book.StrokesTag] = all.Text()
	}
	return all, err
}

// strokesKept says where a record that was there already has other strokes.
func (s *streams) strokesKept(ctx context.Context, st book.Store, a book.Added, want string) error {
	if a.New || want == "" {
		return nil
	}
	r, err := st.Record(ctx, a.Record)
	if err == nil && r.Tags[book.StrokesTag] != want {
		return inputErrorf("record %d has other strokes; correct it with --corrects %d --by NAME --why \"strokes\"", a.Record, a.Record)
	}
	return err
}
