package text

import (
	"fmt"
	"strings"
)

// What heads the lists of a salvage, and what to do with a damaged book.
const (
	SalvageHurt = "Recovered in part"
	SalvageLost = "Lost"
	SalvageIt   = "ringtrue book salvage DAMAGED NEW makes a new book of all that is undamaged"
)

// Salvaged says how many records, notes and play-throughs are back, and where.
func Salvaged(records, notes, heard int, file string) string {
	more := counted([]quantity{{notes, "note", "%s"}, {heard, "play-through", "%s"}})
	return strings.Join(append([]string{Count(records, "record")}, more...), " and ") + " recovered into " + file
}

// quantity is a number of things and what is said of them.
type quantity struct {
	n           int
	thing, said string
}

// counted says of which things there are any.
func counted(all []quantity) (parts []string) {
	for _, q := range all {
		if q.n > 0 {
			parts = append(parts, fmt.Sprintf(q.said, Count(q.n, q.thing)))
		}
	}
	return parts
}

// Unsaved counts what a salvage could not give back: records, a part of records, notes,
// play-throughs and recordings. Cut: the file's end is missing.
type Unsaved struct {
	Lost, Hurt, Notes, Heard, Sounds int
	Cut                              bool
}

// SalvageFailed says in a line what a salvage could not give back.
func SalvageFailed(u Unsaved) string {
	parts := counted([]quantity{{u.Lost, "record", "%s lost"}, {u.Hurt, "record", "%s lost in part"}, {u.Notes, "note", "%s lost"},
		{u.Heard, "play-through", "%s lost"}, {u.Sounds, "recording", "%s lost"}})
	if u.Cut {
		parts = append(parts, "the file's end is missing, so records may be lost without a trace")
	}
	return strings.Join(parts, "; ")
}

// maxFree is how many stretches of numbers are listed.
const maxFree = 10

// SalvageFree names the stretches of record numbers without a trace; empty: none.
func SalvageFree(stretches [][2]int64) string {
	var parts []string
	for i, s := range stretches {
		switch {
		case i == maxFree:
			parts = append(parts, fmt.Sprintf("%d more stretches", len(stretches)-i))
		case i > maxFree:
		case s[0] == s[1]:
			parts = append(parts, fmt.Sprint(s[0]))
		default:
			parts = append(parts, fmt.Sprintf("%d to %d", s[0], s[1]))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "No trace of these record numbers: " + strings.Join(parts, ", ") + ". They are lost, or were never used."
}

// What is said of a book that is not safe where it is, or not its owner's alone.
const (
	BookOnNetwork = "this drive may be on another computer. Let only one computer use this book, or use PostgreSQL"
	BookReadable  = "others on this computer can read this book; chmod 600 makes it yours alone"
)

// Swept says which unfinished files of stopped programs were removed.
func Swept(names []string) string {
	return "removed what a stopped program left unfinished: " + strings.Join(names, ", ")
}
