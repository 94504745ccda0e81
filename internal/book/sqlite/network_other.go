//go:build !linux

package sqlite

// OnNetwork reports whether a file's folder lies on another machine's disk. This system
// is not asked.
func OnNetwork(string) bool { return false }
