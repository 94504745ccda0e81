// Package cli turns a command line into one call of package answer and prints the
// answer. It parses, calls and prints; it works nothing out.
package cli
