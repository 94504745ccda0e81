package text

import (
	"strings"
	"testing"

	"ringtrue/internal/ear"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// Every cause says where to look, and the head says no more than the report does.
func TestEar_Words(t *testing.T) {
	buzz := func(c ear.Cause, fret int) ear.Disagreement {
		return ear.Disagreement{Answer: ear.Answer{String: 2, Fret: fret, Touch: "firm", Buzzes: true}, Heard: play.Buzzes, Predicted: play.Clear, MarginMM: num.Some(0.239), Cause: c}
	}
	last, quiet := buzz(ear.Single, 22), buzz(ear.Hand, 5)
	last.MarginMM, quiet.Heard = num.Opt{}, play.Clear
	for _, c := range []struct{ got, want string }{
		{EarLine(buzz(ear.Nut, 0)), "string 2, open, firm: heard buzzes; "},
		{EarWhy(buzz(ear.Nut, 0)), "it clears every crown by 0.23 mm. Check the nut slot"},
		{EarWhy(buzz(ear.Fret, 5)), "Is fret 5 or 6 loose?"},
		{EarWhy(buzz(ear.String, 5)), "saddle slot and windings"},
		{EarWhy(buzz(ear.Hand, 5)), "you plucked harder"},
		{EarWhy(buzz(ear.Single, 5)), "Play it again; if it repeats"},
		{EarWhy(last), "no crown lies beyond it"},
		{EarWhy(quiet), "you plucked more lightly"},
		{EarLook(ear.Look{Cause: ear.Fret, Fret: 5, Notes: 6, Of: 6, Expected: 1}), "Stopped at fret 5: 6 of 6 buzz, 1.0 expected. Press on frets 5 and 6"},
		{EarLook(ear.Look{Cause: ear.Nut, Notes: 5, Of: 6}), "Open strings: 5 of 6 buzz"},
		{EarHead(&ear.Report{}), "NO FRET NAMED"},
		{EarHead(&ear.Report{HighFret: &ear.High{Fret: 7}}), "FRET 7 IS PROBABLY HIGH"},
		{EarHead(&ear.Report{Read: true}), "NOTHING TO COMPARE"},
		{EarHead(&ear.Report{Read: true, Comparison: ear.Comparison{Compared: 9, Wrongs: 1}}), "EAR AND PREDICTION AGREE"},
		{EarHead(&ear.Report{Read: true, Comparison: ear.Comparison{Compared: 9, Hand: num.Some(1.5)}}), "EAR AND PREDICTION DISAGREE"},
		{strings.Join(EarSays(&ear.Report{Read: true, Comparison: ear.Comparison{Compared: 9, Hand: num.Some(1.52)}}), " "), "The answers fit a pluck 1.5 times as hard as the touch"},
		{strings.Join(EarSays(&ear.Report{Likeliest: []ear.High{{Fret: 4, Chance: 0.5}}}), " "), "The likeliest is fret 4, chance 0.50."},
	} {
		if !strings.Contains(c.got, c.want) {
			t.Errorf("%q, want %q in it", c.got, c.want)
		}
	}
}
