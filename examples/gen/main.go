package main

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "gen: name the folder with the neck files")
		os.Exit(2)
	}
	if err := write(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(1)
	}
}

// write writes the readings of every example beside its neck file.
func write(dir string) error {
	for _, e := range examples() {
		text, err := e.readings(dir)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, e.file+"-seated.csv"), []byte(text), 0o644); err != nil {
			return err
		}
	}
	files, err := stages(dir)
	if err != nil {
		return err
	}
	pair, err := pairOf(dir)
	if err != nil {
		return err
	}
	maps.Copy(files, pair)
	ofFirst, err := firstFiles(dir)
	if err != nil {
		return err
	}
	for name, text := range ofFirst {
		files[filepath.Join(firstFolder, name)] = text
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// example is one neck and how it is read.
type example struct {
	file   string // of the neck, without .toml
	seed   uint64
	faults []fault
	take   func(*bench, *notes)
}

// readings invents the neck and reads it.
func (e example) readings(dir string) (string, error) {
	path := filepath.Join(dir, e.file+".toml")
	data, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	b, err := newBench(path, data, e.seed, e.faults)
	if err != nil {
		return "", err
	}
	n := &notes{}
	e.take(b, n)
	return n.text(), nil
}
