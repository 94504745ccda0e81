package book

import (
	"context"
	"time"
)

// Filter picks records; zero values pick all.
type Filter struct {
	Tags         Tags // every one must be on the record
	Stage, Model string
	Serial       string
	Part         string    // of the serial, whatever its case
	Since, Until time.Time // by Record.At: Since included, Until not
	InForce      bool      // leave out records that a later one corrects
}

// Page is a stretch of a list in order of serials.
type Page struct {
	After string // serials beyond this one
	Most  int    // 0: all
}

// Receipt says which record an entry is, and whether it is new.
type Receipt struct {
	Number int64
	New    bool
	Added  time.Time // as recorded; later than the clock where that ran backwards

	// Behind is how far the clock stood behind Added, 0 where it did not: the
	// neck's last record is dated later than the clock says it is now.
	Behind time.Duration
}

// Neck is what the book holds of one serial, as JSON has it.
type Neck struct {
	Serial  string    `json:"serial"`
	Model   string    `json:"model"` // the latest record's
	Records int       `json:"records"`
	Stages  []string  `json:"stages"` // in order, each once
	Latest  time.Time `json:"latest"` // when its latest record was added
}

// Columns says what a scan reads of a record: of a hundred thousand, every column
// costs its time.
type Columns uint8

// What a scan can read.
const (
	NameColumns   Columns = 1 << iota // Serial, Stage, At
	TagColumns                        // Tags
	FigureColumns                     // Figures
	CrownColumns                      // Crowns
	TagTextColumn                     // TagText
)

// Row is one record of a scan: what charts and patterns are made of. Crowns is
// the store's own memory, good until the callback returns.
type Row struct {
	Number        int64
	Serial, Stage string
	At            time.Time
	Tags          Tags   // shared between rows: do not change
	TagText       string // Tags.Text, for TagIn
	Figures
	Crowns  Packed
	Crowned bool // has crowns; told by ScanFrets
}

// Rederived is what is now derived of a record.
type Rederived struct {
	Number  int64
	Derived *Derived
}

// Columned is a store that keeps columns of its records beside them, for charts.
type Columned interface {
	// Fold packs the columns that are missing, and says how many stretches that were.
	Fold(ctx context.Context) (packed int, err error)

	// CheckColumns packs all of them again and names those that are not bit for bit
	// what their records say.
	CheckColumns(ctx context.Context, progress Progress) (bad []string, err error)
}

// Store keeps records. Every method may fail with ErrBusy, ErrLost or
// ErrDamaged; what else it returns is said beside it. Methods may be called by
// several goroutines at once.
type Store interface {
	Notebook

	Hearings

	// Add makes one record, safe on disk when it returns. The same entry twice
	// is one record. ErrEntry, ErrNotFound (what it corrects), ErrReadOnly, ErrFull.
	Add(ctx context.Context, e *Entry) (Receipt, error)

	// Import makes many records at once: all of them or none.
	Import(ctx context.Context, entries []*Entry) ([]Receipt, error)

	// Necks lists serials that have a record picked by the filter.
	Necks(ctx context.Context, f Filter, p Page) ([]Neck, error)

	// Serials lists every serial, sorted.
	Serials(ctx context.Context) ([]string, error)

	// Records lists a neck's records in the order they were added; none where
	// the serial is unknown.
	Records(ctx context.Context, serial string) ([]Record, error)

	// Record gives one record. ErrNotFound.
	Record(ctx context.Context, number int64) (Record, error)

	// Files gives a record's files byte for byte. ErrNotFound.
	Files(ctx context.Context, number int64) (Files, error)

	// Next is the lowest record number above a given one, 0 at the end; Last the
	// highest number. Walking so still works where an index is damaged.
	Next(ctx context.Context, number int64) (int64, error)

	Last(ctx context.Context) (int64, error)

	// Count is how many records there are.
	Count(ctx context.Context) (int, error)

	// Scan calls fn for each picked record, in no order, with its number and what
	// is wanted of it; the row's other fields are empty.
	Scan(ctx context.Context, f Filter, want Columns, fn func(*Row) error) error

	// Stretch calls fn for each record of a stretch of numbers with its files, in
	// order. ErrDamaged and ErrLost: some may have been given to fn by then.
	Stretch(ctx context.Context, from, to int64, fn func(*Record, Files) error) error

	// Rederive replaces what is derived of records, and nothing else: of all of
	// them or of none. They are then no longer Recalculated. ErrNotFound.
	Rederive(ctx context.Context, changes ...Rederived) error

	Recheck

	// Verify asks the database itself whether it is sound and lists what is not.
	Verify(ctx context.Context) ([]string, error)

	// Where names the book for people, without any password.
	Where() string

	Close() error
}
