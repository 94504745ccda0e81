// Package fileerr holds faults found in a file the maker gave: where each
// stands and what would be right, all of them at once.
package fileerr
