package salvage

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/book/pages"
)

// heard are the play-throughs. They are put one at a time: a sound is large.
func (w *putter) heard() kind {
	return kind{
		name: "heard", shape: heardRow, lost: &w.did.LostHeard, batch: 1,
		read: func(number int64, v []pages.Value) beside {
			h := heardOf(number, v)
			w.played[h.Identity()] = true
			if len(v[1].Bytes) == len(book.Sum{}) { // of a spoilt one
				w.played[book.Sum(v[1].Bytes)] = true
			}
			bare := h // its sound is looked for when it is put
			bare.Kept = false
			return beside{stamp: stamp{h.Added.UnixMicro(), number}, serial: h.Serial, seal: h.Checksum, fault: cmp.Or(h.Intact(), bare.Check())}
		},
		lines: w.heardLines,
		put: func(ctx context.Context, some []beside) error {
			v, err := w.values(some[0].ref)
			if err != nil {
				return err
			}
			h := heardOf(some[0].number, v)
			if h.Kept {
				if h.Sound, err = w.soundOf(&h); err != nil {
					return err
				}
				if h.Kept = h.Sound != nil; !h.Kept {
					h.Checksum = h.Seal()
					w.did.HurtHeard = append(w.did.HurtHeard, archive.BesideFault("heard", h.Number, h.Serial, errSound))
				}
			}
			_, err = w.store.AddHeard(ctx, []book.Heard{h})
			w.did.Heard++
			return err
		},
	}
}

// heardOf takes a play-through's row apart.
func heardOf(number int64, v []pages.Value) book.Heard {
	text := func(i int) string { return string(v[i].Bytes) }
	h := book.Heard{
		Number: number, Serial: text(2), Added: time.UnixMicro(v[4].Int).UTC(), By: text(5), Note: text(6), Program: text(7), Kept: v[9].Int == 1,
	}
	if v[3].Kind == pages.Int {
		h.Played = time.UnixMicro(v[3].Int).UTC()
	}
	copy(h.Recording[:], v[8].Bytes)
	copy(h.Checksum[:], v[11].Bytes)
	if body, err := book.UnsqueezePlayed(v[10].Bytes); err == nil { // else the seal tells
		h.Body = body
	}
	return h
}

// errSound is a play-through that comes back without its recording.
var errSound = errors.New("its recording is gone; its numbers are back")

// soundOf looks for a play-through's recording by its digest: under its number first,
// then everywhere. nil where it is gone.
func (w *putter) soundOf(h *book.Heard) ([]byte, error) {
	for _, rows := range []places{w.rows[readingsRow].of(h.Number), w.rows[readingsRow]} {
		for _, p := range rows {
			for _, ref := range []pages.Ref{p.Ref, p.Below()} {
				sound, err := w.soundAt(ref)
				if err != nil || sound != nil && book.Digest(sound) == h.Recording {
					return sound, err
				}
			}
		}
	}
	return nil, nil
}

// soundAt unpacks a row if it is a recording; nil for one of readings, which looks alike.
func (w *putter) soundAt(r pages.Ref) ([]byte, error) {
	v, err := w.values(r)
	if err != nil || len(v) != 2 || v[1].Kind != pages.Blob {
		return nil, err
	}
	sound, err := book.Unsqueeze(v[1].Bytes, book.MaxSound)
	if err != nil {
		return nil, nil // readings, or damaged
	}
	return sound, nil
}

// heardLines are what two indexes agree on: the number of a play-through, and, where
// the record of that number is back with another time, that there was one.
func (w *putter) heardLines(proved []beside) (lines []beside, err error) {
	ours := map[int64]string{}
	for _, x := range proved {
		ours[x.added] = x.serial
	}
	for _, p := range w.rows[serialRow] {
		if !p.live || p.number <= 0 {
			continue
		}
		x, err := w.serialLine(p)
		if err != nil {
			return nil, err
		}
		if x.added == 0 || w.dated[x.stamp] {
			continue
		}
		sums, err := w.sums(identityRow, 0, p.number)
		if err != nil {
			return nil, err
		}
		unknown := func(sum book.Sum) bool {
			_, record := w.kept[sum]
			_, neck := w.Book.necks[sum]
			return !record && !neck && !slices.Contains(w.neckRows[p.number], sum)
		}
		if (ours[x.added] == x.serial || w.had[p.number]) && slices.ContainsFunc(sums, unknown) {
			lines = append(lines, x)
		}
	}
	return lines, nil
}
