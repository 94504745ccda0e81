package casetest

import (
	"os"
	"runtime/debug"
	"testing"
)

// Main runs a package's tests with fewer collections of memory: they took a seventh of
// the processor's time. GOGC says otherwise, where it is set.
func Main(m *testing.M) {
	CollectSeldom()
	OwnSettings()
	os.Exit(m.Run())
}

// CollectSeldom is what Main does before the tests.
func CollectSeldom() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
}

// OwnSettings forgets what the shop that runs the tests has set for its own calls, its
// units, book and shop file: expected answers know nothing of them.
func OwnSettings() {
	for _, name := range []string{"RINGTRUE_UNITS", "RINGTRUE_BOOK", "RINGTRUE_SHOP"} {
		os.Unsetenv(name)
	}
}
