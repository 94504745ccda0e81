package draft

import (
	"errors"
	"strings"
	"testing"
)

// A reading that is kept though it was asked of stays as it is, at its place in
// the order of taking; a second try that agrees stands beside it in the file.
// Both outlast the program, and both can be taken back.
func TestNeck_Stand(t *testing.T) {
	dir := t.TempDir()
	f := openAt(t, dir)
	k := begun(t, f)
	n := begin(t, k, beam())
	set(t, k, n, "1@1", "0.4")
	set(t, k, n, "2@1", "3.9")
	set(t, k, n, "3@1", "0.4")
	if _, err := k.Stand(n, "2@1", 2, "b"); !errors.Is(err, ErrConflict) {
		t.Errorf("a screen that has not seen it: %v", err)
	}
	if _, err := k.Stand(n, "9@1", version(k), "b"); err == nil || errors.Is(err, ErrConflict) {
		t.Errorf("nothing is there: %v", err)
	}
	plain, before := csvOf(k, 0)
	if _, err := k.Stand(n, "2@1", version(k), "b"); err != nil {
		t.Fatal(err)
	}
	data, places := csvOf(k, 0)
	if string(data) != string(plain) || !places[1].Stands || places[0].Stands || places[1].Taken != before[1].Taken {
		t.Errorf("%s\n%+v, before %+v", data, places, before)
	}
	if _, err := k.Set(Put{Pass: n, Site: "3@1", Reading: "0.4", Unit: "mm", Again: true, Seen: version(k)}); err != nil {
		t.Fatal(err)
	}
	if _, err := k.Set(Put{Pass: n, Site: "4@1", Reading: "0.4", Unit: "mm", Again: true, Seen: version(k)}); err == nil {
		t.Error("a second try without a first")
	}
	data, places = csvOf(k, 0)
	if len(places) != 4 || strings.Count(string(data), ",3,0.4,") != 2 || !places[2].Stands || !places[3].Stands || places[2].Taken >= places[3].Taken {
		t.Errorf("%s\n%+v", data, places)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	k, err := openAt(t, dir).Get(k.ID())
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := csvOf(k, 0); string(again) != string(data) {
		t.Errorf("opened again:\n%s", again)
	}
	for range 2 {
		if _, err := k.Undo(version(k), "a"); err != nil {
			t.Fatal(err)
		}
	}
	if data, places = csvOf(k, 0); string(data) != string(plain) || places[1].Stands {
		t.Errorf("taken back:\n%s%+v", data, places)
	}
	// Read again, it is a reading like any other.
	if _, err := k.Stand(n, "2@1", version(k), "b"); err != nil {
		t.Fatal(err)
	}
	set(t, k, n, "2@1", "0.39")
	if _, places = csvOf(k, 0); places[1].Stands || places[1].Taken != version(k) {
		t.Errorf("%+v", places)
	}
}
