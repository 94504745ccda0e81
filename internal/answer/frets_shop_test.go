package answer_test

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/demo"
	"ringtrue/internal/readplan"
)

func emptyBook(t *testing.T) book.Store {
	t.Helper()
	b, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

func fill(t *testing.T, s book.Store, necks int, seed uint64) {
	t.Helper()
	d, err := demo.New(demo.Request{Necks: necks, Seed: seed})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Fill(t.Context(), s, answer.Judge("test"), nil, nil); err != nil {
		t.Fatal(err)
	}
}

// TestShopOf: the invented shop's frets go in within 4 to 8 µm, and lie far closer
// once they are filed; a stage that the book has not is said to be missing.
func TestShopOf(t *testing.T) {
	if testing.Short() {
		t.Skip("many necks; the workers are raced in package heights")
	}
	s := emptyBook(t)
	if _, err := answer.ShopOf(t.Context(), s, ""); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("an empty book: %v", err)
	}
	fill(t, s, 30, 5)
	seated, err := answer.ShopOf(t.Context(), s, "")
	if err != nil || seated.Necks < 30 || seated.FretMM < 0.0035 || seated.FretMM > 0.009 || seated.Odd <= 0.02 || seated.Odd > 0.2 {
		t.Errorf("%+v, %v", seated, err)
	}
	levelled, err := answer.ShopOf(t.Context(), s, "levelled")
	if err != nil || levelled.FretMM >= seated.FretMM/1.5 {
		t.Errorf("levelled %+v, seated %+v, %v", levelled, seated, err)
	}
	if _, err := answer.ShopOf(t.Context(), s, "nonesuch"); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("%v", err)
	}
}

// Too few frets show nothing: the usual shop is taken.
func TestShopOf_Few(t *testing.T) {
	s := emptyBook(t)
	fill(t, s, 1, 5)
	if shop, err := answer.ShopOf(t.Context(), s, ""); err != nil || shop != readplan.UsualShop() {
		t.Errorf("%+v, %v", shop, err)
	}
}
