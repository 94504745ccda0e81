package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Old unfinished files go and are told; young ones, and everybody else's, stay.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	now := time.Now()
	for name, c := range map[string]struct {
		age    time.Duration
		folder bool
		gone   bool
	}{
		".ringtrue-backup-123":          {2 * time.Hour, false, true},
		".ringtrue-backup-123-journal":  {2 * time.Hour, false, true},
		".ringtrue-salvage-9-wal":       {2 * time.Hour, false, true},
		".ringtrue-77":                  {2 * time.Hour, false, true},
		".part-5":                       {2 * time.Hour, true, true},
		".ringtrue-backup-124":          {time.Minute, false, false},
		".part-6":                       {time.Minute, true, false},
		".ringtrue-backup-x":            {2 * time.Hour, false, false},
		".ringtrue-backup-":             {2 * time.Hour, false, false},
		"x.ringtrue-backup-123":         {2 * time.Hour, false, false},
		"book.db-wal":                   {2 * time.Hour, false, false},
		"book.db.version-1-20260302.db": {2 * time.Hour, false, false},
	} {
		path := filepath.Join(dir, name)
		var err error
		if c.folder {
			if err = os.Mkdir(path, 0o700); err == nil {
				err = os.WriteFile(filepath.Join(path, "neck.toml"), nil, 0o600)
			}
		} else {
			err = os.WriteFile(path, nil, 0o600)
		}
		if err == nil {
			err = os.Chtimes(path, now, now.Add(-c.age))
		}
		if err != nil {
			t.Fatal(err)
		}
		var errOut bytes.Buffer
		s := &streams{errOut: &errOut}
		s.sweep(now, dir, filepath.Join(dir, "none"))
		_, err = os.Lstat(path)
		if os.IsNotExist(err) != c.gone || strings.Contains(errOut.String(), name) != c.gone || c.gone != (errOut.Len() > 0) {
			t.Errorf("%s: gone %v, said %q; want gone %v", name, os.IsNotExist(err), errOut.String(), c.gone)
		}
	}
}
