package bench

import (
	"math"
	"testing"

	"ringtrue/internal/bench/draft"
)

// Any neck's crowns stand apart in the picture and inside it.
func TestPicture_EveryExample(t *testing.T) {
	for _, name := range []string{"heron.toml", "heron-bass.toml", "heron-seven.toml", "heron-slant.toml", "heron-twelve.toml"} {
		b := newTry(t, nil)
		k, err := b.folder.Begin(name, example(t, name), "", "")
		if err != nil {
			t.Fatal(err)
		}
		k.Read(func(s *draft.State) {
			p := b.renderer.draw(s, nil, "", nil, nil)
			var all []crown
			for _, lane := range p.Lanes {
				all = append(all, lane.Crowns...)
			}
			if want := s.Layout.Strings() * (s.Layout.LastFret() - s.Layout.FirstFret() + 1); len(all) != want {
				t.Errorf("%s: %d crowns, want %d", name, len(all), want)
			}
			for i, c := range all {
				if c.X-plateWide/2 < p.Side || c.Y-plateHigh/2 < p.Head || c.X+plateWide/2 > p.W || c.Y+plateHigh/2 > p.H {
					t.Errorf("%s: %s lies outside", name, c.Site)
				}
				for _, d := range all[i+1:] {
					if math.Abs(c.X-d.X) < plateWide && math.Abs(c.Y-d.Y) < plateHigh {
						t.Errorf("%s: %s and %s overlap", name, c.Site, d.Site)
					}
				}
			}
		})
	}
}
