package draft

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// damagedJournal is a journal with a pass of three readings, and its bytes.
func damagedJournal(t *testing.T) (id string, pass int, data []byte) {
	t.Helper()
	dir := t.TempDir()
	f := openAt(t, dir)
	k := begun(t, f)
	pass = begin(t, k, beam())
	for _, at := range []Site{"1@1", "2@1", "3@1"} {
		set(t, k, pass, at, "0.402")
	}
	data, err := os.ReadFile(filepath.Join(dir, k.ID()+ending))
	if err != nil {
		t.Fatal(err)
	}
	return k.ID(), pass, data
}

// opened opens a folder with one journal in it.
func opened(t *testing.T, id string, data []byte) (f *Folder, notes []string) {
	t.Helper()
	dir := t.TempDir()
	write(t, filepath.Join(dir, id+ending), data)
	f, notes, err := Open(dir, clock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = f.Close() })
	return f, notes
}

// count is how many readings of a pass a neck has, -1 where it is gone.
func count(f *Folder, id string, pass int) (n int, d []Damage, leftOut int) {
	n = -1
	if k, err := f.Get(id); err == nil {
		k.Read(func(s *State) { n, d, leftOut = s.Count(pass), s.Damages, s.LeftOut })
	}
	return n, d, leftOut
}

// Whichever bit is flipped, the journal is whole again, and what was found is in
// a file of its own.
func TestDamage_AnyBit(t *testing.T) {
	id, pass, data := damagedJournal(t)
	start := bytes.IndexByte(data, '\n') - 200
	step := 7
	if testing.Short() {
		step = 61
	}
	tried := 0
	for bit := 8 * start; bit < 8*len(data); bit += step {
		bad := bytes.Clone(data)
		bad[bit/8] ^= 1 << (bit % 8)
		if len(readJournal(bad).damaged) == 0 { // a checksum's letter made a capital says the same
			continue
		}
		tried++
		f, notes := opened(t, id, bad)
		n, d, leftOut := count(f, id, pass)
		if n != 3 || len(d) != 1 || d[0].Repaired == 0 || d[0].Lost > 0 || leftOut > 0 || len(notes) != 1 {
			t.Fatalf("bit %d: %d readings, %+v, %q", bit, n, d, notes)
		}
		aside, err := os.ReadFile(f.Path(d[0].File))
		if err != nil || len(aside) != d[0].Bytes || !bytes.Contains(bad, aside) {
			t.Fatalf("bit %d: %d bytes set aside, %v", bit, len(aside), err)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if tried < 50 {
		t.Errorf("%d bits tried", tried)
	}
}

// What cannot be repaired is set aside, and every other line stays in use, also
// when the folder is opened again.
func TestDamage_LinesLost(t *testing.T) {
	id, pass, data := damagedJournal(t)
	lines := bytes.SplitAfter(data, []byte("\n"))
	for _, c := range []struct {
		line, readings, lost, leftOut int
	}{
		{2, 2, 1, 0}, {3, 2, 1, 0}, {4, 2, 1, 0},
		{1, 0, 1, 3}, // the pass itself: its readings are left out, and stay in the journal
	} {
		bad := bytes.Clone(data)
		at := len(bytes.Join(lines[:c.line], nil))
		copy(bad[at+20:], "########")
		f, notes := opened(t, id, bad)
		for again := range 2 {
			n, d, leftOut := count(f, id, pass)
			if n != c.readings || len(d) != 1 || d[0].Lost != c.lost || d[0].Repaired > 0 || leftOut != c.leftOut {
				t.Errorf("line %d, opened %d: %d readings, %+v, %d left out", c.line, again, n, d, leftOut)
			}
			aside, err := os.ReadFile(f.Path(d[0].File))
			if err != nil || !bytes.Equal(aside, bad[at:at+len(lines[c.line])]) {
				t.Errorf("line %d: set aside: %q %v", c.line, aside, err)
			}
			if len(notes) != 1-again || again == 0 && !strings.Contains(notes[0], f.Path(d[0].File)) {
				t.Errorf("line %d: %q", c.line, notes)
			}
			k, err := f.Get(id)
			if err != nil {
				t.Fatal(err)
			}
			if again == 0 && c.line > 1 {
				set(t, k, pass, "4@1", "0.4")
				if _, err := k.Undo(version(k), "a"); err != nil {
					t.Error(err)
				}
			}
			dir := f.dir
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
			if f, notes, err = Open(dir, clock); err != nil {
				t.Fatal(err)
			}
		}
		_ = f.Close()
	}
}

// Without its first line a neck cannot be shown: the journal is left as it is,
// and named.
func TestDamage_NeckFileLost(t *testing.T) {
	id, pass, data := damagedJournal(t)
	for _, all := range [][]byte{data, data[:bytes.IndexByte(data, '\n')+1]} {
		bad := bytes.Clone(all)
		copy(bad[20:], "########")
		f, notes := opened(t, id, bad)
		if n, _, _ := count(f, id, pass); n != -1 || len(notes) != 1 || len(f.Unread()) != 1 {
			t.Errorf("%d readings; %q; %q", n, notes, f.Unread())
		}
		if left, err := os.ReadFile(f.Path(id + ending)); err != nil || !bytes.Equal(left, bad) {
			t.Errorf("the journal was changed: %v", err)
		}
	}
}
