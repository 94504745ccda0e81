package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/postgres"
	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/text"
)

// bookVariable names the book where --book does not. A password is safer there
// than in a command line, which others on the machine can see.
const bookVariable = "RINGTRUE_BOOK"

// bookFlag adds --book to a command's flags.
func bookFlag(flags interface {
	StringVar(p *string, name, value, usage string)
}, where *string) {
	flags.StringVar(where, "book", "", "book `FILE`, or postgres://NAME@HOST/DATABASE (default $"+bookVariable+")")
}

// openBook opens the book: a file, a server's address, or "" for the one that
// RINGTRUE_BOOK names, else the maker's own. With create a book that is missing
// is begun.
func (s *streams) openBook(ctx context.Context, where string, create bool) (book.Store, error) {
	where, own, err := bookPlace(where)
	if err != nil {
		return nil, err
	}
	if own && create {
		if err := os.MkdirAll(filepath.Dir(where), 0o700); err != nil {
			return nil, diskError(filepath.Dir(where), err)
		}
	}
	if postgres.IsAddress(where) {
		b, err := postgres.Open(ctx, where, postgres.Options{Create: create, Now: time.Now})
		if err != nil {
			return nil, bookError(err)
		}
		return b, nil
	}
	if regexp.MustCompile(`(?i)://|^postgres(ql)?:`).MatchString(where) { // a slip in an address is no file, and may hold a password
		return nil, inputErrorf("--book: use a file name or postgres://NAME@HOST/DATABASE")
	}
	if create && sqlite.OnNetwork(where) {
		fmt.Fprintln(s.errOut, "ringtrue: "+where+": "+text.BookOnNetwork)
	}
	b, err := sqlite.Open(ctx, where, sqlite.Options{Create: create, Now: time.Now})
	if err != nil {
		return nil, bookError(err)
	}
	return b, nil
}

// bookPlace is the book that a call means; own: nobody named it.
func bookPlace(where string) (place string, own bool, err error) {
	if where == "" {
		where = os.Getenv(bookVariable)
	}
	if where != "" {
		return where, false, nil
	}
	where, err = ownBook(runtime.GOOS, os.Getenv, os.UserHomeDir)
	return where, true, err
}

// tellReadable says that others may read a book that was begun before books were kept
// to their owner. It is not changed: a workshop may share it so.
func (s *streams) tellReadable(where string) {
	place, _, err := bookPlace(where)
	if err != nil || runtime.GOOS == "windows" || postgres.IsAddress(place) {
		return
	}
	if info, err := os.Stat(place); err == nil && info.Mode().Perm()&0o077 != 0 {
		fmt.Fprintln(s.errOut, "ringtrue: "+place+": "+text.BookReadable)
	}
}

// ownBook is where a maker's book lies by the custom of a system (a GOOS), in
// that system's own way to write a path. Linux and the like: XDG Base Directory
// Specification 0.8.
func ownBook(system string, env func(string) string, home func() (string, error)) (string, error) {
	var dir string
	slash, below := "/", []string{".local", "share"}
	switch system {
	case "windows":
		dir = env("LocalAppData")
		slash, below = `\`, []string{"AppData", "Local"}
	case "darwin":
		below = []string{"Library", "Application Support"}
	default:
		dir = env("XDG_DATA_HOME")
	}
	parts := []string{strings.TrimRight(dir, slash)}
	if !wholePath(system, dir) { // a relative one is to be ignored
		h, err := home()
		if err != nil {
			return "", inputErrorf("no home folder for the book; name a file with --book FILE")
		}
		parts = append([]string{strings.TrimRight(h, slash)}, below...)
	}
	return strings.Join(append(parts, "ringtrue", "book.db"), slash), nil
}

// wholePath reports whether a path begins at the top of a disk of a system: on
// Windows at a drive or at another machine's share.
func wholePath(system, path string) bool {
	if system != "windows" {
		return strings.HasPrefix(path, "/")
	}
	return regexp.MustCompile(`^([A-Za-z]:[\\/]|\\\\)`).MatchString(path)
}

// bookError tells the caller's faults from the store's.
func bookError(err error) error {
	var in inputError
	var f failure
	switch {
	case err == nil, errors.Is(err, context.Canceled), errors.Is(err, errCheckFailed), fileerr.Is(err), errors.As(err, &in), errors.As(err, &f):
		return err
	case book.IsCall(err):
		return usageError(err)
	}
	return failuref("%w", err)
}

// withBook opens a book, hands it to a job and closes it.
func (s *streams) withBook(ctx context.Context, where string, create bool, do func(book.Store) error) error {
	b, err := s.openBook(ctx, where, create)
	if err != nil {
		return err
	}
	closed := s.edge.opened(b)
	err = bookError(do(b))
	closed()
	if closeErr := b.Close(); closeErr != nil && err == nil {
		err = failuref("%s: %w", b.Where(), closeErr)
	}
	return err
}

// withoutSecrets takes passwords out of a message: whatever stands before the @
// of an address, and after "password=".
func withoutSecrets(message string) string {
	message = regexp.MustCompile(`(://)[^\n/]*:[^\n]*@`).ReplaceAllString(message, "${1}…@")
	return regexp.MustCompile(`(?i)(password=)('[^'\n]*'|[^&\s"]*)`).ReplaceAllString(message, "${1}…")
}
