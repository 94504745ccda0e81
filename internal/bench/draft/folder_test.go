package draft

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"
)

// A journal cut at any byte gives the state before the cut, and can be written
// on.
func TestFolder_TornAtEveryByte(t *testing.T) {
	dir := t.TempDir()
	f := openAt(t, dir)
	k := begun(t, f)
	n := begin(t, k, beam())
	whole := fileSize(t, dir, k)
	set(t, k, n, "1@1", "0.402")
	one := fileSize(t, dir, k)
	set(t, k, n, "2@1", "0.398")
	name := filepath.Join(dir, k.ID()+ending)
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	for cut := whole; cut <= len(data); cut += 1 + (len(data)-whole)/60 {
		torn := t.TempDir()
		write(t, filepath.Join(torn, k.ID()+ending), data[:cut])
		g, notes, err := Open(torn, clock)
		if err != nil {
			t.Fatal(err)
		}
		ends := cut == whole || cut == one || cut == len(data)
		if (len(notes) == 0) != ends {
			t.Errorf("cut at %d of %d: %q", cut, len(data), notes)
		}
		k, err := g.Get(k.ID())
		if err != nil {
			t.Fatal(err)
		}
		want := 0
		if cut >= one {
			want = 1
		}
		if cut == len(data) {
			want = 2
		}
		k.Read(func(s *State) {
			if s.Count(n) != want {
				t.Errorf("cut at %d: %d readings, want %d", cut, s.Count(n), want)
			}
		})
		set(t, k, n, "3@1", "0.394")
		if err := g.Close(); err != nil {
			t.Fatal(err)
		}
		if after, err := openAt(t, torn).Get(k.ID()); err != nil || version(after) != want+3 {
			t.Errorf("cut at %d, written on: %v", cut, err)
		}
	}
}

func fileSize(t *testing.T, dir string, k *Neck) int {
	t.Helper()
	i, err := os.Stat(filepath.Join(dir, k.ID()+ending))
	if err != nil {
		t.Fatal(err)
	}
	return int(i.Size())
}

func write(t *testing.T, name string, data []byte) {
	t.Helper()
	if err := os.WriteFile(name, data, 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestFolder_HeldByOne(t *testing.T) {
	dir := t.TempDir()
	f := openAt(t, dir)
	if _, _, err := Open(dir, clock); !errors.Is(err, ErrHeld) {
		t.Fatalf("a second one got in: %v", err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	openAt(t, dir)
}

// Twenty benches at once: no reading lost, none misplaced.
func TestFolder_TwentyBenches(t *testing.T) {
	dir := t.TempDir()
	f := openAt(t, dir)
	frets := 22
	if testing.Short() {
		frets = 6
	}
	const benches = 20
	var all [benches]*Neck
	var wg sync.WaitGroup
	for b := range benches {
		wg.Go(func() {
			k, err := f.Begin("heron.toml", example(t, "heron.toml"), fmt.Sprint(b), "a")
			if err != nil {
				t.Error(err)
				return
			}
			all[b] = k
			n, err := k.Begin(beam(), "a")
			if err != nil {
				t.Error(err)
				return
			}
			for fret := 1; fret <= frets; fret++ {
				if _, err := k.Set(Put{Pass: n, Site: NewSite(float64(1+b%6), fret), Reading: fmt.Sprintf("0.%03d", b*25+fret), Unit: "mm"}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	again := openAt(t, dir)
	if len(again.All()) != benches {
		t.Fatalf("%d necks", len(again.All()))
	}
	for b, k := range all {
		k, err := again.Get(k.ID())
		if err != nil {
			t.Fatal(err)
		}
		data, _ := csvOf(k, 0)
		got := parsed(t, data).Readings
		if len(got) != frets {
			t.Fatalf("bench %d: %d readings", b, len(got))
		}
		for i, r := range got {
			if r.Frets[0] != i+1 || r.Lane != float64(1+b%6) || math.Abs(r.Value-float64(b*25+i+1)/1000) > 1e-12 {
				t.Fatalf("bench %d: %+v", b, r)
			}
		}
	}
}

// Away from the list, still on disk.
func TestFolder_PutAway(t *testing.T) {
	dir := t.TempDir()
	f := openAt(t, dir)
	k := begun(t, f)
	n := begin(t, k, beam())
	if err := f.PutAway(k.ID()); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Get(k.ID()); !errors.Is(err, ErrNotFound) {
		t.Error("still there")
	}
	if _, err := k.Set(Put{Pass: n, Site: "1@1", Reading: "0.4", Unit: "mm"}); err == nil {
		t.Error("a reading was taken that no journal keeps")
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*.away")); len(left) != 1 {
		t.Error("the journal is gone")
	}
}
