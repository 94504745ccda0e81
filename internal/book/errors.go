package book

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"ringtrue/internal/fileerr"
)

// Kinds of fault, for errors.Is. The first group is a wrong call or input, the
// second a store that fails.
var (
	ErrNotFound = errors.New("not in the book")
	ErrNoBook   = errors.New("no book there")
	ErrNotABook = errors.New("not a book of this program")
	ErrNewer    = errors.New("the book was made by a newer version of this program")
	ErrRefused  = errors.New("the server refuses the name or the password")
	ErrNoTLS    = errors.New("no encrypted connection")
	ErrEntry    = errors.New("not fit for the book")
	ErrUnlike   = errors.New("these cannot be compared")

	ErrDamaged  = errors.New("damaged")
	ErrReadOnly = errors.New("the book may not be written")
	ErrNoRights = errors.New("you have no rights to the book there")
	ErrFull     = errors.New("the disk is full")
	ErrBusy     = errors.New("another program is using the book")
	ErrCrowded  = errors.New("the server is full")
	ErrLost     = errors.New("the database does not answer")

	errUnsigned = fmt.Errorf("correction: %w: say who corrects (--by) and why (--why)", ErrEntry)
)

// IsKnown reports whether an error is said in the book's terms already.
func IsKnown(err error) bool {
	for _, e := range []error{ErrDamaged, ErrReadOnly, ErrNoRights, ErrFull, ErrBusy, ErrCrowded, ErrLost} {
		if errors.Is(err, e) {
			return true
		}
	}
	return IsCall(err)
}

// IsCall reports whether an error is the caller's: a wrong serial, a file that
// is no book, a refused password. Any other error of a store is its own.
func IsCall(err error) bool {
	for _, e := range []error{ErrNotFound, ErrNoBook, ErrNotABook, ErrNewer, ErrRefused, ErrNoTLS, ErrEntry, ErrUnlike} {
		if errors.Is(err, e) {
			return true
		}
	}
	return false
}

// maxNear is how many near names a message lists.
const maxNear = 3

// Suggest lists the known words that a word may have been meant to be, nearest first.
func Suggest(word string, known []string) []string {
	var near []string
	rest := slices.Clone(known)
	for len(near) < maxNear {
		best := fileerr.Nearest(word, rest)
		if best == "" {
			break
		}
		near = append(near, best)
		rest = slices.DeleteFunc(rest, func(k string) bool { return k == best })
	}
	return near
}

// NotFound says that a serial or a stage is not in the book, and what is near.
func NotFound(what, word string, known []string) error {
	near := Suggest(word, known)
	switch {
	case len(near) > 0:
		return fmt.Errorf("%s %q is %w; near it: %s", what, word, ErrNotFound, strings.Join(near, ", "))
	case len(known) > 0 && len(known) <= 8:
		return fmt.Errorf("%s %q is %w; there are: %s", what, word, ErrNotFound, strings.Join(known, ", "))
	}
	return fmt.Errorf("%s %q is %w", what, word, ErrNotFound)
}
