package main

import (
	"encoding/json"
	"os"
)

// line is one program's times on a touch, for another program to read.
type line struct {
	Touch, Program string
	Seconds        float64 // processor time of the whole neck on one core
	One, Two       float64 `json:",omitempty"` // by the clock, on one and on two cores
	Touched        int     // notes that touch a fret
	Differ         int     // notes that differ from the Go peer's
}

// save writes the lines to a file; with no name it does nothing.
func save(path string, lines []line) error {
	if path == "" {
		return nil
	}
	text, err := json.MarshalIndent(lines, "", " ")
	if err != nil {
		return err
	}
	return os.WriteFile(path, append(text, '\n'), 0o600)
}
