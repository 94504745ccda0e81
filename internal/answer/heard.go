package answer

import (
	"context"
	"slices"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/listen"
	"ringtrue/internal/text"
)

// HeardKept says how a play-through is kept in the book.
type HeardKept struct {
	Heard  int64     `json:"heard"`
	Serial string    `json:"serial"`
	New    bool      `json:"new"` // false: it was there already
	Added  time.Time `json:"added"`
	Sound  bool      `json:"sound_kept"`
}

// HeardSince is what has changed since an earlier play-through.
type HeardSince struct {
	Heard int64     `json:"heard"` // that one
	On    time.Time `json:"on"`
	listen.Changes
	Says []string `json:"says"`
}

// HeardEntry is a play-through in the book.
type HeardEntry struct {
	Number  int64     `json:"heard"`
	On      time.Time `json:"on"`
	Added   time.Time `json:"added"`
	By      string    `json:"by,omitempty"`
	Note    string    `json:"note,omitempty"`
	Program string    `json:"program"`
	book.HeardFigures
	Sound bool   `json:"sound_kept"`
	Says  string `json:"says"`
}

// KeepRequest is how a play-through is to be kept.
type KeepRequest struct {
	Serial, By, Note, Program string
	Played                    time.Time // zero: today
	Sound                     bool      // keep the recording too
}

// Compare adds what has changed since an earlier play-through of the neck: the first, or
// as book.HeardSince has it. The same recording is none.
func (a *ListenAnswer) Compare(ctx context.Context, s book.Hearings, serial, since string, wav []byte) error {
	all, err := book.HeardOn(ctx, s, serial)
	if err != nil {
		return err
	}
	same := book.Digest(wav)
	all = slices.DeleteFunc(all, func(h book.Heard) bool { return since == "" && h.Recording == same })
	then, err := book.HeardSince(all, since)
	if err != nil || then == nil {
		return err
	}
	a.Since, err = sinceOf(then, a.Played())
	return err
}

func sinceOf(then *book.Heard, now book.Played) (*HeardSince, error) {
	was, err := then.Read()
	if err != nil {
		return nil, err
	}
	c := listen.Since(was, now)
	return &HeardSince{Heard: then.Number, On: then.When(), Changes: c, Says: text.HeardChanges(c)}, nil
}

// Keep puts what was heard into the book. book.ErrEntry: it is not fit.
func (a *ListenAnswer) Keep(ctx context.Context, s book.Hearings, k KeepRequest, wav []byte) error {
	h := book.Heard{Serial: k.Serial, By: k.By, Note: k.Note, Program: k.Program, Played: k.Played, Recording: book.Digest(wav)}
	if k.Sound {
		h.Kept, h.Sound = true, wav
	}
	if err := h.Write(a.Played()); err != nil {
		return err
	}
	if err := h.Typed(); err != nil {
		return err
	}
	got, err := s.AddHeard(ctx, []book.Heard{h})
	if err != nil {
		return err
	}
	a.Kept = &HeardKept{Heard: got[0].Number, Serial: k.Serial, New: got[0].New, Added: got[0].Added, Sound: k.Sound}
	return nil
}

// heard adds what was heard of the neck, and how the last differs from the first.
func (a *BookShowAnswer) heard(ctx context.Context, s book.Hearings) error {
	all, err := book.HeardOn(ctx, s, a.Serial)
	if err != nil {
		return err
	}
	var last book.Played
	for i := range all {
		h := &all[i]
		if last, err = h.Read(); err != nil {
			return err
		}
		e := HeardEntry{Number: h.Number, On: h.When(), Added: h.Added, By: h.By, Note: h.Note, Program: h.Program, HeardFigures: last.Figures(), Sound: h.Kept}
		e.Says = text.HeardLine(e.HeardFigures, e.Sound)
		a.Heard = append(a.Heard, e)
	}
	if len(all) > 1 {
		a.Since, err = sinceOf(&all[0], last)
	}
	return err
}
