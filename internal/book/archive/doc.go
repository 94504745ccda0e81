// Package archive is a book outside its store: every record as plain files, with
// a record.json that holds all but the two files; an import that takes nothing
// which is not as it was exported; a check of every record against its checksums
// and against what its files say now, and rebuilding what was worked out.
package archive
