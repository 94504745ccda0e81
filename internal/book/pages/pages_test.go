package pages

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	_ "modernc.org/sqlite"
)

// Values of a varint's every length: "Database File Format", section 1.6; the bytes
// follow from its definition.
func TestVarint_FileFormat(t *testing.T) {
	for _, c := range []struct {
		v uint64
		b []byte
	}{
		{0, []byte{0}}, {127, []byte{0x7f}}, {128, []byte{0x81, 0}}, {16383, []byte{0xff, 0x7f}}, {16384, []byte{0x81, 0x80, 0}},
		{1<<56 - 1, []byte{0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x7f}},
		{1<<64 - 1, []byte{0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff}},
	} {
		if v, n := varint(append(c.b, 0xff)); v != c.v || n != len(c.b) {
			t.Errorf("% x: %d in %d bytes, want %d in %d", c.b, v, n, c.v, len(c.b))
		}
		if v, n := varintBefore(append([]byte{0x11}, c.b...)); v != c.v || n != len(c.b) {
			t.Errorf("before: % x: %d in %d bytes, want %d in %d", c.b, v, n, c.v, len(c.b))
		}
		if c.v < 1<<31 && !bytes.Equal(varintOf(int(c.v)), c.b) {
			t.Errorf("%d is written % x, want % x", c.v, varintOf(int(c.v)), c.b)
		}
	}
	if _, n := varint([]byte{0x81, 0x80}); n != 0 {
		t.Error("a varint without an end was read")
	}
}

// thing is a row of the test's table.
type thing struct {
	text  string
	bytes []byte
	whole int64
	real  float64
}

func shapesOfTest() []Shape {
	return []Shape{{Columns: []Column{{Kinds: Null}, {Kinds: Text}, {Kinds: Blob}, {Kinds: Int}, {Kinds: Real | Int}}}}
}

// made makes a database of some page size, with rows of many lengths, and gives its
// file, and its log where that is kept.
func made(t *testing.T, page, rows int, keepLog bool) (file, wal []byte, want map[int64]thing) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "x.db")
	db, err := sql.Open("sqlite", "file:"+path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	do := func(query string, args ...any) {
		t.Helper()
		if _, err := db.Exec(query, args...); err != nil {
			t.Fatal(err)
		}
	}
	do(fmt.Sprintf("PRAGMA page_size = %d", page))
	do("PRAGMA synchronous = OFF")
	if keepLog {
		do("PRAGMA journal_mode = WAL")
		do("PRAGMA wal_autocheckpoint = 0")
	}
	do("CREATE TABLE thing (id INTEGER PRIMARY KEY, t TEXT NOT NULL, b BLOB NOT NULL, n INTEGER NOT NULL, r REAL NOT NULL) STRICT")
	if !keepLog {
		do("BEGIN")
	}
	rng := rand.New(rand.NewPCG(18, uint64(page)))
	want = map[int64]thing{}
	for i := range rows {
		id := []int64{int64(i) + 1, rng.Int64N(1 << 14), rng.Int64(), -1 - rng.Int64()}[rng.IntN(4)]
		if _, twice := want[id]; twice || id == 0 {
			continue
		}
		x := thing{fmt.Sprint("über ", i), make([]byte, rng.IntN(1+3*page/(1+rng.IntN(9)))), rng.Int64() >> rng.IntN(64), rng.NormFloat64()}
		if i%5 == 0 {
			x.whole, x.real = int64(i%2)-rng.Int64()>>rng.IntN(64), float64(i)
		}
		for k := range x.bytes {
			x.bytes[k] = byte(rng.IntN(256))
		}
		do("INSERT INTO thing VALUES (?, ?, ?, ?, ?)", id, x.text, x.bytes, x.whole, x.real)
		want[id] = x
	}
	if !keepLog {
		do("COMMIT")
	}
	if file, err = os.ReadFile(path); err != nil {
		t.Fatal(err)
	}
	if keepLog {
		if wal, err = os.ReadFile(path + "-wal"); err != nil {
			t.Fatal(err)
		}
	}
	return file, wal, want
}

func source(b []byte) Source { return Source{ReaderAt: bytes.NewReader(b), Size: int64(len(b))} }

