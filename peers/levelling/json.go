package main

import (
	"encoding/json"
	"os"
)

// line is one comparison, for another program to read.
type line struct {
	Work, Peer            string
	TheirsUS, OursUS      float64 // a lane or a neck, in µs
	DifferMM, WantedRatio float64 // WantedRatio 0: none
	Pieces                int
	LeftOutOrDiffering    string `json:",omitempty"`
}

// save writes the table to a file; with no name it does nothing.
func (t *report) save(path string) error {
	if path == "" {
		return nil
	}
	var lines []line
	for _, r := range t.rows {
		lines = append(lines, line{r.what, r.peer, r.theirs, r.ours, r.differ, r.wanted, r.count, ""})
	}
	for _, f := range t.faults {
		lines = append(lines, line{LeftOutOrDiffering: f})
	}
	text, err := json.MarshalIndent(lines, "", " ")
	if err != nil {
		return err
	}
	return os.WriteFile(path, append(text, '\n'), 0o600)
}
