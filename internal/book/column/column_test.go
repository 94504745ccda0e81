package column

import (
	"errors"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/num"

	"pgregory.net/rapid"
)

// row invents a record, with all that is odd about some.
func row(t *rapid.T, number int64) (book.Row, string) {
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	word := func(list ...string) string { return list[r.IntN(len(list))] }
	size := func() num.Opt {
		if r.IntN(4) == 0 {
			return num.Opt{}
		}
		return num.Some(r.NormFloat64())
	}
	row := book.Row{Number: number, Serial: word("0412", "", "Ünïq", "a\x00b"), Stage: word("seated", "levelled"), At: time.UnixMicro(r.Int64N(4e15) - 1e15).UTC()}
	row.Tags = book.Tags{}
	for range r.IntN(3) {
		row.Tags[word("wire", "hand", `"`, "wire\\")] = word("lot7", "", `","wire":"x`, "é<&>")
	}
	row.Figures = book.Figures{Verdict: word("level", "not level", ""), ZoneMM: size(), WorstMM: size(), MetalMM: size(), MostMM: size(), Refits: r.IntN(300) - 5, FretsOff: r.IntN(30)}
	var crowns []book.Crown
	high := []float64{0.1, 20}[r.IntN(2)]
	for lane := range r.IntN(4) {
		for fret := range r.IntN(26) {
			if r.IntN(5) > 0 {
				crowns = append(crowns, book.Crown{Fret: fret, Lane: 1 + float64(lane)/2, OffMM: high * r.NormFloat64(), UMM: r.Float64()})
			}
		}
	}
	packed, err := book.Pack(crowns)
	if err != nil {
		t.Fatal(err)
	}
	row.Crowns = packed
	return row, word("Heron 24", "")
}

// What is packed comes back: names, figures and every crown's height to the bit.
func TestPacker_ComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p Packer
		var rows []book.Row
		var models []string
		number := int64(0)
		for range rapid.IntRange(0, 30).Draw(t, "n") {
			number += rapid.Int64Range(1, 100).Draw(t, "gap")
			r, model := row(t, number)
			if err := p.Add(&r, model); err != nil {
				t.Fatal(err)
			}
			rows, models = append(rows, r), append(models, model)
		}
		parts := map[int][]byte{}
		for _, part := range p.Parts() {
			parts[part.Number] = part.Bytes
		}
		names, err := ReadNames(parts[Names])
		if err != nil || len(names.All) != len(rows) {
			t.Fatalf("%d names of %d, %v", len(names.All), len(rows), err)
		}
		serials, err := ReadSerials(parts[Serials])
		if err != nil {
			t.Fatal(err)
		}
		figures, err := ReadFigures(parts[Figures])
		if err != nil {
			t.Fatal(err)
		}
		for i, n := range names.All {
			var got book.Row
			if err := figures.Next(&got.Figures); err != nil {
				t.Fatal(err)
			}
			got.Number, got.At, got.Serial, got.Stage, got.Crowns = n.Number, n.Time(), serials[i], names.Stages[n.Stage], rows[i].Crowns
			if got.Tags, err = book.ParseTags(names.Tags[n.Tags]); err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(got, rows[i]) || names.Models[n.Model] != models[i] {
				t.Fatalf("%+v came back as %+v", rows[i], got)
			}
			for _, k := range []string{"wire", "hand", `"`, "wire\\", "x"} {
				want, has := rows[i].Tags[k]
				if v, there := book.TagIn(names.Tags[n.Tags], k); v != want || there != has {
					t.Fatalf("tag %q of %s: %q, %v", k, names.Tags[n.Tags], v, there)
				}
			}
		}
		comeBack(t, parts, rows)
	})
}

// comeBack compares the heights, fret by fret.
func comeBack(t *rapid.T, parts map[int][]byte, rows []book.Row) {
	shapes, err := ReadShapes(parts[Shapes])
	if err != nil {
		t.Fatal(err)
	}
	got := make([]int, len(rows)) // crowns seen
	for fret := range 256 {
		if parts[FirstFret+fret] == nil {
			continue
		}
		err := shapes.Fret(parts[FirstFret+fret], fret, func(c book.Crowns) {
			c.Each(func(at int, one *book.CrownTable) {
				var whole book.CrownTable
				if err := rows[at].Crowns.Open(&whole); err != nil {
					t.Fatal(err)
				}
				if !slices.Equal(whole.Lanes, one.Lanes) || whole.StepMM != one.StepMM {
					t.Fatalf("record %d: lanes %v, step %g", at, one.Lanes, one.StepMM)
				}
				for l := range one.Lanes {
					a, okA := whole.Steps(l*whole.Frets + fret - whole.FirstFret)
					b, okB := one.Steps(l)
					if a != b || okA != okB {
						t.Fatalf("record %d, fret %d, lane %d: %d %v, in columns %d %v", at, fret, l, a, okA, b, okB)
					}
					got[at]++
				}
			})
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for i, r := range rows {
		var whole book.CrownTable
		if err := r.Crowns.Open(&whole); err != nil || got[i] != whole.Frets*len(whole.Lanes) {
			t.Fatalf("record %d: %d crowns of %d, %v", i, got[i], whole.Frets*len(whole.Lanes), err)
		}
	}
}

// A flipped bit is found out, in every part.
func TestParts_Damaged(t *testing.T) {
	var p Packer
	crowns, err := book.Pack([]book.Crown{{Fret: 3, Lane: 1, OffMM: 0.02, UMM: 0.001}})
	if err != nil {
		t.Fatal(err)
	}
	r := book.Row{Number: 1, Serial: "0412", Stage: "seated", Crowns: crowns}
	if err := p.Add(&r, "Heron 24"); err != nil {
		t.Fatal(err)
	}
	parts := p.Parts()
	if len(parts) != 5 {
		t.Fatalf("%d parts", len(parts))
	}
	shapes, err := ReadShapes(parts[Shapes].Bytes)
	if err != nil {
		t.Fatal(err)
	}
	read := map[int]func([]byte) error{
		Names:         func(b []byte) error { _, err := ReadNames(b); return err },
		Serials:       func(b []byte) error { _, err := ReadSerials(b); return err },
		Figures:       func(b []byte) error { _, err := ReadFigures(b); return err },
		Shapes:        func(b []byte) error { _, err := ReadShapes(b); return err },
		FirstFret + 3: func(b []byte) error { return shapes.Fret(b, 3, func(book.Crowns) {}) },
	}
	for _, part := range parts {
		if err := read[part.Number](part.Bytes); err != nil {
			t.Errorf("part %d: %v", part.Number, err)
		}
		for bit := range 8 * len(part.Bytes) {
			b := slices.Clone(part.Bytes)
			b[bit/8] ^= 1 << (bit % 8)
			if err := read[part.Number](b); !errors.Is(err, book.ErrDamaged) {
				t.Fatalf("part %d, bit %d: %v", part.Number, bit, err)
			}
		}
		if err := read[part.Number](part.Bytes[:3]); !errors.Is(err, book.ErrDamaged) {
			t.Errorf("part %d cut short: %v", part.Number, err)
		}
	}
	if err := p.Add(&book.Row{Crowns: crowns[:4]}, ""); !errors.Is(err, book.ErrDamaged) {
		t.Errorf("crowns cut short: %v", err)
	}
}
