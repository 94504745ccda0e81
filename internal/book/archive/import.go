package archive

import (
	"context"
	"errors"
	"io/fs"
	"path"
	"slices"
	"sort"
	"strings"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// importBatch is how many records are made safe at once.
const importBatch = 200

// Source is an export that is to be read.
type Source struct {
	Dir      fs.FS
	Name     string     // of Dir, for messages
	KeepGood bool       // take what is whole even where something is not
	Judge    book.Judge // of what cannot be trusted
}

// Imported is what an import did, as JSON has it.
type Imported struct {
	Records int     `json:"records"`
	New     int     `json:"new"`
	Notes   Notes   `json:"notes,omitzero"`
	Heard   Heard   `json:"heard,omitzero"`
	Unread  []Fault `json:"unread"` // kept, but their files say nothing to this program
}

// found is what must be known of every exported record before the first one is
// imported.
type found struct {
	dir                string
	number             int64
	identity, corrects book.Identity // zero: it corrects nothing
	entry              *book.Entry   // nil: read again when its turn comes
}

// maxHeld is how many bytes of files an import holds on to, so that it need not
// read them twice.
const maxHeld = 64 << 20

// Whole is an export whose every record was read and checked once.
type Whole struct {
	Source
	found  []found
	notes  []book.Said
	heard  []foundHeard
	faults fileerr.List // with KeepGood: of what is left out
}

// Read reads and checks an export; no book is needed yet. Where anything in it
// is not as it was exported, a fileerr.List names it all; with KeepGood the rest
// is taken, and Put ends with that list.
func Read(ctx context.Context, src Source, p book.Progress) (*Whole, error) {
	w := &Whole{Source: src}
	if err := w.readNotes(); err != nil {
		return nil, err
	}
	if err := w.readHeard(); err != nil {
		return nil, err
	}
	dirs, err := w.folders()
	if err != nil {
		return nil, err
	}
	if err := w.read(ctx, dirs, p); err != nil {
		return nil, err
	}
	if len(w.faults) > 0 && !w.KeepGood {
		return nil, w.faults.Err()
	}
	return w, nil
}

// Put puts the export into a book, a batch of records at a time, each safe
// before added is told of it. What is there already is left. Where it ends
// early, the answer says what is safe.
func (w *Whole) Put(ctx context.Context, s book.Store, p book.Progress, added func(book.Added) error) (*Imported, error) {
	im := importer{Whole: w, ctx: ctx, store: s, added: added, answer: &Imported{Unread: []Fault{}}}
	order, outside := inOrder(w.found)
	for i := 0; i < len(order); {
		size := importBatch
		if i < outside { // what it corrects may be missing: one at a time tells which
			size = 1
		}
		batch := order[i:min(i+size, len(order))]
		if err := im.put(batch); err != nil {
			return im.answer, err
		}
		i += len(batch)
		p.Tell(i, len(order))
	}
	if err := im.putNotes(); err != nil {
		return im.answer, err
	}
	if err := im.putHeard(); err != nil {
		return im.answer, err
	}
	return im.answer, im.faults.Err()
}

// folders lists the record folders of an export. Whatever else lies beside them
// is none of the export's.
func (w *Whole) folders() (dirs []string, err error) {
	serials, err := within(w.Dir, ".")
	if err != nil {
		return nil, err
	}
	for _, serial := range serials {
		records, err := within(w.Dir, serial)
		if err != nil {
			return nil, err
		}
		for _, dir := range records {
			missing := missingFiles(w.Dir, dir)
			switch {
			case len(missing) == 0:
				dirs = append(dirs, dir)
			case len(missing) < len(recordFiles()):
				w.fault(dir, "%s is missing", strings.Join(missing, " and "))
			}
		}
	}
	if len(dirs)+len(w.notes)+len(w.heard)+len(w.faults) == 0 {
		w.faults.Add(w.Name, 0, "", "is not an export: it has no SERIAL/RECORD-STAGE/record.json")
		return nil, w.faults.Err()
	}
	return dirs, nil
}

// fault notes what is wrong with a folder.
func (w *Whole) fault(dir, format string, args ...any) {
	w.faults.Add(path.Join(w.Name, dir), 0, "", format, args...)
}

// within are the folders in a folder, but for hidden ones.
func within(dir fs.FS, at string) (names []string, err error) {
	all, err := fs.ReadDir(dir, at)
	for _, f := range all {
		if f.IsDir() && !strings.HasPrefix(f.Name(), ".") {
			names = append(names, path.Join(at, f.Name()))
		}
	}
	return names, err
}

// recordFiles are the three files of an exported record.
func recordFiles() []string { return []string{"neck.toml", "readings.csv", "record.json"} }

func missingFiles(dir fs.FS, record string) []string {
	var missing []string
	for _, f := range recordFiles() {
		if info, err := fs.Stat(dir, path.Join(record, f)); err != nil || !info.Mode().IsRegular() {
			missing = append(missing, f)
		}
	}
	return missing
}

// read reads and checks every record once.
func (w *Whole) read(ctx context.Context, dirs []string, p book.Progress) error {
	seen := map[book.Identity]string{}
	held := 0
	return book.InOrder(ctx, book.All(dirs), func(_ context.Context, _ int, dir string) (*book.Entry, error) {
		return readEntry(w.Dir, dir)
	}, func(i int, e *book.Entry, err error) error {
		dir := dirs[i]
		switch {
		case isCardFault(err):
			w.fault(dir, "%s", err)
		case err != nil:
			return err
		default:
			x := found{dir: dir, number: e.Number, identity: e.Identity()}
			if e.Corrects != nil {
				x.corrects = *e.Corrects
			}
			if other, twice := seen[x.identity]; twice {
				w.fault(dir, "is the same record as %s", other)
				break
			}
			seen[x.identity] = dir
			if held += len(e.Files.Readings.Bytes) + len(e.Files.Neck.Bytes); held <= maxHeld {
				x.entry = e
			}
			w.found = append(w.found, x)
		}
		p.Tell(i+1, len(dirs))
		return nil
	})
}

// isCardFault tells what is wrong with the export from a disk that fails.
func isCardFault(err error) bool {
	return errors.Is(err, errCard) || errors.Is(err, book.ErrEntry)
}

func readEntry(dir fs.FS, record string) (*book.Entry, error) {
	var data [3][]byte
	for i, f := range recordFiles() {
		var err error
		if data[i], err = fs.ReadFile(dir, path.Join(record, f)); err != nil {
			return nil, err
		}
	}
	c, err := readCard(data[2])
	if err != nil {
		return nil, err
	}
	return c.entry(data[0], data[1])
}

// inOrder sorts records by number, but each after the one that it corrects.
// First come those that correct a record outside the folder: so many.
func inOrder(all []found) (order []found, outside int) {
	sort.Slice(all, func(i, j int) bool { return all[i].number < all[j].number })
	at := map[book.Identity]int{}
	for i, x := range all {
		at[x.identity] = i
	}
	done := make([]bool, len(all))
	for i, x := range all {
		if _, here := at[x.corrects]; x.corrects != (book.Identity{}) && !here {
			order, done[i] = append(order, x), true
		}
	}
	outside = len(order)
	for i := range all {
		var chain []found
		for k, here := i, true; here && !done[k]; k, here = at[all[k].corrects] {
			chain, done[k] = append(chain, all[k]), true
		}
		slices.Reverse(chain)
		order = append(order, chain...)
	}
	return order, outside
}

// importer puts batches into the book.
type importer struct {
	*Whole
	ctx    context.Context
	store  book.Store
	added  func(book.Added) error
	answer *Imported
}

// put makes a batch safe and tells of it.
func (im *importer) put(batch []found) error {
	entries := make([]*book.Entry, len(batch))
	unread := make([]string, len(batch))
	err := book.InOrder(im.ctx, book.All(batch), func(ctx context.Context, _ int, x found) (e *book.Entry, err error) {
		if e = x.entry; e == nil {
			e, err = readEntry(im.Dir, x.dir)
		}
		if err == nil && e.Derived.Program == "" {
			e.Derived, err = derive(ctx, im.Judge, e.Files)
		}
		return e, err
	}, func(i int, e *book.Entry, err error) error {
		if fileerr.Is(err) {
			unread[i], err = fileerr.OneLine(err), nil
		}
		entries[i] = e
		return err
	})
	if err != nil {
		return err
	}
	receipts, err := im.store.Import(im.ctx, entries)
	if errors.Is(err, book.ErrNotFound) {
		return im.orphan(batch)
	}
	if err != nil {
		return err
	}
	for i, r := range receipts {
		im.answer.Records++
		if r.New {
			im.answer.New++
		}
		if unread[i] != "" {
			im.answer.Unread = append(im.answer.Unread, Fault{r.Number, entries[i].Serial, entries[i].Stage, unread[i]})
		}
		if err := im.added(book.AddedAs(entries[i], r, 0)); err != nil {
			return err
		}
	}
	return nil
}

// orphan finds the correction in a batch whose record is nowhere, and leaves it
// out where the rest is wanted.
func (im *importer) orphan(batch []found) error {
	if len(batch) == 1 {
		im.fault(batch[0].dir, "corrects a record that is neither here nor in the book")
		if !im.KeepGood {
			return im.faults.Err()
		}
		return nil
	}
	for i := range batch {
		if err := im.put(batch[i : i+1]); err != nil {
			return err
		}
	}
	return nil
}
