package answer

import (
	"context"
	"fmt"
	"strings"

	"ringtrue/internal/book"
)

// unknownSerial says that a serial is not in the book, and which are near.
func unknownSerial(ctx context.Context, s book.Store, serial string) error {
	known, err := s.Serials(ctx)
	if err != nil {
		return err
	}
	return book.NotFound("serial", serial, known)
}

// unknownNumber says that a neck has no record of a number, and which it has.
func unknownNumber(serial string, number int64, records []book.Record) error {
	var has []string
	for _, r := range records {
		has = append(has, fmt.Sprintf("%d (%s)", r.Number, r.Stage))
	}
	return fmt.Errorf("record %d of serial %q is %w; it has %s", number, serial, book.ErrNotFound, strings.Join(has, ", "))
}
