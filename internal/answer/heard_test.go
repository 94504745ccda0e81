package answer

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/heard"
	"ringtrue/internal/listen"
	"ringtrue/internal/num"
	"ringtrue/internal/tune"
)

// heardReport is a neck of six strings as heard, every note in tune and ringing 2 s.
func heardReport() *ListenAnswer {
	a := &ListenAnswer{Report: listen.Report{Neck: "Heron 22", A4Hz: 440, Fits: true, Expected: 138, Heard: 138}}
	for s := 1; s <= 6; s++ {
		for f := range 23 {
			n := listen.Note{String: s, Fret: f, Note: heard.Note{Hz: 300, HzAtS: [2]float64{0.25, 0.75}, UCents: 0.12345, RingS: num.Some(2), Inharmonicity: num.Some(1.234567e-4), Decays: []heard.Decay{{Hz: 300, RatePerS: 3.14159}}}}
			a.Notes = append(a.Notes, n)
		}
		a.Strings = append(a.Strings, listen.String{String: s, Saddle: &tune.Moves{SaddleMM: 0.1, USaddleMM: 0.1, LeftCents: 1.5, Frets: 22}, Damping: &heard.Law{Base: 1.23456, Square: 5.4321e-8}})
	}
	return a
}

// TestHeard_KeptAndCompared: what is kept comes back to the figures that can be heard; a
// later play-through says what has changed, and no more.
func TestHeard_KeptAndCompared(t *testing.T) {
	ctx := context.Background()
	s, err := sqlite.Open(ctx, filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	first := heardReport()
	if err := first.Compare(ctx, s, "0412", "", []byte("one")); err != nil || first.Since != nil {
		t.Fatalf("%+v, %v", first.Since, err)
	}
	keep := KeepRequest{Serial: "0412", Program: "1.2", By: "Ines", Played: time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)}
	if err := first.Keep(ctx, s, keep, []byte("one")); err != nil || !first.Kept.New || first.Kept.Heard != 1 {
		t.Fatalf("%+v, %v", first.Kept, err)
	}
	show := &BookShowAnswer{Serial: "0412"}
	if err := show.heard(ctx, s); err != nil || len(show.Heard) != 1 || show.Since != nil {
		t.Fatalf("%+v, %v", show, err)
	}
	if h := show.Heard[0]; h.Heard != 138 || h.Rings != 138 || h.Cents.Or(0) != 1.5 || h.Says != "138 of 138 notes, 1.5 cents rms left by the best saddle, ring of 138" || h.By != "Ines" || !h.On.Equal(keep.Played) {
		t.Errorf("%+v", h)
	}
	p := first.Played()
	if n := p.Notes[7]; n.UCents != 0.123 || n.Inharmonicity.Or(0) != 1.235e-4 || n.DecayPerS.Or(0) != 3.142 || p.Strings[0].Square.Or(0) != 5.432e-8 || p.Strings[0].Base.Or(0) != 1.235 {
		t.Errorf("%+v, %+v", n, p.Strings[0])
	}
	later := heardReport()
	for i := range later.Notes {
		switch n := &later.Notes[i]; {
		case n.String == 3 && n.Fret == 7:
			n.RingS = num.Some(0.5)
		case n.String == 1 && n.Fret == 12:
			n.Cents = 12
		case n.String == 4 && n.Fret == 9: // within the doubts
			n.RingS, n.Cents = num.Some(1.2), 5
		}
	}
	later.Strings[4].Saddle.SaddleMM = 0.9
	if err := later.Compare(ctx, s, "0412", "", []byte("two")); err != nil {
		t.Fatal(err)
	}
	want := []string{"string 5: its saddle's move changed by +0.80 ± 0.28 mm", "string 3 fret 7 rings 0.25 times as long (0.16 to 0.38): 0.50 s, was 2.00 s",
		"string 1 fret 12: +12.0 cents over the open string, was +0.0; change +12.0 ± 4.0", "compared: cents of 132 notes, ring of 138. Said only if 95 % sure overall"}
	if c := later.Since; c.Heard != 1 || !c.On.Equal(keep.Played) || !slices.Equal(c.Says, want) {
		t.Errorf("%q", c.Says)
	}
	// The first recording again has nothing to be compared with but itself.
	if err := first.Compare(ctx, s, "0412", "", []byte("one")); err != nil || first.Since != nil {
		t.Errorf("%+v, %v", first.Since, err)
	}
	for since, want := range map[string]string{"2": "not in the book", "2026-03-01": "not in the book", "soon": "use a play-through's number"} {
		if err := later.Compare(ctx, s, "0412", since, nil); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", since, err)
		}
	}
	for _, since := range []string{"1", "2026-03-02", "2026-07-01"} {
		if later.Since = nil; later.Compare(ctx, s, "0412", since, nil) != nil || later.Since == nil {
			t.Errorf("since %s: nothing", since)
		}
	}
}
