package draft

import (
	"slices"
	"testing"
)

// Ahead is one Next after the other, from anywhere in a pass.
func TestState_Ahead(t *testing.T) {
	k := begun(t, openAt(t, t.TempDir()))
	n := begin(t, k, beam())
	for _, at := range []Site{"1@1", "3@1", "22@1", "5@2"} {
		set(t, k, n, at, "0.4")
	}
	k.Read(func(s *State) {
		p := s.Pass(n)
		for _, from := range []Site{"1@1", "2@1", "21@1", "4@2", s.Sites(p)[len(s.Sites(p))-1]} {
			got := s.Ahead(p, from)
			open := len(s.Sites(p)) - s.Count(n)
			if e := s.Entry(n, from); e == nil {
				open--
			}
			if len(got) != open || slices.Contains(got, from) || slices.Contains(got, "3@1") {
				t.Errorf("from %s: %d places, %d are open", from, len(got), open)
			}
			if next, _ := s.Next(p, from); got[0] != next {
				t.Errorf("from %s: %s, then %s", from, got[0], next)
			}
		}
	})
}
