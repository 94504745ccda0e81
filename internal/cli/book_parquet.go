package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/book/parquet"
	"ringtrue/internal/text"
)

// parquetExported is what an export to Parquet did, as JSON has it.
type parquetExported struct {
	Records int             `json:"records"`
	Crowns  int             `json:"crowns"`
	Months  int             `json:"months"`
	Bad     []archive.Fault `json:"bad"` // damaged, and left out
}

func runBookParquet(ctx context.Context, s *streams, dir string, b bookOptions) error {
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		if err := makeFolder(dir); err != nil {
			return err
		}
		a := parquetExported{Bad: []archive.Fault{}}
		out := monthFiles{dir: dir}
		defer out.drop()
		tell, end := s.progress("exporting")
		bad, err := archive.Months(ctx, st, tell, func(month string, r *book.Record) error {
			if month != out.month {
				a.Months++
				if err := errors.Join(out.finish(), out.begin(month)); err != nil {
					return err
				}
			}
			n, err := out.tables.Add(r)
			if err != nil {
				return diskError(dir, err)
			}
			a.Records, a.Crowns = a.Records+1, a.Crowns+n
			return nil
		})
		end()
		if err == nil {
			err = out.finish()
		}
		if err != nil {
			return err
		}
		a.Bad = append(a.Bad, bad...)
		if b.json {
			err = s.printJSON(a)
		} else {
			_, err = fmt.Fprintf(s.out, "%s and %s in %s, %s\n", text.Count(a.Records, "record"), text.Count(a.Crowns, "crown"), dir, text.Count(a.Months, "month"))
		}
		if err != nil {
			return outputError(err)
		}
		return s.badError(b.where, a.Bad)
	})
}

// monthFiles are the two files of one month, beside their places until they are
// finished.
type monthFiles struct {
	dir, month string
	files      []*os.File
	tables     *parquet.Writer
}

// tableNames are the tables' folders.
func tableNames() []string { return []string{"records", "crowns"} }

// place is where a table's file of the month belongs: partitioned as Hive has it,
// which engines take for a column of that name.
func (m *monthFiles) place(table string) string {
	return filepath.Join(m.dir, table, "month="+m.month, table+".parquet")
}

func (m *monthFiles) begin(month string) error {
	m.month = month
	for _, table := range tableNames() {
		folder := filepath.Dir(m.place(table))
		if err := os.MkdirAll(folder, 0o755); err != nil {
			return diskError(folder, err)
		}
		f, err := os.CreateTemp(folder, ".ringtrue-*")
		if err != nil {
			return diskError(folder, err)
		}
		m.files = append(m.files, f)
	}
	m.tables = parquet.NewWriter(m.files[0], m.files[1])
	return nil
}

// finish gives the month's files their names.
func (m *monthFiles) finish() error {
	if m.tables == nil {
		return nil
	}
	if err := m.tables.Close(); err != nil {
		return diskError(m.dir, err)
	}
	for i, table := range tableNames() {
		f, place := m.files[i], m.place(table)
		err := errors.Join(f.Chmod(0o644), f.Sync(), f.Close())
		if err == nil {
			err = os.Rename(f.Name(), place)
		}
		if err != nil {
			return diskError(place, err)
		}
	}
	m.files, m.tables = nil, nil
	return nil
}

// drop removes files that were not finished.
func (m *monthFiles) drop() {
	for _, f := range m.files {
		f.Close()
		os.Remove(f.Name())
	}
}