// read gives the rows of a file that are live.
func read(t testing.TB, file, wal []byte) map[int64]thing {
	t.Helper()
	f, err := Open(source(file), source(wal))
	if err != nil {
		t.Fatal(err)
	}
	got := map[int64]thing{}
	err = f.Rows(context.Background(), shapesOfTest(), func(x Found) error {
		v, err := f.Values(x.Ref)
		if errors.Is(err, ErrRow) || !x.Live || x.Replaced {
			return nil
		}
		if v[4].Kind == Int {
			v[4].Real = float64(v[4].Int)
		}
		got[x.Number] = thing{string(v[1].Bytes), v[2].Bytes, v[3].Int, v[4].Real}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func same(a, b thing) bool {
	return a.text == b.text && bytes.Equal(a.bytes, b.bytes) && a.whole == b.whole && a.real == b.real
}

// Rows that SQLite wrote are read as they were given, by every page size, with the
// file's beginning gone too.
func TestRows_AsSQLiteWrote(t *testing.T) {
	for page := 512; page <= 65536; page *= 2 {
		file, _, want := made(t, page, 150, false)
		for _, gone := range []int{0, 100, page} {
			b := bytes.Clone(file)
			clear(b[:gone])
			got := read(t, b, nil)
			if len(got) != len(want) {
				t.Errorf("pages of %d, %d bytes gone: %d of %d rows", page, gone, len(got), len(want))
			}
			for id, w := range want {
				if !same(got[id], w) {
					t.Errorf("pages of %d, %d bytes gone: row %d (%s) is not as it was", page, gone, id, w.text)
				}
			}
		}
	}
}

// A log's changes count, but for what was not finished. A damaged frame costs no other.
func TestLog_AsSQLiteWrote(t *testing.T) {
	const page = 1024
	file, wal, want := made(t, page, 120, true)
	frames := (len(wal) - logHeader) / (frameHeader + page)
	if frames < 100 {
		t.Fatalf("only %d frames", frames)
	}
	check := func(what string, wal []byte, least int) {
		t.Helper()
		got := read(t, file, wal)
		right := 0
		for id, x := range got {
			if same(x, want[id]) {
				right++
			}
		}
		if right < least || right != len(got) {
			t.Errorf("%s: %d rows, %d of them right; want %d", what, len(got), right, least)
		}
	}
	check("whole", wal, len(want))
	for _, at := range []int{0, 3, 9, 18, 25} { // its header: magic number, page size, salt, checksum
		b := bytes.Clone(wal)
		b[at] ^= 0x55
		check(fmt.Sprint("header, byte ", at), b, len(want))
	}
	rng := rand.New(rand.NewPCG(18, 18))
	for range 20 { // a frame's content: an older version of its page is read
		b := bytes.Clone(wal)
		b[logHeader+rng.IntN(frames)*(frameHeader+page)+frameHeader+rng.IntN(page)] ^= 0x55
		if got := read(t, file, b); len(got) < len(want)*3/4 {
			t.Errorf("one damaged frame: %d of %d rows", len(got), len(want))
		}
	}
	cut := wal[:len(wal)-(frameHeader+page)] // the last change is not finished
	got := read(t, file, cut)
	if len(got) >= len(want) || len(got) < len(want)-2 {
		t.Errorf("without the last frame: %d of %d rows", len(got), len(want))
	}
}

// What is read of anything has an end, and no panic.
func FuzzFile(f *testing.F) {
	page := make([]byte, 512)
	row := append([]byte{1, 0, 0}, varintOf(20)...)
	copy(page[8:], append(row, 5, 6, 0, 13, 12, 8, 9))
	page[0], page[4] = tableLeaf, 1
	f.Add(page, []byte{}, []byte{})
	f.Add(slices.Concat(page, page), []byte("\x37\x7f\x06\x82"), bytes.Repeat([]byte{1}, 100))
	f.Fuzz(func(t *testing.T, file, head, frames []byte) {
		if len(file) > 1<<16 {
			return
		}
		p, err := Open(source(file), source(append(head, frames...)))
		if err != nil {
			t.Fatal(err)
		}
		shapes := append(shapesOfTest(), Shape{Columns: []Column{{Kinds: Null}, {Kinds: Blob | Text}}, More: true, Bare: true},
			Shape{Columns: []Column{{Kinds: Blob, Bytes: 3}, {Kinds: Int}}, Index: true})
		n := 0
		err = p.Rows(context.Background(), shapes, func(x Found) error {
			if n++; n > 20 {
				return nil
			}
			v, err := p.Values(x.Ref)
			if err != nil && !errors.Is(err, ErrRow) {
				t.Fatal(err)
			}
			for _, v := range v {
				if len(v.Bytes) > len(file)+len(head)+len(frames) {
					t.Fatalf("a value of %d bytes", len(v.Bytes))
				}
			}
			_, err = p.Values(x.Below())
			if errors.Is(err, ErrRow) {
				err = nil
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	})
}
