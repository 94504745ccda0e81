package tables

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	"ringtrue/internal/book"
)

// AddHeard is book.Store's.
func (t *Reader) AddHeard(ctx context.Context, heard []book.Heard) ([]book.HeardReceipt, error) {
	return addBeside(ctx, t, t.LockHeard, heard, putHeard)
}

func putHeard(ctx context.Context, tx *sql.Tx, h book.Heard, now time.Time) (r book.HeardReceipt, err error) {
	var last, taken, lastOfNeck, had, at int64
	identity := h.Identity()
	err = tx.QueryRowContext(ctx, `SELECT (SELECT coalesce(max(number), 0) FROM heard), (SELECT count(*) FROM heard WHERE number = $1),
  coalesce((SELECT max(added) FROM heard WHERE serial = $2), 0), coalesce((SELECT number FROM heard WHERE identity = $3), 0),
  coalesce((SELECT added FROM heard WHERE identity = $3), 0)`, h.Number, h.Serial, identity[:]).Scan(&last, &taken, &lastOfNeck, &had, &at)
	switch {
	case err != nil:
		return r, err
	case had > 0:
		return book.HeardReceipt{Number: had, Added: time.UnixMicro(at).UTC()}, nil
	}
	h = book.HeardOf(h, now, lastOfNeck)
	if h.Number < 1 || taken > 0 {
		h.Number = last + 1
	}
	return book.HeardReceipt{Number: h.Number, New: true, Added: h.Added}, insertHeard(ctx, tx, &h, identity)
}

func insertHeard(ctx context.Context, tx *sql.Tx, h *book.Heard, identity book.Sum) error {
	kept := 0
	if h.Kept {
		kept = 1
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO heard (number, identity, serial, played, added, by_whom, note, program, recording, kept, body, seal)
  VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`, h.Number, identity[:], h.Serial, sql.NullInt64{Int64: micros(h.Played), Valid: !h.Played.IsZero()},
		h.Added.UnixMicro(), h.By, h.Note, h.Program, h.Recording[:], kept, book.Squeeze(h.Body), h.Checksum[:])
	if err == nil && h.Kept {
		_, err = tx.ExecContext(ctx, "INSERT INTO heard_sound (heard, bytes) VALUES ($1, $2)", h.Number, book.Squeeze(h.Sound))
	}
	return err
}

// heardAtOnce is how many play-throughs are read at once: a thousand would take
// megabytes, one by one its time on a server.
const heardAtOnce = 64

// EachHeard is book.Store's: some at a time, in order of time and number.
func (t *Reader) EachHeard(ctx context.Context, serial string, fn func(*book.Heard) error) error {
	const from = "SELECT number, serial, played, added, by_whom, note, program, recording, kept, body, seal FROM heard WHERE (added > $1 OR added = $1 AND number > $2)"
	added, number := int64(-1<<62), int64(0)
	for {
		query, args := from, []any{added, number}
		if serial != "" {
			query, args = query+" AND serial = $3", append(args, serial)
		}
		some, err := Collect(ctx, t, fmt.Sprintf("%s ORDER BY added, number LIMIT %d", query, heardAtOnce), args, scanHeard)
		if err != nil {
			return err
		}
		for i := range some {
			added, number = some[i].Added.UnixMicro(), some[i].Number
			if err := fn(&some[i]); err != nil {
				return err
			}
		}
		if len(some) < heardAtOnce {
			return nil
		}
	}
}

// scanHeard reads a row. A body that cannot be unpacked is left empty: the seal tells.
func scanHeard(rows *sql.Rows) (h book.Heard, err error) {
	var added, kept int64
	var played sql.NullInt64
	var recording, body, seal []byte
	if err := rows.Scan(&h.Number, &h.Serial, &played, &added, &h.By, &h.Note, &h.Program, &recording, &kept, &body, &seal); err != nil {
		return h, unfit(err)
	}
	h.Added, h.Kept = time.UnixMicro(added).UTC(), kept == 1
	if played.Valid {
		h.Played = time.UnixMicro(played.Int64).UTC()
	}
	copy(h.Recording[:], recording)
	copy(h.Checksum[:], seal)
	if told, err := book.UnsqueezePlayed(body); err == nil {
		h.Body = told
	}
	return h, nil
}

// HeardSound is book.Store's.
func (t *Reader) HeardSound(ctx context.Context, number int64) ([]byte, error) {
	var packed, recording []byte
	there, err := t.askOne(ctx, "SELECT s.bytes, h.recording FROM heard_sound s JOIN heard h ON h.number = s.heard WHERE s.heard = $1", []any{number}, &packed, &recording)
	switch {
	case err != nil:
		return nil, err
	case !there:
		return nil, fmt.Errorf("its sound is %w", book.ErrNotFound)
	}
	sound, err := book.Unsqueeze(packed, book.MaxSound)
	if sum := book.Digest(sound); err != nil || string(sum[:]) != string(recording) {
		return nil, fmt.Errorf("%w: its sound is not what was recorded", book.ErrDamaged)
	}
	return sound, nil
}
