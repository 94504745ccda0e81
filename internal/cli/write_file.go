package cli

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// newFileMode is that of a file that replaces none.
const newFileMode = 0o644

// maxLinks is how many symbolic links are followed one after the other.
const maxLinks = 40

// writeFile writes a whole file or none: beside its place first, then renamed. A link
// stays one, and what it names is replaced; a file that is replaced keeps its mode.
func writeFile(path string, data []byte) error {
	place, err := throughLinks(path)
	if err != nil {
		return diskError(path, err)
	}
	mode := fs.FileMode(newFileMode)
	info, err := os.Stat(place)
	switch {
	case err == nil && info.IsDir():
		return inputErrorf("%s: is a folder; name a file", path)
	case err == nil && !info.Mode().IsRegular(): // a terminal, a pipe
		return writeInto(path, data)
	case err == nil:
		mode = info.Mode().Perm()
	}
	dir := filepath.Dir(place)
	f, err := os.CreateTemp(dir, ".ringtrue-*")
	if errors.Is(err, fs.ErrNotExist) {
		return inputErrorf("%s: no such folder", dir)
	}
	if err != nil {
		return diskError(path, err)
	}
	defer os.Remove(f.Name()) // does nothing once renamed
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	if err == nil {
		err = os.Rename(f.Name(), place)
	}
	if err != nil {
		return diskError(path, err)
	}
	return nil
}

// throughLinks is the place that a path names, past its symbolic links; nothing need
// be there.
func throughLinks(path string) (string, error) {
	for range maxLinks {
		info, err := os.Lstat(path)
		if err != nil || info.Mode()&fs.ModeSymlink == 0 {
			return path, nil
		}
		to, err := os.Readlink(path)
		if err != nil {
			return "", err
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	return "", &fs.PathError{Op: "open", Path: path, Err: errors.New("too many links")}
}

// writeInto writes to what is no plain file.
func writeInto(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return diskError(path, err)
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Close()); err != nil {
		return diskError(path, err)
	}
	return nil
}
