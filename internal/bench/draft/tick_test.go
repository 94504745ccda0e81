package draft

import "testing"

// Ticks stay with their stage and amount, through a restart, and no undo of a
// reading takes one away.
func TestTick_KeptByStageAndAmount(t *testing.T) {
	dir := t.TempDir()
	f := openAt(t, dir)
	k := begun(t, f)
	n := begin(t, k, beam())
	set(t, k, n, NewSite(1, 1), "0.400")
	box, other := Tick{Site: NewSite(1, 7), Micron: 23}, Tick{Site: NewSite(2, 7), Micron: 24}
	if err := k.Tick(0, []Tick{box, other}, "a"); err != nil {
		t.Fatal(err)
	}
	before := version(k)
	if err := k.Tick(0, []Tick{box}, "b"); err != nil || version(k) != before {
		t.Errorf("the same tick again: %v, version %d after %d", err, version(k), before)
	}
	if err := k.Tick(0, []Tick{{Site: other.Site, Micron: 24, Off: true}}, "b"); err != nil {
		t.Fatal(err)
	}
	if taken, err := k.Undo(version(k), "a"); err != nil || taken.Kind != Set {
		t.Errorf("undo took back %+v, %v", taken, err)
	}
	id := k.ID()
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	k, err := openAt(t, dir).Get(id)
	if err != nil {
		t.Fatal(err)
	}
	k.Read(func(s *State) {
		if !s.IsTicked(0, box) || s.IsTicked(0, other) || s.IsTicked(1, box) || s.IsTicked(0, Tick{Site: box.Site, Micron: 22}) {
			t.Errorf("ticks after a restart: %v", s.ticks)
		}
	})
	for _, bad := range []Tick{{Site: "7", Micron: 1}, {Site: NewSite(7, 1), Micron: 1}, {Site: NewSite(1, 23), Micron: 1}, {Site: NewSite(1, 0), Micron: 1},
		{Site: NewSite(1, 6, 7, 8), Micron: 1}, {Site: box.Site}, {Site: box.Site, Micron: 5001}} {
		if err := k.Tick(0, []Tick{bad}, "a"); err == nil {
			t.Errorf("%+v was ticked", bad)
		}
	}
	if err := k.Tick(1, []Tick{box}, "a"); err == nil {
		t.Error("a stage that is not there was ticked")
	}
}
