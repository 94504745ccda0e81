// Package salvage gives back from a damaged book whatever of it is whole. It reads
// the file's rows where they lie (package pages), asks no index and no database, and
// holds every record against the book's own checksums: what is given back is what
// was put in.
package salvage
