package salvage

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/sqlite"
)

// saidOf are notes of several necks, short and long, more of them than records.
func saidOf(n int) (all []book.Said) {
	for i := range n {
		all = append(all, book.Said{
			Serial: fmt.Sprintf("%06d", i%30), Text: fmt.Sprintf("glued at %d; %s", i, strings.Repeat("let it set. ", i%17)), By: "Ines",
			At: time.Date(2026, 3, 3, 9, i, 0, 0, time.UTC), Added: time.Date(2026, 3, 3, 10, i, 0, 0, time.UTC),
		})
	}
	return all
}

// AddNotes takes notes as the book's own does.
func (s *shelf) AddNotes(_ context.Context, notes []book.Said) (receipts []book.NoteReceipt, err error) {
	for _, n := range notes {
		if _, taken := s.notes[n.Number]; n.Number < 1 || taken {
			s.next++
			n.Number = s.next
		}
		s.notes[n.Number] = n
		receipts = append(receipts, book.NoteReceipt{Number: n.Number, New: true, Added: n.Added})
	}
	return receipts, nil
}

func notesOf(t *testing.T, path string) map[int64]book.Said {
	t.Helper()
	s, err := sqlite.Open(t.Context(), path, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	all, err := s.Notes(t.Context(), "", time.Time{})
	if err != nil || len(all) == 0 {
		t.Fatal(len(all), err)
	}
	byNumber := map[int64]book.Said{}
	for _, n := range all {
		byNumber[n.Number] = n
	}
	return byNumber
}

// named are the numbers of lost notes that a salvage names.
func named(t *testing.T, a *Salvaged) map[int64]string {
	t.Helper()
	all := map[int64]string{}
	for _, l := range a.LostNotes {
		var n int64
		if _, err := fmt.Sscanf(l.Fault, "note %d", &n); err != nil {
			t.Fatal(l, err)
		}
		all[n] = l.Serial
	}
	return all
}

// Every note none of whose bytes were touched comes back as it was said; every other
// one is named; none comes back changed, and no note is called a record.
func TestSalvage_Notes(t *testing.T) {
	path := workshop(t, 60)
	records, want := originals(t, path), notesOf(t, path)
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	where := layoutOf(t, path, file)
	if len(where.note) != len(want) || len(want) <= len(records) {
		t.Fatalf("%d rows, %d notes, %d records", len(where.note), len(want), len(records))
	}
	damage := damages()
	damage["a page of notes"] = func(r *rand.Rand, b []byte) damaged {
		at := where.note[1+r.Int64N(int64(len(want)))][0].from / where.page * where.page
		clear(b[at : at+where.page])
		return damaged{b, stretch{at, at + where.page}}
	}
	damage["a byte of a note"] = func(r *rand.Rand, b []byte) damaged {
		row := where.note[1+r.Int64N(int64(len(want)))]
		at := row[0].from + r.IntN(row[len(row)-1].to-row[0].from)
		b[at] ^= byte(1 + r.IntN(255))
		return damaged{b, stretch{at, at + 1}}
	}
	for kind, spoil := range damage {
		back, lost := 0, 0
		for seed := range max(4, *salvages/4) {
			d := spoil(rand.New(rand.NewPCG(uint64(seed), 81)), bytes.Clone(file))
			got, a := shelved(t, d.file, nil)
			names := named(t, a)
			for number, w := range want {
				n, here := got.notes[number]
				whose, gone := names[number]
				switch {
				case here && n != w:
					t.Errorf("%s %d: note %d came back as %+v", kind, seed, number, n)
				case here && gone:
					t.Errorf("%s %d: note %d came back and is called lost", kind, seed, number)
				case !here && !touches(d.at, where.note[number]):
					t.Errorf("%s %d: note %d is whole and did not come back: %+v", kind, seed, number, a.LostNotes)
				case !here && !gone && !a.Cut:
					t.Errorf("%s %d: note %d is lost and not named", kind, seed, number)
				case gone && strings.HasPrefix(kind, "a page") && whose != w.Serial:
					t.Errorf("%s %d: note %d is said to be of %q", kind, seed, number, whose)
				}
				if here {
					back++
				} else {
					lost++
				}
			}
			for number, n := range got.notes {
				if want[number] != n {
					t.Errorf("%s %d: note %d never was: %+v", kind, seed, number, n)
				}
			}
			for _, l := range a.Lost {
				if l.Record > int64(len(records)) {
					t.Errorf("%s %d: %+v never was", kind, seed, l)
				}
			}
		}
		if back == 0 || lost == 0 && strings.HasPrefix(kind, "a ") && strings.HasSuffix(kind, "of notes") {
			t.Errorf("%s: nothing was tested: %d back, %d lost", kind, back, lost)
		}
	}
	got, a := shelved(t, file, nil)
	if !a.Whole() || len(got.notes) != len(want) {
		t.Errorf("undamaged: %d of %d: %+v", len(got.notes), len(want), a)
	}
}

// A note keeps its number where only what stands before its row is spoilt.
func TestSalvage_NoteNumber(t *testing.T) {
	path := workshop(t, 10)
	want := notesOf(t, path)
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	where := layoutOf(t, path, file)
	const spoilt = 7
	head := where.note[spoilt][0]
	for at := head.from; at < head.to; at++ {
		b := bytes.Clone(file)
		b[at] ^= 0x15
		got, a := shelved(t, b, nil)
		if len(got.notes) != len(want) || got.notes[spoilt] != want[spoilt] || len(a.LostNotes) > 0 {
			t.Errorf("byte %d: %d of %d, %+v, %+v", at-head.from, len(got.notes), len(want), got.notes[spoilt], a.LostNotes)
		}
	}
	noSchema := bytes.Clone(file)
	clear(noSchema[:4096])
	binary.BigEndian.PutUint32(noSchema[28:], 7)
	if got, _ := shelved(t, noSchema, nil); len(got.notes) != len(want) {
		t.Errorf("without its beginning: %d of %d", len(got.notes), len(want))
	}
}
