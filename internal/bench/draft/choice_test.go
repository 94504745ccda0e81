package draft

import (
	"os"
	"slices"
	"testing"
)

// The outer lanes come first, each lane once.
func TestOuterFirst(t *testing.T) {
	for _, c := range []struct{ in, want []float64 }{
		{nil, nil}, {[]float64{1}, []float64{1}}, {[]float64{1, 4}, []float64{1, 4}},
		{[]float64{1, 2, 3, 4}, []float64{1, 4, 2, 3}}, {[]float64{1, 2.5, 6}, []float64{1, 6, 2.5}},
	} {
		if got := OuterFirst(c.in); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v", c.in, got)
		}
	}
}

// What is remembered is beside the journals, and no neck.
func TestRemember_IsNoNeck(t *testing.T) {
	dir := t.TempDir()
	f := openAt(t, dir)
	k := begun(t, f)
	k.Read(func(s *State) {
		if err := f.Remember(s.Plain("beam", "mm")); err != nil {
			t.Fatal(err)
		}
		p, ok := f.Remembered(s, "2026-03-04")
		if !ok || p.Method != "beam" || len(p.Lanes) != s.Layout.Strings() || p.From != s.Layout.FirstFret() || p.To != s.Layout.LastFret() {
			t.Errorf("%+v %v", p, ok)
		}
	})
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	again := openAt(t, dir)
	if len(again.All()) != 1 || len(again.Unread()) != 0 {
		t.Fatalf("%d necks, unread %v", len(again.All()), again.Unread())
	}
	if _, err := os.Stat(again.Path(choiceFile)); err != nil {
		t.Error(err)
	}
}
