package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"syscall"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/name"
)

// Exit statuses.
const (
	exitDone    = 0 // the answer was worked out, whatever it says
	exitNot     = 1 // with --check: the answer is not what was asked for
	exitInput   = 2 // the input or the call is wrong
	exitFailure = 3 // a disk, a database or the network failed
)

// errCheckFailed is the end of a command run with --check whose answer is not
// what was asked for. The answer itself has been printed.
var errCheckFailed = errors.New("the check failed")

// checked is how a command ends that may have been run with --check.
func checked(err error, check, passed bool) error {
	if err == nil && check && !passed {
		return errCheckFailed
	}
	return err
}

// inputError marks an error of the input or the call.
type inputError struct{ error }

func (e inputError) Unwrap() error { return e.error }

func usageError(err error) error { return inputError{err} }

// inputErrorf makes an error of the input or the call.
func inputErrorf(format string, args ...any) error {
	return inputError{fmt.Errorf(format, args...)}
}

// failure marks an error of a disk, a database or the network.
type failure struct{ error }

func (e failure) Unwrap() error { return e.error }

// failuref makes an error of a disk, a database or the network.
func failuref(format string, args ...any) error {
	return failure{fmt.Errorf(format, args...)}
}

// outputError is a failed write to standard output.
func outputError(err error) error { return failuref("standard output: %w", err) }

// report prints what went wrong and returns the exit status. A reader that
// closed standard output early wants no message.
func report(w io.Writer, err error) int {
	if err == nil {
		return exitDone
	}
	if errors.Is(err, errCheckFailed) {
		return exitNot
	}
	if errors.Is(err, context.Canceled) {
		fmt.Fprintln(w, "ringtrue: interrupted")
		return exitFailure
	}
	if !errors.Is(err, syscall.EPIPE) {
		for line := range strings.Lines(withoutSecrets(err.Error()) + "\n") {
			fmt.Fprintf(w, "ringtrue: %s\n", name.Visible(strings.TrimSuffix(line, "\n")))
		}
	}
	var f failure
	var path *fs.PathError // a file that opened and then failed, standard output too
	if errors.As(err, &f) || errors.As(err, &path) {
		return exitFailure
	}
	var in inputError
	if errors.As(err, &in) || fileerr.Is(err) {
		return exitInput
	}
	return exitInput // cobra's own words about a wrong call
}
