package sqlite

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
	"ringtrue/internal/casetest"
)

// damages are the ways in which a disk spoils a book.
func damages() map[string]func(*rand.Rand, []byte) []byte {
	return map[string]func(*rand.Rand, []byte) []byte{
		"one bit": func(r *rand.Rand, b []byte) []byte {
			b[r.IntN(len(b))] ^= 1 << r.IntN(8)
			return b
		},
		"eight bytes": func(r *rand.Rand, b []byte) []byte {
			for range 8 {
				b[r.IntN(len(b))] = byte(r.IntN(256))
			}
			return b
		},
		"a run of zeros": func(r *rand.Rand, b []byte) []byte {
			at := r.IntN(len(b))
			clear(b[at:min(at+512, len(b))])
			return b
		},
		"a page of noise": func(r *rand.Rand, b []byte) []byte {
			page := r.IntN(len(b)/4096) * 4096
			for i := range 4096 {
				b[page+i] = byte(r.IntN(256))
			}
			return b
		},
		"two pages changed about": func(r *rand.Rand, b []byte) []byte {
			p, q := r.IntN(len(b)/4096)*4096, r.IntN(len(b)/4096)*4096
			for i := range 4096 {
				b[p+i], b[q+i] = b[q+i], b[p+i]
			}
			return b
		},
		"the end cut off": func(r *rand.Rand, b []byte) []byte {
			return b[:len(b)-1-r.IntN(len(b)/2)]
		},
	}
}

// firstSeed begins where pages out of place once sent a walk round and round.
const firstSeed = 18

// TestDamage spoils books at seeded places. Whatever happens to a record is
// either told or did no harm to it; nothing panics; all else can still be read.
func TestDamage(t *testing.T) {
	casetest.OneByOne(t)
	const necks = 40
	whole := filepath.Join(t.TempDir(), "book.db")
	fill(t, whole, necks)
	good := readAll(t, whole)
	want := map[string]*book.Entry{}
	for n := range necks {
		e := booktest.Entry(n, "seated", 1)
		want[e.Serial] = e
	}
	seeds, least := 16, 0.6
	if testing.Short() { // few books say less of the share
		seeds, least = 6, 0.4
	}
	for kind, damage := range damages() {
		t.Run(kind, func(t *testing.T) {
			opened, kept, told := 0, 0, 0
			path := filepath.Join(t.TempDir(), "book.db")
			for seed := firstSeed; seed < firstSeed+seeds; seed++ {
				rng := rand.New(rand.NewPCG(uint64(seed), 77))
				spoilt := damage(rng, bytes.Clone(good))
				if err := os.WriteFile(path, spoilt, 0o600); err != nil {
					t.Fatal(err)
				}
				found, err := readSpoilt(path)
				if err != nil {
					if !errors.Is(err, book.ErrDamaged) && !errors.Is(err, book.ErrNotABook) && !errors.Is(err, book.ErrNewer) && !errors.Is(err, book.ErrNoBook) {
						t.Errorf("seed %d: %v; want a word of damage", seed, err)
					}
					told++
					continue
				}
				opened++
				if found.told {
					told++
				}
				for serial, e := range want {
					r, ok := found.records[serial]
					switch {
					case ok && (!reflect.DeepEqual(r.files, e.Files) || !reflect.DeepEqual(r.Tags, e.Tags) || r.Stage != e.Stage || r.By != e.By):
						t.Errorf("seed %d: %s came back changed and was not told", seed, serial)
					case ok && r.DerivedChecksum == r.Derived.Checksum() && !reflect.DeepEqual(r.Derived, e.Derived):
						t.Errorf("seed %d: what was derived of %s came back changed and was not told", seed, serial)
					case ok:
						kept++
					case !found.told:
						t.Errorf("seed %d: %s is lost and nothing was told", seed, serial)
					}
				}
				for serial := range found.records {
					if want[serial] == nil {
						t.Errorf("seed %d: the book invents %q", seed, serial)
					}
				}
			}
			if told == 0 {
				t.Error("no seed did harm: nothing was tested")
			}
			share := float64(kept) / float64(max(1, opened*necks))
			t.Logf("%d of %d spoilt books open; %.1f %% of their records are whole; %d told", opened, seeds, 100*share, told)
			if opened > 0 && share < least {
				t.Errorf("only %.1f %% of the records could be read", 100*share)
			}
		})
	}
}

// spoilt is what can be had of a spoilt book: records that say they are whole.
type spoilt struct {
	records map[string]wholeRecord
	told    bool // that something is wrong
}

type wholeRecord struct {
	book.Record
	files book.Files
}

func readSpoilt(path string) (found spoilt, err error) {
	ctx := context.Background()
	s, err := Open(ctx, path, Options{Now: time.Now})
	if err != nil {
		return found, err
	}
	defer s.Close() // a spoilt file may well say no
	bad, err := s.Verify(ctx)
	if err != nil {
		return found, fmt.Errorf("verify: %w", err)
	}
	found = spoilt{records: map[string]wholeRecord{}, told: len(bad) > 0}
	for n, err := range book.Numbers(ctx, s) {
		var r book.Record
		var f book.Files
		if err == nil {
			r, err = s.Record(ctx, n)
		}
		if err == nil {
			f, err = s.Files(ctx, n)
		}
		if err == nil {
			err = book.Whole(&r, f)
		}
		if err == nil {
			if r.Derived.Checksum() != r.DerivedChecksum {
				found.told = true
			}
			found.records[r.Serial] = wholeRecord{r, f}
			continue
		}
		found.told = true
		if !errors.Is(err, book.ErrDamaged) && !errors.Is(err, book.ErrNotFound) {
			return found, fmt.Errorf("record %d: %w", n, err)
		}
	}
	return found, nil
}
