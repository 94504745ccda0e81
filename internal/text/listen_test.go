package text

import (
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/heard"
	"ringtrue/internal/listen"
	"ringtrue/internal/num"
	"ringtrue/internal/recording"
	"ringtrue/internal/tune"
)

// told is a report with something of everything.
func told() *listen.Report {
	early := listen.Note{String: 5, Fret: 3, DiesEarly: true, RingShare: num.Some(0.24)}
	early.Note = heard.Note{RingS: num.Some(0.6)}
	return &listen.Report{Neck: "Heron 22", A4Hz: 440, Fits: true, Expected: 138, Heard: 134, Notes: []listen.Note{{String: 6}, early},
		Missing: []listen.Missing{{String: 2, Fret: 9}, {String: 1, Fret: 20}, {String: 1, Fret: 21}, {String: 1, Fret: 22}}, Unnamed: []listen.Unnamed{{AtS: 3}},
		Strings: []listen.String{
			{String: 6, TunedBy: -2}, {String: 5, TunedBy: -2}, {String: 4, Doubt: listen.WrongStiffness, StiffnessNMM2: num.Some(300), FileNMM2: 120},
			{String: 3, OpenCents: num.Some(-12.2), Saddle: &tune.Moves{SaddleMM: 0.2, USaddleMM: 0.2}},
			{String: 1, Doubt: listen.WrongGauge, GaugeMM: num.Some(0.2794), UGaugeMM: num.Some(0.01), GaugeFileMM: num.Some(0.254)}},
		Flaws: []recording.Flaw{recording.DeadSide, recording.Clipped, recording.Gated}}
}

// What a recording tells is said in these words, and no more than it tells.
func TestListen_Words(t *testing.T) {
	r := told()
	warnings, says := ListenWarnings(r), ListenSays(r)
	for _, c := range []struct{ got, want string }{
		{ListenHead(r), "134 OF 138 NOTES HEARD"},
		{ListenMissing(r), "not heard: string 2 fret 9; string 1 frets 20-22. not one of these notes: 1 sound"},
		{warnings[0], "one side of the recording is dead; the other was used"},
		{warnings[3], "strings 5, 6 are tuned 2 semitones below the neck file. Tune again, or correct the file"},
		{says[0], "open strings out of tune, in cents: string 3 -12"},
		{says[1], "leave the saddle: no move is sure, each string is right to within 0.60 mm"},
		{says[2], "dies early: string 5 fret 3 (0.60 s, 0.24 of its neighbours'). Usually the wood, seldom the fret"},
		{says[3], "gauge by sound, as plain steel: string 1 0.279 mm, within 0.020 mm (file 0.254 mm). Measure, and correct the file"},
		{says[4], "stiffness by sound: string 4 2.5 times the file's. Give the core, or use --learn"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	if len(warnings) != 4 || len(says) != 5 {
		t.Errorf("%q and %q", warnings, says)
	}
	for _, words := range append(warnings, says...) {
		if on := ListenOnPage(words); strings.Contains(on, "--") {
			t.Errorf("a page names an option: %q", on)
		}
	}
	r.Strings[3].Saddle.USaddleMM = 1.2
	if words := ListenSays(r)[1]; words != "no saddle move is sure: a string may be off by up to 2.60 mm. Play all its frets" {
		t.Errorf("%q", words)
	}
	r.Strings[3].Saddle = &tune.Moves{SaddleMM: 0.5, USaddleMM: 0.2}
	if slices.Contains(ListenSays(r), says[1]) {
		t.Error("a saddle that should move is left")
	}
	for _, words := range append(warnings, says...) {
		if len(words) > 170 || strings.Contains(words, "buzz") {
			t.Errorf("too long, or of a buzz: %q", words)
		}
	}
}

// A recording that is not this neck's is told so, and nothing follows from it.
func TestListen_NotThisNeck(t *testing.T) {
	r := told()
	r.Fits, r.Flaws = false, nil
	if w := ListenWarnings(r); ListenHead(r) != "NOT THIS NECK PLAYED THROUGH" || len(w) != 1 || !strings.HasPrefix(w[0], "1 sound, not this neck's notes in this order") || len(ListenSays(r)) != 0 {
		t.Errorf("%q, %q", w, ListenSays(r))
	}
	r.Reversed = true
	if w := ListenWarnings(r); len(w) != 1 || !strings.Contains(w[0], "add --strings") || strings.Contains(ListenOnPage(w[0]), "--") {
		t.Errorf("%q", w)
	}
	r.Reversed, r.Notes, r.Unnamed = false, nil, nil
	if w := ListenWarnings(r); ListenHead(r) != "NO NOTES HEARD" || len(w) != 1 || !strings.HasPrefix(w[0], "no sound in this recording begins like a plucked note") {
		t.Errorf("%q", w)
	}
}
