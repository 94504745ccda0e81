package booktest

import (
	"context"
	"testing"
	"time"

	"ringtrue/internal/book"
)

// Open gives an empty book whose clock is now, and closes it with the test.
type Open func(t *testing.T, now func() time.Time) book.Store

// Run runs every test of the suite on stores that open makes.
func Run(t *testing.T, open Open) {
	for _, c := range []struct {
		name string
		test func(*testing.T, book.Store, *Clock)
	}{
		{"AddedComesBackByteForByte", testRoundTrip},
		{"TwiceIsOneRecord", testTwice},
		{"EveryPartOfIdentityCounts", testIdentity},
		{"CorrectionNamesTheOldRecord", testCorrection},
		{"ClockSetBackKeepsTheOrder", testClock},
		{"ImportKeepsFreeNumbers", testImportNumbers},
		{"ImportIsAllOrNothing", testImportAtomic},
		{"UnfitEntriesLeaveNothing", testUnfit},
		{"LengthsAreInLetters", testLengths},
		{"FilterPicks", testFilter},
		{"PartWhateverItsCase", testPart},
		{"PagesFollowEachOther", testPages},
		{"WalkByNumber", testWalk},
		{"SweepInStretches", testSweep},
		{"ColumnsSayWhatRecordsSay", testColumns},
		{"RederiveChangesOnlyDerived", testRederive},
		{"StretchReadsAll", testStretch},
		{"ChecksAreRemembered", testRecheck},
		{"ManyAtOnce", testManyAtOnce},
		{"CancelledAddsNothing", testCancel},
		{"OddWordsAreKept", testOddWords},
		{"NotesComeBack", testNotes},
		{"UnfitNotesLeaveNothing", testUnfitNotes},
		{"TouchedSince", testTouched},
		{"HeardComesBack", testHeard},
		{"UnfitHeardLeavesNothing", testUnfitHeard},
		{"HeardIsCharted", testHeardFigures},
		{"SoundAfterAll", testSound},
	} {
		t.Run(c.name, func(t *testing.T) {
			clock := &Clock{At: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
			c.test(t, open(t, clock.Now), clock)
		})
	}
}

func add(t *testing.T, s book.Store, e *book.Entry) book.Receipt {
	t.Helper()
	r, err := s.Add(context.Background(), e)
	if err != nil {
		t.Fatalf("add: %v", err)
	}
	return r
}

func must[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func count(t *testing.T, s book.Store, f book.Filter) int {
	t.Helper()
	n := 0
	if err := s.Scan(context.Background(), f, 0, func(*book.Row) error { n++; return nil }); err != nil {
		t.Fatal(err)
	}
	return n
}
