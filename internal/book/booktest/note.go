package booktest

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
)

// testNotes: a note comes back as it was said, in order, with its number and time where
// it comes from another book; the same one twice is one note.
func testNotes(t *testing.T, s book.Store, clock *Clock) {
	ctx := context.Background()
	glued := clock.At.Add(-10 * time.Minute)
	said := []book.Said{{Serial: "0412", Text: "glued at 8:50 with hide", By: "Ines", At: glued}, {Serial: "0412", Text: "handed to Ørjan", At: clock.At}}
	first := must[[]book.NoteReceipt](t)(s.AddNotes(ctx, said))
	if len(first) != 2 || !first[0].New || first[0].Number != 1 || first[1].Number != 2 || !first[1].Added.After(first[0].Added) {
		t.Fatalf("%+v", first)
	}
	clock.At = clock.At.Add(-time.Hour) // a clock set back keeps the order
	other := book.Said{Serial: "0413", Text: "waiting for wire", At: clock.At, Added: clock.At.Add(-time.Hour), Number: 7}
	last := must[[]book.NoteReceipt](t)(s.AddNotes(ctx, []book.Said{other, {Serial: "0412", Text: "sold", At: clock.At}}))
	if last[0].Number != 7 || !last[0].Added.Equal(other.Added) || !last[1].Added.After(first[1].Added) {
		t.Errorf("%+v", last)
	}
	all := must[[]book.Said](t)(s.Notes(ctx, "0412", time.Time{}))
	if len(all) != 3 || all[0].Text != said[0].Text || all[0].By != "Ines" || !all[0].At.Equal(glued) || all[2].Text != "sold" {
		t.Fatalf("%+v", all)
	}
	for _, n := range all {
		if err := n.Intact(); err != nil {
			t.Error(err)
		}
	}
	again := must[[]book.NoteReceipt](t)(s.AddNotes(ctx, append(all, other)))
	for i, r := range again {
		if r.New {
			t.Errorf("note %d is there twice", i)
		}
	}
	if late := must[[]book.Said](t)(s.Notes(ctx, "", all[2].Added)); len(late) != 1 || late[0].Text != "sold" {
		t.Errorf("since: %+v", late)
	}
	if n, err := s.LastNote(ctx); err != nil || n != 8 {
		t.Errorf("the last note is %d, %v", n, err)
	}
}

// testUnfitNotes: of notes of which one is unfit none is kept.
func testUnfitNotes(t *testing.T, s book.Store, clock *Clock) {
	for _, bad := range []book.Said{{Serial: "0412", At: clock.At}, {Text: "sold", At: clock.At}, {Serial: "a/b", Text: "sold", At: clock.At},
		{Serial: "0412", Text: "two\nlines", At: clock.At}, {Serial: "0412", Text: strings.Repeat("x", 501), At: clock.At}, {Serial: "0412", Text: "sold"}} {
		good := book.Said{Serial: "0412", Text: "glued", At: clock.At}
		if _, err := s.AddNotes(context.Background(), []book.Said{good, bad}); !errors.Is(err, book.ErrEntry) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	if n, err := s.LastNote(context.Background()); err != nil || n != 0 {
		t.Errorf("%d notes are there, %v", n, err)
	}
}

// testTouched: records in force since a time, a correction at the time of the first that
// it corrects.
func testTouched(t *testing.T, s book.Store, clock *Clock) {
	ctx := context.Background()
	add(t, s, Entry(1, "seated", 1))
	clock.At = clock.At.Add(time.Hour)
	seated := Entry(2, "seated", 1)
	since := add(t, s, seated).Added
	clock.At = clock.At.Add(time.Hour)
	strung := add(t, s, Entry(2, "strung", 1))
	clock.At = clock.At.Add(time.Hour)
	id := seated.Identity()
	right := Entry(2, "seated", 2)
	right.Corrects, right.By, right.Why = &id, "Ines", "dial misread"
	add(t, s, right)
	id = right.Identity() // a correction of a correction: still the time of the first
	right = Entry(2, "seated", 3)
	right.Corrects, right.By, right.Why = &id, "Ines", "misread again"
	number := add(t, s, right).Number
	all := must[[]book.Touched](t)(s.Touched(ctx, since))
	if len(all) != 2 || all[0].Number != strung.Number || all[1].Number != number || !all[1].At.Equal(since) || all[0].Stage != "strung" {
		t.Errorf("%+v", all)
	}
}
