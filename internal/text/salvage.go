package text

import (
	"fmt"
	"strings"
)

// What heads the lists of a salvage.
const (
	SalvageHurt = "Back, but a part is gone"
	SalvageLost = "Lost"
)

// Salvaged says how many records and notes are back, and where.
func Salvaged(records, notes int, file string) string {
	what := Count(records, "record")
	if notes > 0 {
		what += " and " + Count(notes, "note")
	}
	return what + " back in " + file
}

// SalvageFailed says in a line what a salvage could not give back.
func SalvageFailed(lost, hurt, notes int, cut bool) string {
	var parts []string
	if lost > 0 {
		parts = append(parts, Count(lost, "record")+" lost")
	}
	if hurt > 0 {
		parts = append(parts, fmt.Sprintf("a part of %s gone", Count(hurt, "record")))
	}
	if notes > 0 {
		parts = append(parts, Count(notes, "note")+" lost")
	}
	if cut {
		parts = append(parts, "the file's end is missing, so records may be lost that left no trace")
	}
	return strings.Join(parts, "; ")
}

// maxFree is how many stretches of numbers are listed.
const maxFree = 10

// SalvageFree names the stretches of record numbers without a trace; empty where
// there is none.
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
	return "No trace of these record numbers: " + strings.Join(parts, ", ") + ". They are lost, or no record ever had them."
}

// SalvageIt says what to do with a damaged book.
const SalvageIt = "ringtrue book salvage DAMAGED NEW makes a new book of all that is undamaged"

// What is said of a book that is not safe where it is, or not its owner's alone.
const (
	BookOnNetwork = "this drive may be on another machine; let only one machine use this book, or keep it on PostgreSQL"
	BookReadable  = "others on this computer can read this book; chmod 600 makes it yours alone"
)

// Swept says which unfinished files of stopped programs were removed.
func Swept(names []string) string {
	return "removed what a stopped program left unfinished: " + strings.Join(names, ", ")
}
