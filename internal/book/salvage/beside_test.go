package salvage

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/book/booktest"
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

// heardOn are play-throughs of several necks, fewer than records, some with their sound.
func heardOn(n int) (all []book.Heard) {
	r := rand.New(rand.NewPCG(3, 4))
	for i := range n {
		h := booktest.Played(fmt.Sprintf("%06d", i%30), float64(i), 2)
		h.Note, h.Added = strings.Repeat("new strings; ", i%9), time.Date(2026, 3, 4, 10, i, 0, 0, time.UTC)
		if i%3 == 0 {
			h.Kept, h.Played, h.Sound = true, h.Added.Add(-time.Hour), []byte("RIFF")
			for range 300 + i*200 {
				h.Sound = append(h.Sound, byte(r.IntN(256)))
			}
			h.Recording = book.Digest(h.Sound)
		}
		all = append(all, h)
	}
	return all
}

// AddHeard takes play-throughs as the book's own does.
func (s *shelf) AddHeard(_ context.Context, heard []book.Heard) (receipts []book.HeardReceipt, err error) {
	for i := range heard {
		h := heard[i]
		if err := errors.Join(h.Intact(), h.Check()); err != nil {
			return nil, err
		}
		if _, taken := s.heard[h.Number]; h.Number < 1 || taken {
			s.next++
			h.Number = s.next
		}
		s.heard[h.Number] = h
		receipts = append(receipts, book.HeardReceipt{Number: h.Number, New: true, Added: h.Added})
	}
	return receipts, nil
}

// told is a note or a play-through: whose, and all that a book has of it.
type told struct{ serial, all string }

func toldOf(of any) map[int64]told {
	all := map[int64]told{}
	switch of := of.(type) {
	case map[int64]book.Said:
		for n, x := range of {
			all[n] = told{x.Serial, fmt.Sprintf("%+v", x)}
		}
	case map[int64]book.Heard:
		for n, x := range of {
			all[n] = told{x.Serial, fmt.Sprintf("%+v", x)}
		}
	}
	return all
}

// besideOf are the notes and the play-throughs of a book.
func besideOf(t *testing.T, path string) (notes map[int64]book.Said, heard map[int64]book.Heard) {
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
	notes, heard = map[int64]book.Said{}, map[int64]book.Heard{}
	for _, n := range all {
		notes[n.Number] = n
	}
	err = s.EachHeard(t.Context(), "", func(h *book.Heard) error {
		heard[h.Number] = *h
		return nil
	})
	for n, h := range heard {
		if h.Kept && err == nil {
			h.Sound, err = s.HeardSound(t.Context(), n)
			heard[n] = h
		}
	}
	if err != nil || len(heard) == 0 {
		t.Fatal(len(heard), err)
	}
	return notes, heard
}

// named are the numbers of lost notes, or play-throughs, that a salvage names.
func named(t *testing.T, what string, lost []archive.Fault) map[int64]string {
	t.Helper()
	all := map[int64]string{}
	for _, l := range lost {
		var n int64
		if _, err := fmt.Sscanf(l.Fault, what+" %d", &n); err != nil {
			t.Fatal(l, err)
		}
		all[n] = l.Serial
	}
	return all
}

