package answer

import (
	"cmp"
	"context"
	"errors"
	"io/fs"
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// importBatch is how many records are made safe at once.
const importBatch = 200

// BookImportRequest is what `book import` is asked.
type BookImportRequest struct {
	Dir      fs.FS  // an export
	Name     string // of Dir, for messages
	KeepGood bool   // import what is whole even where something is not
	Program  string // the version of this program
}

// BookImportAnswer is what `book import` did.
type BookImportAnswer struct {
	Records int         `json:"records"`
	New     int         `json:"new"`
	Unread  []BookFault `json:"unread"` // kept, but their files say nothing to this program
}

// card1 is what must be known of every exported record before the first one is
// imported.
type card1 struct {
	dir                string
	number             int64
	identity, corrects string
	entry              *book.Entry // nil: read again when its turn comes
}

// mostHeld is how many bytes of files an import holds on to, so that it need
// not read them twice.
const mostHeld = 64 << 20

// BookExportRead is an export whose every record was read and checked once.
type BookExportRead struct {
	r      BookImportRequest
	cards  []card1
	faults fileerr.List // with KeepGood: of what is left out
}

// ReadBookExport reads and checks an export; no book is needed yet. Where
// anything in it is not as it was exported, a fileerr.List names it all; with
// KeepGood the rest is taken, and Put ends with that list.
func ReadBookExport(ctx context.Context, r BookImportRequest, p Progress) (*BookExportRead, error) {
	dirs, faults, err := exportFolders(r)
	if err != nil {
		return nil, err
	}
	cards, more, err := readCards(ctx, r, dirs, p)
	if err != nil {
		return nil, err
	}
	faults = append(faults, more...)
	if len(faults) > 0 && !r.KeepGood {
		return nil, faults.Err()
	}
	return &BookExportRead{r, cards, faults}, nil
}

// Put puts the export into a book, a batch of records at a time, each safe
// before added is told of it. What is there already is left. Where it ends
// early, the answer says what is safe.
func (x *BookExportRead) Put(ctx context.Context, s book.Store, p Progress, added func(BookAdded) error) (*BookImportAnswer, error) {
	im := importer{ctx: ctx, store: s, r: x.r, added: added, faults: x.faults, answer: &BookImportAnswer{Unread: []BookFault{}}}
	order, outside := inOrder(x.cards)
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
		p.tell(i, len(order))
	}
	return im.answer, im.faults.Err()
}

