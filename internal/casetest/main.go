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
	os.Exit(m.Run())
}

// CollectSeldom is what Main does before the tests.
func CollectSeldom() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
}