// Every note and play-through none of whose bytes were touched comes back as it was;
// every other one is named; none comes back changed, or is called a record.
func TestSalvage_Beside(t *testing.T) {
	path := workshop(t, 60)
	records := originals(t, path)
	notes, heard := besideOf(t, path)
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	where := layoutOf(t, path, file)
	if len(where.note) != len(notes) || len(notes) <= len(records) || len(where.heard) != len(heard) || len(where.sound) < 10 {
		t.Fatalf("%d rows, %d notes, %d and %d of play-throughs, %d records", len(where.note), len(notes), len(where.heard), len(heard), len(records))
	}
	kinds := []struct {
		what string
		want map[int64]told
		rows map[int64][]stretch
		of   func(*shelf, *Salvaged) (map[int64]told, []archive.Fault)
	}{
		{"note", toldOf(notes), where.note, func(s *shelf, a *Salvaged) (map[int64]told, []archive.Fault) { return toldOf(s.notes), a.LostNotes }},
		{"heard", toldOf(heard), where.heard, func(s *shelf, a *Salvaged) (map[int64]told, []archive.Fault) {
			return toldOf(s.heard), append(a.LostHeard, a.HurtHeard...)
		}},
	}
	damage := damages()
	for _, c := range kinds {
		damage["a page of "+c.what] = func(r *rand.Rand, b []byte) damaged {
			at := c.rows[1+r.Int64N(int64(len(c.want)))][0].from / where.page * where.page
			clear(b[at : at+where.page])
			return damaged{b, stretch{at, at + where.page}}
		}
		damage["a byte of "+c.what] = func(r *rand.Rand, b []byte) damaged {
			row := c.rows[1+r.Int64N(int64(len(c.want)))]
			at := row[0].from + r.IntN(row[len(row)-1].to-row[0].from)
			b[at] ^= byte(1 + r.IntN(255))
			return damaged{b, stretch{at, at + 1}}
		}
	}
	for kind, spoil := range damage {
		back, lost := map[string]int{}, map[string]int{}
		for seed := range max(4, *salvages/4) {
			d := spoil(rand.New(rand.NewPCG(uint64(seed), 81)), bytes.Clone(file))
			s, a := shelved(t, d.file, nil)
			for _, c := range kinds {
				got, faults := c.of(s, a)
				names := named(t, c.what, faults)
				for number, w := range c.want {
					var sound []stretch
					if c.what == "heard" {
						sound = where.sound[number]
					}
					x, here := got[number]
					whose, gone := names[number]
					switch {
					case here && x != w && !(gone && touches(d.at, sound)):
						t.Errorf("%s %d: %s %d came back changed", kind, seed, c.what, number)
					case here && x == w && gone:
						t.Errorf("%s %d: %s %d came back and is called lost", kind, seed, c.what, number)
					case !here && !touches(d.at, c.rows[number]):
						t.Errorf("%s %d: %s %d is whole and did not come back: %+v", kind, seed, c.what, number, faults)
					case !here && !gone && !a.Cut:
						t.Errorf("%s %d: %s %d is lost and not named", kind, seed, c.what, number)
					case gone && strings.HasPrefix(kind, "a page") && whose != w.serial:
						t.Errorf("%s %d: %s %d is said to be of %q", kind, seed, c.what, number, whose)
					}
					if here {
						back[c.what]++
					} else {
						lost[c.what]++
					}
				}
				for number, x := range got {
					if c.want[number].serial != x.serial {
						t.Errorf("%s %d: %s %d never was", kind, seed, c.what, number)
					}
				}
				for number := range names {
					if _, was := c.want[number]; !was {
						t.Errorf("%s %d: %s %d is named and never was", kind, seed, c.what, number)
					}
				}
			}
			for _, l := range a.Lost {
				if l.Record > int64(len(records)) {
					t.Errorf("%s %d: %+v never was", kind, seed, l)
				}
			}
		}
		for _, c := range kinds {
			if back[c.what] == 0 || lost[c.what] == 0 && kind == "a page of "+c.what {
				t.Errorf("%s: nothing was tested: %v back, %v lost", kind, back, lost)
			}
		}
	}
	got, a := shelved(t, file, nil)
	if !a.Whole() || len(got.notes) != len(notes) || len(got.heard) != len(heard) {
		t.Errorf("undamaged: %d of %d and %d of %d: %+v", len(got.notes), len(notes), len(got.heard), len(heard), a)
	}
}

// A play-through whose recording is spoilt comes back without it, and is named.
func TestSalvage_Sound(t *testing.T) {
	path := workshop(t, 30)
	_, want := besideOf(t, path)
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const spoilt = 4
	at := layoutOf(t, path, file).sound[spoilt][1].from + 200
	some := bytes.Clone(file[at : at+32])
	file = bytes.ReplaceAll(file, some, make([]byte, len(some))) // in copies left behind, too
	got, a := shelved(t, file, nil)
	h := got.heard[spoilt]
	if h.Kept || h.Sound != nil || !bytes.Equal(h.Body, want[spoilt].Body) || a.Heard != len(want) || len(a.LostHeard) > 0 || len(a.HurtHeard) != 1 || a.Whole() {
		t.Errorf("kept: %v, %d bytes of sound; %+v", h.Kept, len(h.Sound), a)
	}
}

// A note and a play-through keep their numbers where only what stands before its row is spoilt.
func TestSalvage_BesideNumber(t *testing.T) {
	path := workshop(t, 10)
	want, heard := besideOf(t, path)
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	where := layoutOf(t, path, file)
	const spoilt = 5
	for _, rows := range []map[int64][]stretch{where.note, where.heard} {
		head := rows[spoilt][0]
		for at := head.from; at < head.to; at++ {
			b := bytes.Clone(file)
			b[at] ^= 0x15
			got, a := shelved(t, b, nil)
			if len(got.notes) != len(want) || got.notes[spoilt] != want[spoilt] || !reflect.DeepEqual(got.heard, heard) || len(a.LostNotes)+len(a.LostHeard) > 0 {
				t.Errorf("byte %d: %d of %d, %d of %d, %+v", at-head.from, len(got.notes), len(want), len(got.heard), len(heard), a)
			}
		}
	}
	noSchema := bytes.Clone(file)
	clear(noSchema[:4096])
	binary.BigEndian.PutUint32(noSchema[28:], 7)
	if got, _ := shelved(t, noSchema, nil); len(got.notes) != len(want) || !reflect.DeepEqual(got.heard, heard) {
		t.Errorf("without its beginning: %d of %d, %d of %d", len(got.notes), len(want), len(got.heard), len(heard))
	}
}
