package answer

import (
	"context"
	"encoding/json"
	"math"
	"reflect"
	"ringtrue/internal/play"
	"strings"
	"testing"
)

func mustFilm(t *testing.T, r PlayFilmRequest) *PlayFilmAnswer {
	t.Helper()
	a, err := PlayFilm(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := json.Marshal(a); err != nil {
		t.Fatal(err)
	}
	return a
}

// A film says of its note what play says: verdict, release, first contact and
// impulse.
func TestPlayFilm_AsPlaySays(t *testing.T) {
	if testing.Short() {
		t.Skip("long under the race detector; the workers are raced in package play")
	}
	m, l := heronNeck(t)
	r := PlayRequest{Model: m, Layout: l, Readings: heronReadings(t, l), Read: true}
	all := mustPlay(t, r)
	seen := map[play.Verdict]bool{}
	for _, c := range []play.NoteChoice{{String: 1, Fret: 6, Touch: ""}, {String: 1, Fret: 6, Touch: "light"}, {String: 2, Fret: 0, Touch: "hard"}, {String: 6, Fret: 3, Touch: "hard"}, {String: 4, Fret: 12, Touch: "firm"}} {
		a := mustFilm(t, PlayFilmRequest{Play: r, Note: c})
		if c.Touch == "" {
			c.Touch = "firm"
		}
		var note play.Note
		for _, n := range all.Strings[c.String-1].Notes {
			if n.Fret == c.Fret && n.Touch == c.Touch {
				note = n
			}
		}
		seen[a.Verdict] = true
		if a.Verdict != note.Verdict || a.State != "as read" || a.Touch != c.Touch {
			t.Errorf("%+v: %s %s %s, play says %s", c, a.Verdict, a.State, a.Touch, note.Verdict)
		}
		if (note.Contact == nil) != (len(a.Contacts) == 0) {
			t.Errorf("%+v: %d contacts, play says %+v", c, len(a.Contacts), note.Contact)
		}
		if note.Contact == nil {
			continue
		}
		sum := 0.0
		for _, x := range a.Contacts {
			sum += x.ImpulseMNS
		}
		x := note.Contact
		if a.Release != x.Release || math.Abs(a.TriangleMM-x.TriangleMM) > 1e-12 || a.Contacts[0].Fret != x.FirstFret ||
			math.Abs(a.Contacts[0].FromMS-x.FirstMS) > 1e-9 || math.Abs(sum-x.ImpulseMNS) > 1e-6*x.ImpulseMNS {
			t.Errorf("%+v: %s %g, first %+v, %g mN·s in all; play says %+v", c, a.Release, a.TriangleMM, a.Contacts[0], sum, x)
		}
	}
	if !seen["clear"] || !seen["buzzes"] {
		t.Errorf("only verdicts %v were tried", seen)
	}
}

// The string starts as the triangle that the touch lifts, and over a note's last
// fret there is nothing to meet.
func TestPlayFilm_Release(t *testing.T) {
	m, l := heronNeck(t)
	a := mustFilm(t, PlayFilmRequest{Play: PlayRequest{Model: m, Layout: l}, Note: play.NoteChoice{String: 3, Fret: 22}})
	if a.Verdict != "clear" || len(a.Crowns) != 0 || len(a.Contacts) != 0 || a.State != "perfect crowns" {
		t.Errorf("the last fret: %+v", a)
	}
	for j, x := range a.PlaceMM {
		want := a.TriangleMM * x / a.PluckMM
		if x > a.PluckMM {
			want = a.TriangleMM * (a.LengthMM - x) / (a.LengthMM - a.PluckMM)
		}
		// The partials carried leave the corner a little round.
		if got := a.Strip[0].HeightMM[j]; math.Abs(got-want) > 0.02*a.TriangleMM {
			t.Errorf("%g mm from the stop it starts at %g mm, the triangle at %g", x, got, want)
		}
	}
	if again := mustFilm(t, PlayFilmRequest{Play: PlayRequest{Model: m, Layout: l}, Note: play.NoteChoice{String: 3, Fret: 22}}); !reflect.DeepEqual(a, again) {
		t.Error("a second take differs")
	}
}

func TestPlayFilm_Faults(t *testing.T) {
	m, l := heronNeck(t)
	low := m
	low.Setup.Action = []float64{0, 0, 0, 0, 0, 0}
	for name, c := range map[string]struct {
		r    PlayFilmRequest
		want string
	}{
		"no string": {PlayFilmRequest{Play: PlayRequest{Model: m, Layout: l}}, "string 0"},
		"bend":      {PlayFilmRequest{Play: PlayRequest{Model: m, Layout: l, Bend: 1}, Note: play.NoteChoice{String: 1}}, "bent"},
		"chokes":    {PlayFilmRequest{Play: PlayRequest{Model: low, Layout: l}, Note: play.NoteChoice{String: 1, Fret: 5}}, "chokes: at rest it lies on fret"},
		"not read":  {PlayFilmRequest{Play: PlayRequest{Model: m, Layout: l, Read: true}, Note: play.NoteChoice{String: 1, Fret: 5}}, "string 1 cannot be seen: no crown in lane 1 is known"},
	} {
		if _, err := PlayFilm(context.Background(), c.r); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := PlayFilm(ctx, PlayFilmRequest{Play: PlayRequest{Model: m, Layout: l}, Note: play.NoteChoice{String: 1, Fret: 5}}); err == nil {
		t.Error("called off, it went on")
	}
}
