package cli

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// addedMany is what `book add --folder` made, as JSON has it.
type addedMany struct {
	Records int          `json:"records"`
	New     int          `json:"new"`
	Added   []book.Added `json:"added"`
}

// runBookAddFolder adds a record for each readings file of a folder. All files
// are judged before the first is added.
func runBookAddFolder(ctx context.Context, s *streams, neck string, b bookOptions, o bookAddOptions) error {
	if o.corrects != 0 || o.why != "" {
		return inputErrorf("book add: a correction is one record; leave out --folder")
	}
	if o.strokes != "" {
		return inputErrorf("book add: --strokes are for one record; leave out --folder")
	}
	all, err := s.folderEntries(neck, o)
	if err != nil {
		return err
	}
	tell, end := s.progress("judging")
	entries, faults, err := answer.Judge(Version()).PrepareAll(ctx, all, tell)
	end()
	if err != nil {
		return err
	}
	if len(faults) > 0 && (!o.keepGood || len(entries) == 0) {
		return faults
	}
	return s.withBook(ctx, b.where, true, func(st book.Store) error {
		tell, end := s.progress("adding")
		a := addedMany{Added: []book.Added{}}
		var late []book.Added
		err := book.PutAll(ctx, st, entries, tell, func(x book.Added) error {
			a.Records++
			if x.New {
				a.New++
			}
			if x.Receipt.Behind > 0 {
				late = append(late, x)
			}
			if b.json {
				a.Added = append(a.Added, x)
				return nil
			}
			return s.printAdded(x)
		})
		end()
		s.tellClock(late)
		if err == nil && b.json {
			err = s.printJSON(a)
		}
		if err == nil && len(faults) > 0 {
			return faults // by file; Err would sort by line
		}
		return err
	})
}

// folderEntries makes an entry of each readings file: SERIAL.csv, or
// SERIAL-STAGE.csv where no stage is given for all.
func (s *streams) folderEntries(neck string, o bookAddOptions) ([]*book.Entry, error) {
	base, err := o.entry()
	if err != nil {
		return nil, err
	}
	base.Files.Neck.Name = shown(neck)
	if base.Files.Neck.Bytes, err = s.readFile(neck, "neck", maxNeckBytes); err != nil {
		return nil, err
	}
	names, err := readingsIn(o.folder)
	if err != nil {
		return nil, err
	}
	var entries []*book.Entry
	var faults fileerr.List
	for _, name := range names {
		r := base
		path := filepath.Join(o.folder, name)
		r.Serial = strings.TrimSuffix(name, filepath.Ext(name))
		if o.stage == "" {
			at := strings.LastIndex(r.Serial, "-")
			if at < 0 {
				faults.Add(path, 0, "", "has no stage in its name; use SERIAL-STAGE.csv, or --stage for all")
				continue
			}
			r.Serial, r.Stage = r.Serial[:at], r.Serial[at+1:]
		}
		r.Files.Readings.Name = path
		if r.Files.Readings.Bytes, err = s.readReadings(path, o.grid); err != nil {
			return nil, err
		}
		entries = append(entries, &r)
	}
	return entries, faults.Err()
}

// readingsIn lists the readings files of a folder, by their endings; a spreadsheet
// program's lock files (~$NAME.xlsx) are none.
func readingsIn(dir string) ([]string, error) {
	all, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, inputErrorf("%s: no such folder", dir)
	case err != nil && len(all) == 0:
		if info, statErr := os.Stat(dir); statErr == nil && !info.IsDir() {
			return nil, inputErrorf("%s: is not a folder", dir)
		}
		return nil, failuref("%w", err)
	case err != nil:
		return nil, failuref("%w", err)
	}
	var names []string
	for _, f := range all {
		if !f.IsDir() && !strings.HasPrefix(f.Name(), ".") && !strings.HasPrefix(f.Name(), "~$") && slices.Contains([]string{".csv", ".xlsx"}, strings.ToLower(filepath.Ext(f.Name()))) {
			names = append(names, f.Name())
		}
	}
	if len(names) == 0 {
		return nil, inputErrorf("%s: has no .csv or .xlsx file", dir)
	}
	return names, nil
}