// exportFolders lists the record folders of an export. Whatever else lies
// beside them is none of the export's.
func exportFolders(r BookImportRequest) ([]string, fileerr.List, error) {
	var dirs []string
	var faults fileerr.List
	serials, err := fs.ReadDir(r.Dir, ".")
	if err != nil {
		return nil, nil, err
	}
	for _, serial := range serials {
		if !serial.IsDir() || strings.HasPrefix(serial.Name(), ".") {
			continue
		}
		records, err := fs.ReadDir(r.Dir, serial.Name())
		if err != nil {
			return nil, nil, err
		}
		for _, record := range records {
			if !record.IsDir() || strings.HasPrefix(record.Name(), ".") {
				continue
			}
			dir := path.Join(serial.Name(), record.Name())
			missing := missingFiles(r.Dir, dir)
			switch {
			case len(missing) == 0:
				dirs = append(dirs, dir)
			case len(missing) < len(recordFiles()):
				faults.Add(path.Join(r.Name, dir), 0, "", "%s is missing", strings.Join(missing, " and "))
			}
		}
	}
	if len(dirs) == 0 && len(faults) == 0 {
		faults.Add(r.Name, 0, "", "is no export: no SERIAL/RECORD-STAGE/record.json is in it")
		return nil, nil, faults.Err()
	}
	return dirs, faults, nil
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

// readCards reads and checks every record once.
func readCards(ctx context.Context, r BookImportRequest, dirs []string, p Progress) ([]card1, fileerr.List, error) {
	var cards []card1
	var faults fileerr.List
	seen := map[string]string{}
	held := 0
	err := inParallel(ctx, dirs, func(dir string) (*book.Entry, error) {
		return readEntry(r.Dir, dir)
	}, func(i int, e *book.Entry, err error) error {
		switch {
		case isCardFault(err):
			faults.Add(path.Join(r.Name, dirs[i]), 0, "", "%s", err)
		case err != nil:
			return err
		default:
			c := card1{dir: dirs[i], number: e.Number, identity: e.Identity().String()}
			if e.Corrects != nil {
				c.corrects = e.Corrects.String()
			}
			if other, twice := seen[c.identity]; twice {
				faults.Add(path.Join(r.Name, c.dir), 0, "", "is the same record as %s", other)
				break
			}
			seen[c.identity] = c.dir
			if held += len(e.Files.Readings.Bytes) + len(e.Files.Neck.Bytes); held <= mostHeld {
				c.entry = e
			}
			cards = append(cards, c)
		}
		p.tell(i+1, len(dirs))
		return nil
	})
	return cards, faults, err
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
func inOrder(cards []card1) (order []card1, outside int) {
	slices.SortFunc(cards, func(a, b card1) int { return cmp.Compare(a.number, b.number) })
	at := map[string]int{}
	for i, c := range cards {
		at[c.identity] = i
	}
	var chain []card1
	done := make([]bool, len(cards))
	for i, c := range cards {
		if _, here := at[c.corrects]; c.corrects != "" && !here {
			order, done[i] = append(order, c), true
		}
	}
	outside = len(order)
	for i := range cards {
		chain = chain[:0]
		for k, here := i, true; here && !done[k]; k, here = at[cards[k].corrects] {
			chain, done[k] = append(chain, cards[k]), true
		}
		slices.Reverse(chain)
		order = append(order, chain...)
	}
	return order, outside
}

// importer puts batches into the book.
type importer struct {
	ctx    context.Context
	store  book.Store
	r      BookImportRequest
	added  func(BookAdded) error
	faults fileerr.List
	answer *BookImportAnswer
}

// put makes a batch safe and tells of it.
func (im *importer) put(batch []card1) error {
	entries := make([]*book.Entry, len(batch))
	unread := make([]string, len(batch))
	err := inParallel(im.ctx, batch, func(c card1) (e *book.Entry, err error) {
		if e = c.entry; e == nil {
			e, err = readEntry(im.r.Dir, c.dir)
		}
		if err == nil && e.Derived.Program == "" {
			e.Derived, err = derive(im.ctx, e.Files, im.r.Program)
		}
		return e, err
	}, func(i int, e *book.Entry, err error) error {
		if fileerr.Is(err) {
			unread[i], err = oneLine(err), nil
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
			im.answer.Unread = append(im.answer.Unread, BookFault{Record: r.Number, Serial: entries[i].Serial, Stage: entries[i].Stage, Fault: unread[i]})
		}
		if err := im.added(added(entries[i], r, 0)); err != nil {
			return err
		}
	}
	return nil
}

// orphan finds the correction in a batch whose record is nowhere, and leaves it
// out where the rest is wanted.
func (im *importer) orphan(batch []card1) error {
	if len(batch) == 1 {
		im.faults.Add(path.Join(im.r.Name, batch[0].dir), 0, "", "corrects a record that is neither here nor in the book")
		if !im.r.KeepGood {
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

// inParallel calls do for every item on several processors and take with what
// each returned, in order. An error of take ends it.
func inParallel[A, B any](ctx context.Context, items []A, do func(A) (B, error), take func(i int, v B, err error) error) error {
	type answer struct {
		v   B
		err error
	}
	width := 2 * runtime.GOMAXPROCS(0)
	answers := make([]chan answer, len(items))
	var running sync.WaitGroup
	defer running.Wait()
	start := func(i int) {
		answers[i] = make(chan answer, 1)
		running.Go(func() {
			v, err := do(items[i])
			answers[i] <- answer{v, err}
		})
	}
	for i := range min(width, len(items)) {
		start(i)
	}
	for i := range items {
		if err := ctx.Err(); err != nil {
			return err
		}
		a := <-answers[i]
		answers[i] = nil
		if i+width < len(items) {
			start(i + width)
		}
		if err := take(i, a.v, a.err); err != nil {
			return err
		}
	}
	return nil
}
