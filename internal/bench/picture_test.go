package bench

import (
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
			if want := s.Layout.Strings() * (s.Layout.LastFret() - s.Layout.FirstFret() + 1); len(p.Crowns) != want {
				t.Errorf("%s: %d crowns, want %d", name, len(p.Crowns), want)
			}
			for i, c := range p.Crowns {
				if c.X < 0 || c.Y < 0 || c.X+c.W > p.W || c.Y+c.H > p.H {
					t.Errorf("%s: %s lies outside", name, c.Site)
				}
				for _, d := range p.Crowns[i+1:] {
					if c.X < d.X+d.W && d.X < c.X+c.W && c.Y < d.Y+d.H && d.Y < c.Y+c.H {
						t.Errorf("%s: %s and %s overlap", name, c.Site, d.Site)
					}
				}
			}
		})
	}
}
