package postgres

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"ringtrue/internal/book"
	"ringtrue/internal/book/tables"
)

// Import is book.Store's: one transaction that copies whole rows in. While it
// lasts other benches read but do not add.
func (s *Store) Import(ctx context.Context, entries []*book.Entry) ([]book.Receipt, error) {
	for _, e := range entries {
		if err := e.Check(); err != nil {
			return nil, err
		}
	}
	if len(entries) == 0 {
		return nil, ctx.Err()
	}
	now := s.now().UTC()
	var receipts []book.Receipt
	ours := map[book.Identity]bool{} // put in by an earlier try, if the server took it after all
	err := s.Try(ctx, func(ctx context.Context) error {
		conn, err := s.DB.Conn(ctx)
		if err != nil {
			return s.wrap(err)
		}
		defer conn.Close()
		return s.wrap(conn.Raw(func(driver any) error {
			return pgx.BeginFunc(ctx, driver.(*stdlib.Conn).Conn(), func(tx pgx.Tx) (err error) {
				receipts, err = importIn(ctx, tx, entries, now, ours)
				return err
			})
		}))
	})
	if err == nil {
		s.FoldAfter(ctx, receipts)
	}
	return receipts, err
}

// batch is what an import must know of the book before it can number its records.
type batch struct {
	byIdentity map[book.Identity]book.Receipt // records there already, and those of the batch
	taken      map[int64]bool                 // of the numbers wanted
	lastAdded  map[string]int64               // of each serial
	necks      map[string]int64               // digest to row
	next       int64
}

func importIn(ctx context.Context, tx pgx.Tx, entries []*book.Entry, now time.Time, ours map[book.Identity]bool) ([]book.Receipt, error) {
	if _, err := tx.Exec(ctx, "LOCK TABLE record IN SHARE ROW EXCLUSIVE MODE"); err != nil {
		return nil, err
	}
	b, err := look(ctx, tx, entries)
	if err != nil {
		return nil, err
	}
	var receipts []book.Receipt
	var records, readings [][]any
	for _, e := range entries {
		identity := e.Identity()
		if had, ok := b.byIdentity[identity]; ok {
			had.New, had.Behind = ours[identity], 0
			if had.New {
				had.Behind = book.Behind(e, had.Added, now)
			}
			delete(ours, identity) // the same entry once more is not new
			receipts = append(receipts, had)
			continue
		}
		r := book.RecordOf(e, book.AddedAt(e, now, b.lastAdded[e.Serial]))
		if e.Corrects != nil {
			old, ok := b.byIdentity[*e.Corrects]
			if !ok {
				return nil, fmt.Errorf("the record to correct is %w", book.ErrNotFound)
			}
			r.CorrectsNo = old.Number
		}
		r.Number = b.number(e.Number)
		b.lastAdded[e.Serial] = max(b.lastAdded[e.Serial], r.Added.UnixMicro())
		receipt := book.Receipt{Number: r.Number, New: true, Added: r.Added, Behind: book.Behind(e, r.Added, now)}
		b.byIdentity[identity] = receipt
		delete(ours, identity)
		receipts = append(receipts, receipt)
		records = append(records, tables.RecordValues(&r, b.necks[string(r.NeckDigest[:])]))
		readings = append(readings, []any{r.Number, tables.Bytes(e.Files.Readings.Bytes)})
	}
	if err := copyRows(ctx, tx, "record", columnNames(), records); err != nil {
		return nil, err
	}
	if err := copyRows(ctx, tx, "readings", []string{"record", "bytes"}, readings); err != nil {
		return nil, err
	}
	if _, err = tx.Exec(ctx, "SELECT setval('record_number', $1, $2)", max(b.next-1, 1), b.next > 1); err != nil {
		return nil, err
	}
	for i, r := range receipts {
		if r.New {
			ours[entries[i].Identity()] = true
		}
	}
	return receipts, nil
}

func columnNames() []string {
	names := strings.Split(tables.RecordColumns, ",")
	for i := range names {
		names[i] = strings.TrimSpace(names[i])
	}
	return names
}

func copyRows(ctx context.Context, tx pgx.Tx, table string, columns []string, rows [][]any) error {
	_, err := tx.CopyFrom(ctx, pgx.Identifier{table}, columns, pgx.CopyFromRows(rows))
	return err
}

// number is the wanted number where it is free, else the next; it is then taken.
func (b *batch) number(wanted int64) int64 {
	if wanted <= 0 || b.taken[wanted] {
		wanted = b.next
		for b.taken[wanted] {
			wanted++
		}
	}
	b.taken[wanted] = true
	b.next = max(b.next, wanted+1)
	return wanted
}

func look(ctx context.Context, tx pgx.Tx, entries []*book.Entry) (*batch, error) {
	b := &batch{byIdentity: map[book.Identity]book.Receipt{}, taken: map[int64]bool{}, lastAdded: map[string]int64{}, necks: map[string]int64{}}
	var identities, digests, files [][]byte
	var numbers []int64
	var serials []string
	for _, e := range entries {
		id := e.Identity()
		identities = append(identities, id[:])
		if e.Corrects != nil {
			identities = append(identities, e.Corrects[:])
		}
		numbers = append(numbers, e.Number)
		serials = append(serials, e.Serial)
		d := book.Digest(e.Files.Neck.Bytes)
		if _, ok := b.necks[string(d[:])]; !ok {
			b.necks[string(d[:])] = 0
			digests, files = append(digests, d[:]), append(files, tables.Bytes(e.Files.Neck.Bytes))
		}
	}
	if _, err := tx.Exec(ctx, "INSERT INTO neck_file (digest, bytes) SELECT * FROM unnest($1::bytea[], $2::bytea[]) ON CONFLICT DO NOTHING", digests, files); err != nil {
		return nil, err
	}
	var key []byte
	var serial string
	var number, added int64
	for _, q := range []struct {
		query string
		of    any
		into  []any
		row   func()
	}{
		{"SELECT identity, number, added FROM record WHERE identity = ANY ($1)", identities, []any{&key, &number, &added}, func() {
			var id book.Identity
			copy(id[:], key)
			b.byIdentity[id] = book.Receipt{Number: number, Added: time.UnixMicro(added).UTC()}
		}},
		{"SELECT number FROM record WHERE number = ANY ($1)", numbers, []any{&number}, func() { b.taken[number] = true }},
		{"SELECT serial, max(added) FROM record WHERE serial = ANY ($1) GROUP BY serial", serials, []any{&serial, &added}, func() { b.lastAdded[serial] = added }},
		{"SELECT digest, id FROM neck_file WHERE digest = ANY ($1)", digests, []any{&key, &number}, func() { b.necks[string(key)] = number }},
	} {
		rows, _ := tx.Query(ctx, q.query, q.of) // its error is the rows'
		if _, err := pgx.ForEachRow(rows, q.into, func() error { q.row(); return nil }); err != nil {
			return nil, err
		}
	}
	err := tx.QueryRow(ctx, `SELECT greatest((SELECT CASE WHEN is_called THEN last_value ELSE 0 END FROM record_number),
  (SELECT coalesce(max(number), 0) FROM record)) + 1`).Scan(&b.next)
	return b, err
}
