package draft

import (
	"errors"
	"testing"
)

// A study survives a restart with its readings; another screen's reading is not
// written over, and no undo of the reading page touches it.
func TestStudy_Kept(t *testing.T) {
	dir := t.TempDir()
	f := openAt(t, dir)
	k := begun(t, f)
	var y Study
	k.Read(func(s *State) { y = s.NewStudy(4, Study{Unit: "mm", Hands: []string{"A"}, Trials: 2, Seed: 3}) })
	n, err := k.BeginStudy(y, "a")
	if err != nil || n != 0 {
		t.Fatal(n, err)
	}
	for i, text := range []string{"0.1", "0.2"} {
		if err := k.TakeTrial(0, i, text, "a"); err != nil {
			t.Fatal(err)
		}
	}
	if err := k.TakeTrial(0, 1, "0.3", "b"); !errors.Is(err, ErrConflict) {
		t.Errorf("a second reading in one place: %v", err)
	}
	for _, bad := range []string{"x", "1e9", "NaN"} {
		if err := k.TakeTrial(0, 2, bad, "a"); err == nil {
			t.Errorf("%s was taken", bad)
		}
	}
	if _, err := k.Undo(version(k), "a"); err == nil {
		t.Error("the reading page took a study's reading back")
	}
	id := k.ID()
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	k, err = openAt(t, dir).Get(id)
	if err != nil {
		t.Fatal(err)
	}
	k.Read(func(s *State) {
		if len(s.Studies) != 1 || s.Studies[0].Next() != 2 || s.Studies[0].Readings[1] != "0.2" || s.Studies[0].Steps() != 8 {
			t.Errorf("%+v", s.Studies)
		}
	})
}
