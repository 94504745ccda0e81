package archive

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
)

// TestCard_ComesBackTheSame: whatever was worked out, a card read back makes the
// same derived values, to the last bit of their checksum.
func TestCard_ComesBackTheSame(t *testing.T) {
	drawn, trusted := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.SampledFrom([]float64{0.05, 3, 40}).Draw(t, "size")
		var crowns []book.Crown
		for lane := range rapid.IntRange(0, 4).Draw(t, "lanes") {
			for fret := range 24 {
				if rapid.IntRange(0, 5).Draw(t, "open") == 0 {
					continue
				}
				crowns = append(crowns, book.Crown{Fret: fret, Lane: 1 + 0.5*float64(lane),
					OffMM: rapid.Float64Range(-size, size).Draw(t, "off"), UMM: rapid.Float64Range(0, 0.01).Draw(t, "u")})
			}
		}
		zone := num.Some(rapid.Float64Range(0, 1).Draw(t, "zone"))
		packed, err := book.Pack(crowns)
		if err != nil {
			t.Fatal(err)
		}
		d := book.Derived{Program: "1.0", Model: rapid.String().Draw(t, "model"), States: "slack", Figures: book.Figures{Verdict: "level", ZoneMM: zone, Refits: 1},
			Taken: time.UnixMicro(rapid.Int64Range(1, 1<<52).Draw(t, "taken")).UTC(), Crowns: packed}
		e := &book.Entry{Number: 7, Serial: "0412", Stage: "seated", Note: "a \"crowns\": null note", Tags: book.Tags{"wire": "lot7"}, Derived: d, Added: time.UnixMicro(1_700_000_000_123_456)}
		r := book.RecordOf(e, e.Added)
		r.Number = 7
		c, err := cardOf(&r)
		if err != nil {
			t.Fatal(err)
		}
		data, err := c.Bytes()
		if err != nil {
			t.Fatal(err)
		}
		back, err := readCard(data)
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		got, err := back.entry(nil, nil)
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		if got.Note != e.Note || got.Identity() != e.Identity() {
			t.Fatalf("%+v", got)
		}
		drawn++
		if got.Derived.Program != "" {
			trusted++
			if got.Derived.Checksum() != r.DerivedChecksum || got.Derived.Differs(&d) != "" {
				t.Fatalf("%s", got.Derived.Differs(&d))
			}
		}
	})
	// A model that is no plain text is worked out anew; all others are trusted.
	if trusted*10 < drawn*9 {
		t.Errorf("only %d of %d cards kept what was worked out", trusted, drawn)
	}
}

// FuzzReadCard: no record.json makes the program stumble, and one that passes
// every check makes the entry that it was written from.
func FuzzReadCard(f *testing.F) {
	s := tempBook(f)
	addTo(f, s, book.Entry{Serial: "0412", Stage: "seated", Files: shortFiles(f, 1), Note: "n", Tags: book.Tags{"wire": "lot7"}})
	out, _ := exportOf(f, s)
	if len(out) != 3 {
		f.Fatalf("%d files", len(out))
	}
	neck, readings := out["0412/1-seated/neck.toml"].Data, out["0412/1-seated/readings.csv"].Data
	card := out["0412/1-seated/record.json"].Data
	f.Add(card)
	f.Add([]byte(`{"format":"ringtrue record 1","derived":{"crowns":[{"off_mm":[1],"u_mm":[]}]}}`))
	f.Add([]byte(`{}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := readCard(data)
		if err != nil {
			return
		}
		e, err := c.entry(neck, readings)
		if err != nil {
			return
		}
		if e.Serial != "0412" || e.Stage != "seated" || e.Note != "n" || e.Tags["wire"] != "lot7" {
			t.Errorf("a changed record passed: %+v", e)
		}
		if e.Derived.Program != "" {
			if err := e.Derived.Crowns.Check(); err != nil {
				t.Error(err)
			}
		}
	})
}
