package book_test

import (
	"cmp"
	"context"
	"os"
	"strconv"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/book/booktest"
	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/casetest"
)

// TestFill: a book that is filled fast is one that check finds nothing in, spread
// over its years. RINGTRUE_FILL=/tmp/book.db and RINGTRUE_FILL_NECKS=100000 write
// one to measure with, checked but for the last day; RINGTRUE_FILL_VERSION is the version that judges, as
// `ringtrue version` says it.
func TestFill(t *testing.T) {
	casetest.OneByOne(t)
	path, necks, version := os.Getenv("RINGTRUE_FILL"), 130, os.Getenv("RINGTRUE_FILL_VERSION")
	if path == "" {
		path = t.TempDir() + "/book.db"
	} else if n, err := strconv.Atoi(os.Getenv("RINGTRUE_FILL_NECKS")); err == nil {
		necks = n
	}
	s, err := sqlite.Open(context.Background(), path, sqlite.Options{Create: true, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	judge := answer.Judge(cmp.Or(version, "1.0"))
	booktest.Fill(t, s, booktest.Workshop{Necks: necks, Seed: 1, Years: 20}, &judge)
	if os.Getenv("RINGTRUE_FILL") != "" { // as after a check of all but the last 200, a day's work
		var checked book.NumberSet
		for n := range int64(necks - 200) {
			checked.Add(n + 1)
		}
		if err := s.Remember(context.Background(), judge.Maker(), &checked); err != nil {
			t.Fatal(err)
		}
		return
	}
	c, err := archive.Check(context.Background(), s, judge, archive.Scope{})
	if err != nil || !c.OK || c.Records != necks || len(c.Unread)+c.Older > 0 {
		t.Errorf("%+v, %v", c, err)
	}
	first, last := time.Now(), time.Time{}
	err = s.Scan(context.Background(), book.Filter{}, book.NameColumns, func(r *book.Row) error {
		if r.At.Before(first) {
			first = r.At
		}
		if r.At.After(last) {
			last = r.At
		}
		return nil
	})
	if years := last.Sub(first).Hours() / 24 / 365; err != nil || years < 19 || years > 20 {
		t.Errorf("%g years, %v", years, err)
	}
}
