package postgres

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"ringtrue/internal/book"
)

// wrap says what the server's error means for the book (PostgreSQL manual,
// appendix A, error codes). Only the server's own words are printed: the
// driver's may hold the address.
func (s *Store) wrap(err error) error {
	if err == nil || book.IsKnown(err) || errors.Is(err, context.Canceled) {
		return err
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		if why := refused(err, pg); why != nil {
			return fmt.Errorf("%s: %w", s.where, why)
		}
		if kind := kindOf(pg.Code); kind != nil {
			return fmt.Errorf("%s: %w: %s", s.where, kind, pg.Message)
		}
		return fmt.Errorf("%s: %s (%s)", s.where, pg.Message, pg.Code)
	}
	if why := unreached(err); why != nil {
		return fmt.Errorf("%s: %w", s.where, why)
	}
	var dropped net.Error
	switch {
	case errors.As(err, &dropped), errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF),
		errors.Is(err, driver.ErrBadConn), errors.Is(err, net.ErrClosed), strings.Contains(err.Error(), "conn closed"):
		return fmt.Errorf("%s: %w", s.where, book.ErrLost)
	}
	return fmt.Errorf("%s: %w", s.where, err)
}

func kindOf(code string) error {
	switch code {
	case "3D000":
		return book.ErrNoBook
	case "42501", "25006":
		return book.ErrReadOnly
	case "53100":
		return book.ErrFull
	case "40001", "40P01", "55P03":
		return book.ErrBusy
	case "XX001", "XX002":
		return book.ErrDamaged
	case "57P01", "57P02", "57P03", "57P05": // shutting down, crashed, starting up, idle too long
		return book.ErrLost
	}
	switch {
	case strings.HasPrefix(code, "28"):
		return book.ErrRefused
	case strings.HasPrefix(code, "08"):
		return book.ErrLost
	}
	return nil
}

// tryFor asks again while the server is away or another bench is in the way,
// for as long as patience lasts. Every question may be asked again: reading
// changes nothing, and the same record twice is one record.
func tryFor(patience time.Duration) func(context.Context, func(context.Context) error) error {
	return func(ctx context.Context, ask func(context.Context) error) error {
		const longest = time.Second
		deadline := time.Now().Add(patience)
		for wait := 20 * time.Millisecond; ; wait = min(2*wait, longest) {
			err := ask(ctx)
			again := errors.Is(err, book.ErrLost) || errors.Is(err, book.ErrBusy) || errors.Is(err, book.ErrCrowded)
			if !again || time.Now().Add(wait).After(deadline) {
				return err
			}
			select {
			case <-ctx.Done():
				return errors.Join(err, ctx.Err())
			case <-time.After(wait):
			}
		}
	}
}
