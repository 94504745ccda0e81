package booktest

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
)

// Played is a play-through of a neck of three strings: left is what the best saddle
// leaves in cents, ring how long the open strings ring; higher frets ring shorter.
func Played(serial string, left, ring float64) book.Heard {
	h := book.Heard{Serial: serial, Program: "1.0", Recording: book.Digest([]byte(serial))}
	p := book.Played{Neck: "Heron 22", A4Hz: 440, Wanted: 18}
	for s := 1; s <= 3; s++ {
		p.Strings = append(p.Strings, book.HeardString{String: s, Frets: 5, SaddleMM: num.Some(0.1), USaddleMM: num.Some(0.05), LeftCents: num.Some(left)})
		for f := range 6 {
			p.Notes = append(p.Notes, book.HeardNote{String: s, Fret: f, Cents: float64(f) / 4, UCents: 0.1, CentsAtS: [2]float64{0.25, 0.75}, RingS: num.Some(ring / float64(1+f))})
		}
	}
	if err := h.Write(p); err != nil {
		panic(err) // a struct of numbers
	}
	return h
}

// KeepHeard keeps a play-through with its sound.
func KeepHeard(t *testing.T, s book.Store) book.Heard {
	t.Helper()
	h := Played("0412", 1, 2)
	h.Kept, h.Sound = true, []byte("RIFF")
	h.Recording = book.Digest(h.Sound)
	if _, err := s.AddHeard(context.Background(), []book.Heard{h}); err != nil {
		t.Fatal(err)
	}
	return h
}

func eachHeard(t *testing.T, s book.Store, serial string) []book.Heard {
	t.Helper()
	all, err := book.HeardOn(context.Background(), s, serial)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// testHeard: a play-through comes back as it was heard, sealed, in order, with its number
// and time where it comes from another book; the same one twice is one; a sound comes
// back byte for byte.
func testHeard(t *testing.T, s book.Store, clock *Clock) {
	ctx := context.Background()
	with := Played("0412", 1.2, 3)
	with.By, with.Note, with.Played, with.Kept = "Ines", "new strings, Ørjan played", clock.At.Add(-48*time.Hour), true
	with.Sound = make([]byte, 1<<17)
	r := rand.New(rand.NewPCG(1, 2))
	for i := range with.Sound {
		with.Sound[i] = byte(r.IntN(64))
	}
	with.Recording = book.Digest(with.Sound)
	first := must[[]book.HeardReceipt](t)(s.AddHeard(ctx, []book.Heard{with, Played("0413", 2, 2)}))
	if len(first) != 2 || !first[0].New || first[0].Number != 1 || first[1].Number != 2 {
		t.Fatalf("%+v", first)
	}
	clock.At = clock.At.Add(-time.Hour) // a clock set back keeps the order
	other := Played("0414", 1, 1)
	other.Added, other.Number = clock.At.Add(-time.Hour), 7
	later := must[[]book.HeardReceipt](t)(s.AddHeard(ctx, []book.Heard{other, Played("0412", 1.4, 2.5)}))
	if later[0].Number != 7 || !later[0].Added.Equal(other.Added) || later[1].Number != 8 || !later[1].Added.After(first[0].Added) {
		t.Errorf("%+v", later)
	}
	all := eachHeard(t, s, "0412")
	if len(all) != 2 || all[0].By != "Ines" || all[0].Note != with.Note || !all[0].Played.Equal(with.Played) || all[0].Program != "1.0" ||
		all[0].Recording != with.Recording || !all[0].Kept || !bytes.Equal(all[0].Body, with.Body) || all[1].Kept || !all[1].When().Equal(all[1].Added) {
		t.Fatalf("%+v", all)
	}
	if sound, err := s.HeardSound(ctx, 1); err != nil || !bytes.Equal(sound, with.Sound) {
		t.Errorf("%d bytes of sound, %v", len(sound), err)
	}
	if _, err := s.HeardSound(ctx, 2); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("a sound that was not kept: %v", err)
	}
	all[0].Sound = with.Sound
	again := must[[]book.HeardReceipt](t)(s.AddHeard(ctx, append(all, with, other, Played("0413", 2, 2))))
	for i, r := range again {
		if r.New {
			t.Errorf("play-through %d is there twice", i)
		}
	}
}

// testUnfitHeard: of play-throughs of which one is unfit none is kept.
func testUnfitHeard(t *testing.T, s book.Store, clock *Clock) {
	for name, spoil := range map[string]func(h *book.Heard){
		"no serial": func(h *book.Heard) { h.Serial = "" }, "a path": func(h *book.Heard) { h.Serial = "a/b" }, "two lines": func(h *book.Heard) { h.Note = "two\nlines" },
		"no numbers": func(h *book.Heard) { h.Body = nil }, "no notes": func(h *book.Heard) { h.Body = []byte(`{"notes":[]}`) },
		"no sound": func(h *book.Heard) { h.Kept = true }, "another sound": func(h *book.Heard) { h.Kept, h.Sound = true, []byte("RIFF") },
	} {
		bad := Played("0412", 1, 2)
		spoil(&bad)
		if _, err := s.AddHeard(context.Background(), []book.Heard{Played("0413", 1, 2), bad}); !errors.Is(err, book.ErrEntry) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if all := eachHeard(t, s, ""); len(all) > 0 {
		t.Errorf("%d are there", len(all))
	}
}

// testHeardFigures: what was heard is charted, each neck by its latest play-through, by
// the tags of its records; many are read as a few.
func testHeardFigures(t *testing.T, s book.Store, clock *Clock) {
	ctx := context.Background()
	var heard []book.Heard
	const necks = 70 // more than are read at once
	for n := range necks {
		e := Entry(n, "seated", 1)
		e.Tags = book.Tags{"wood": []string{"ash", "elm"}[n%2]}
		add(t, s, e)
		old := Played(e.Serial, 9, 9)
		old.Played = clock.At.Add(-time.Hour * time.Duration(1000-n))
		now := Played(e.Serial, 1+float64(n)/100, 2+float64(n%2))
		now.Played = clock.At.Add(time.Hour * time.Duration(n-necks))
		heard = append(heard, old, now)
	}
	must[[]book.HeardReceipt](t)(s.AddHeard(ctx, heard))
	for of, want := range map[string][2]float64{"cents": {1, 1.01}, "ring": {0.8, 1.2}} {
		f, err := book.ParseFigure(of, nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		got, err := book.SeriesOf(ctx, s, book.Query{Figure: f, By: "wood"})
		if err != nil {
			t.Fatal(err)
		}
		p := got.Points
		if len(p) != necks || !near(p[0].Value, want[0]) || !near(p[1].Value, want[1]) || p[0].Tags["wood"] != "ash" || p[1].Tags["wood"] != "elm" || got.Notes[0] != (book.Note{Why: book.HeardEarlier, N: necks}) {
			t.Fatalf("%s: %d points, %+v, %+v", of, len(p), p[:2], got.Notes)
		}
		picked, err := book.SeriesOf(ctx, s, book.Query{Figure: f, Filter: book.Filter{Tags: book.Tags{"wood": "elm"}, Since: clock.At.Add(-10*time.Hour - time.Minute)}})
		if err != nil || len(picked.Points) != 5 {
			t.Errorf("%s of elm in ten hours: %d points, %v", of, len(picked.Points), err)
		}
		if _, err := book.SeriesOf(ctx, s, book.Query{Figure: f, Filter: book.Filter{Model: "none"}}); !errors.Is(err, book.ErrNotFound) {
			t.Errorf("%s of no model: %v", of, err)
		}
	}
}

func near(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }
