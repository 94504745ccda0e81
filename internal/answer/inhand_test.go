package answer_test

import (
	"path/filepath"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/inhand"
	"ringtrue/internal/neck"
)

// A correction does not undo what was said since the record that it corrects, however
// long ago that was; the list and the answer to a note agree.
func TestInHand_CorrectedLater(t *testing.T) {
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	s, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: func() time.Time { return now }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	e := &book.Entry{Serial: "0412", Stage: "seated", By: "Tom", Files: book.Files{Neck: book.File{Name: "heron.toml", Bytes: []byte("n")}, Readings: book.File{Name: "a.csv", Bytes: []byte("r")}}}
	if _, err := s.Add(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	now = now.AddDate(0, 0, 20)
	if _, err := answer.Tell(t.Context(), s, book.Said{Serial: "0412", Text: "sold"}, now, false, neck.UsualShop()); err != nil {
		t.Fatal(err)
	}
	now = now.AddDate(0, 0, 95)
	id := e.Identity()
	e.Corrects, e.Why, e.Files.Readings.Bytes = &id, "dial misread", []byte("q")
	if _, err := s.Add(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	for _, serial := range []string{"", "0412"} {
		a, err := answer.InHand(t.Context(), s, answer.InHandRequest{Now: now, Days: 90, Serial: serial, All: true, Shop: neck.UsualShop()})
		if err != nil || len(a.Necks) != 1 || a.Necks[0].Step != inhand.Done {
			t.Errorf("serial %q: %+v, %v", serial, a, err)
		}
	}
}

// A neck whose answer says to file nothing yet is never to be levelled.
func TestInHand_NothingIsFiledOnTooFewReadings(t *testing.T) {
	if w := answer.InHandWorkOf(&answer.FretsAnswer{WhyNot: "7 crowns are not determined."}); !w.Wait || w.File > 0 {
		t.Errorf("%+v", w)
	}
}
