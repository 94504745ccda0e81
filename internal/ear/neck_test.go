package ear

import (
	"os"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/play"
)

// heron is the example neck, ready to be judged over perfect crowns.
func heron(t testing.TB, edit func(*neck.Model)) *play.Neck {
	t.Helper()
	data, err := os.ReadFile("../../examples/heron.toml")
	if err != nil {
		t.Fatal(err)
	}
	m, err := neck.Parse("heron.toml", data)
	if err != nil {
		t.Fatal(err)
	}
	if edit != nil {
		edit(&m)
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	n, err := play.NewNeck(play.Request{Model: m, Layout: l})
	if err == nil {
		err = n.Prepare()
	}
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// everyNote is the neck's notes under each of these touches, but the last fret's, and
// which they are.
func everyNote(t testing.TB, n *play.Neck, touches ...int) (notes []placed, answers []Answer) {
	t.Helper()
	for _, touch := range touches {
		for c := range n.Cases {
			for f := range 22 {
				at, err := noteOf(t.Context(), &n.Cases[c], f, touch)
				if err != nil {
					t.Fatal(err)
				}
				notes = append(notes, placed{at, c})
				answers = append(answers, Answer{String: c + 1, Fret: f, Touch: n.Model.Setup.Touch[touch].Name})
			}
		}
	}
	return notes, answers
}
