package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"syscall"

	"golang.org/x/term"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// Most bytes that are read of a file: more is no neck and no set of readings.
const (
	maxNeckBytes     = 1 << 20
	maxReadingsBytes = 64 << 20
)

// readFile reads a file the maker named, "-" being standard input.
func (s *streams) readFile(path, what string, most int64) ([]byte, error) {
	if path == "-" {
		if s.inUse != "" {
			return nil, inputErrorf("standard input was already read for the %s", s.inUse)
		}
		s.inUse = what
		return readUpTo(s.in, "standard input", most)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, pathError(path, err)
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, inputErrorf("%s: is a folder, not a %s file", path, what)
	}
	return readUpTo(f, path, most)
}

// shown is how a file is named in messages.
func shown(path string) string {
	if path == "-" {
		return "standard input"
	}
	return path
}

func readUpTo(r io.Reader, name string, most int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, most+1))
	if err != nil {
		return nil, pathError(name, err)
	}
	if int64(len(data)) > most {
		return nil, inputErrorf("%s: is larger than %d MB, too large for this kind of file", name, most>>20)
	}
	return data, nil
}

// pathError tells a wrong path from a failing disk.
func pathError(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR):
		return inputErrorf("%s: no such file", path)
	case errors.Is(err, fs.ErrPermission):
		return inputErrorf("%s: no permission to read it", path)
	case errors.Is(err, syscall.EISDIR):
		return inputErrorf("%s: is a folder, not a file", path)
	}
	return failuref("%s: %w", path, err)
}

// loadNeck reads a neck file and lays it out.
func (s *streams) loadNeck(path string) (neck.Model, *geometry.Layout, error) {
	data, err := s.readFile(path, "neck", maxNeckBytes)
	if err != nil {
		return neck.Model{}, nil, err
	}
	m, err := neck.Parse(shown(path), data)
	if err != nil {
		return neck.Model{}, nil, err
	}
	l, err := geometry.New(m)
	if err != nil {
		return neck.Model{}, nil, inputErrorf("%s: %w", path, err)
	}
	return m, l, nil
}

// loadReadings reads a readings file of a neck.
func (s *streams) loadReadings(path string, l *geometry.Layout, grid gridOptions) (reading.Set, error) {
	data, err := s.readReadings(path, grid)
	if err != nil {
		return reading.Set{}, err
	}
	return reading.Parse(shown(path), bytes.NewReader(data), reading.Bounds{
		FirstFret: l.FirstFret(), LastFret: l.LastFret(), Strings: l.Strings(), New: true,
	})
}

// printJSON prints an answer as indented JSON.
func (s *streams) printJSON(answer any) error {
	e := json.NewEncoder(s.out)
	e.SetIndent("", " ")
	e.SetEscapeHTML(false)
	if err := e.Encode(answer); err != nil {
		return outputError(err)
	}
	return nil
}

// say prints an answer: as JSON, or in words.
func (s *streams) say(asJSON bool, answer any, words func()) error {
	if asJSON {
		return s.printJSON(answer)
	}
	words()
	return nil
}

// wantsColour says whether the answer goes to a terminal and nobody asked for
// plain text (NO_COLOR, or TERM=dumb).
func wantsColour(out io.Writer) bool {
	if os.Getenv("NO_COLOR") != "" || os.Getenv("TERM") == "dumb" {
		return false
	}
	f, ok := out.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
