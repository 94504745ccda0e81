package casetest

import "os"

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
