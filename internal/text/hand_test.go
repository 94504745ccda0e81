package text

import (
	"testing"

	"ringtrue/internal/findings"
	"ringtrue/internal/hand"
	"ringtrue/internal/num"
)

func TestHandWords(t *testing.T) {
	for got, want := range map[string]string{
		twoDigits(0.0694):                  "0.069",
		twoDigits(2.44):                    "2.4",
		twoDigits(9.96):                    "10",
		twoDigits(38.2):                    "38",
		twoDigits(0):                       "0",
		roundCount(7.4):                    "7",
		roundCount(137):                    "140",
		roundCount(1961):                   "2000",
		FlatsEnd(12.2, 3, 14, true):        "Flats end 12 % deep (6 to 18 %, 19 times in 20; 14 flats): plans allow for it.",
		FlatsEnd(-5, 4, 1, false):          "Flats end 5 % short (-3 to 13 %, 19 times in 20; 1 flat): maybe chance.",
		TimeTotal(90.2, 111.3):             "about 90 min. Quote 111: 8 times in 10 it takes no longer.",
		TimeStep("file", "7", 1):           "file fret 7",
		TimeStep("file", "", 3):            "file 3 frets",
		TimeStep("beam", "10-22", 1):       "beam over frets 10-22",
		MoveStrokes(findings.Move{}):       "",
		HandNext(hand.Known{}):             `Write down what you do: book add … --strokes "file 7: 40; beam 10-22: 120".`,
		NoStrokesBy(`"Ole"`, []string{""}): `The book has no strokes by "Ole", so usual strokes and flats are used.`,
		MoveStrokes(findings.Move{Tool: "beam", Strokes: num.Some(131), StrokesRange: []float64{82, 212}}): "By your record about 130 double strokes (82 to 210, 9 times in 10).",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
