package cli

import (
	"errors"
	"io/fs"
	"syscall"
)

// diskError says in plain words why a file or folder cannot be made or
// written: 2 where the path is wrong, 3 where the disk refuses. The system's own reason
// comes last.
func diskError(path string, err error) error {
	switch {
	case errors.Is(err, syscall.ENOTDIR):
		return inputErrorf("%s: a file is in place of a folder; name another place", path)
	case errors.Is(err, syscall.ENAMETOOLONG):
		return inputErrorf("%s: the name is too long", path)
	}
	reason := err
	var on *fs.PathError
	if errors.As(err, &on) {
		reason = on.Err // the path is said already, or is one of our own
	}
	switch {
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrNotExist):
		return failuref("%s: can't write there; name another place: %w", path, reason)
	case errors.Is(err, syscall.ENOSPC):
		return failuref("%s: the disk is full: %w", path, reason)
	}
	return failuref("%s: cannot be written: %w", path, reason)
}
