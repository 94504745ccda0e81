// Package sqlite keeps a book in one SQLite file: write-ahead log, every
// record flushed to the disk before it is said to be there, foreign keys on
// every connection. One machine; several programs may use the file at once.
package sqlite
