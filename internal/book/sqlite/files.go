package sqlite

import (
	"errors"
	"os"
	"runtime"
)

// files is what a backup and a new book ask of the disk beside what SQLite asks of it. Tests
// have a disk that fails.
type files interface {
	temp(dir, pattern string) (path string, err error) // an empty file of a new name, its owner's alone
	sync(path string) error                            // a file, or a folder's entries
	link(from, to string) error                        // never over another file
	reserve(path string) error                         // an empty file where there is none
	rename(from, to string) error
	remove(path string) error
}

// system is the files of this machine.
type system struct{}

func (system) temp(dir, pattern string) (string, error) {
	f, err := os.CreateTemp(dir, pattern)
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// sync asks the disk to keep it. Windows keeps it by itself, and lets nobody ask.
func (system) sync(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

func (system) link(from, to string) error { return os.Link(from, to) }

func (system) reserve(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	return f.Close()
}

func (system) rename(from, to string) error { return os.Rename(from, to) }

func (system) remove(path string) error { return os.Remove(path) }
