package cli

import (
	"bytes"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/hand"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
)

// All that the book can know of a hand stands in twelve lines.
func TestBookHand_TwelveLines(t *testing.T) {
	a := &answer.BookHandAnswer{By: "Ines", Hands: []string{"Ines"}, Untold: 12, Unread: []int64{1011, 1012, 1013, 1014, 1015, 1016},
		Flats:   &answer.HandFlats{Flats: 114, Necks: 20, DeeperPct: -12.4, UPct: 11, ScatterMM: num.Some(0.04)},
		Minutes: answer.HandMinutes{Jobs: 12}, Next: text.HandNext(hand.Known{})}
	for range 5 {
		a.Removal = append(a.Removal, answer.HandRemoval{Key: hand.Key{By: "Ines", Tool: hand.Beam, Paper: "P400", Wire: "C75200"}, Necks: 12, Entries: 140,
			PerStroke: 0.0054, Range: []float64{0.0043, 0.0065}, DepthFactor: 1.6, WornPct: num.Some(-40)})
	}
	var b bytes.Buffer
	bookHand(&b, a)
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	if len(lines) > 12 || len(lines) < 9 {
		t.Errorf("%d lines:\n%s", len(lines), b.String())
	}
	for _, want := range []string{"and 3 more", "40 % less", "12 % short", "0.04 mm", "12 jobs", "12 entries left out", "1011, 1012"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
}
