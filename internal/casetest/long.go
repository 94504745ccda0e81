package casetest

import (
	"os"
	"testing"
)

// Long is whether a test that draws many necks, or types many readings, does all of
// them, and not the fewer that find the same fault in seconds: with
// RINGTRUE_TEST_LONG set.
func Long() bool { return os.Getenv("RINGTRUE_TEST_LONG") != "" }

// Many is the number for a long run, or the number for any other.
func Many(long, otherwise int) int {
	if Long() {
		return long
	}
	return otherwise
}

// OneByOne skips a long test, in a short run under the race detector, in which nothing
// runs side by side that shorter tests of the package do not run too.
func OneByOne(t testing.TB) {
	t.Helper()
	if racing && testing.Short() {
		t.Skip("nothing here runs side by side that other tests do not")
	}
}
