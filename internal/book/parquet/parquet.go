package parquet

import (
	"errors"
	"io"
	"time"

	"github.com/parquet-go/parquet-go"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
)

// Record is a row of the table of records. A missing size is null.
type Record struct {
	Number      int64     `parquet:"record"`
	Serial      string    `parquet:"serial,dict"`
	Stage       string    `parquet:"stage,dict"`
	At          time.Time `parquet:"read_at,timestamp(microsecond)"` // when it was read, else when it was added; UTC
	Added       time.Time `parquet:"added,timestamp(microsecond)"`
	Model       string    `parquet:"model,dict"`
	State       string    `parquet:"state,dict"`
	Verdict     string    `parquet:"verdict,dict"` // empty: nothing was worked out
	ZoneMM      *float64  `parquet:"zone_mm"`
	WorstMM     *float64  `parquet:"worst_mm"`
	RemoveMM    *float64  `parquet:"total_remove_mm"`
	MaxRemoveMM *float64  `parquet:"max_remove_mm"`
	Refits      int32     `parquet:"refits"`
	FretsOff    int32     `parquet:"frets_off"`
	Program     string    `parquet:"program,dict"`
	Judgement   int32     `parquet:"judgement"`
	Tags        string    `parquet:"tags"` // JSON, keys sorted
	Note        string    `parquet:"note"`
	By          string    `parquet:"by_whom,dict"`
	Why         string    `parquet:"why"`
	Corrects    *int64    `parquet:"corrects"`
	CorrectedBy *int64    `parquet:"corrected_by"` // null: the record is in force
	NeckSHA256  string    `parquet:"neck_sha256,dict"`
	ReadSHA256  string    `parquet:"readings_sha256"`
}

// Crown is a row of the table of crowns.
type Crown struct {
	Number  int64     `parquet:"record"`
	Serial  string    `parquet:"serial,dict"`
	Stage   string    `parquet:"stage,dict"`
	At      time.Time `parquet:"read_at,timestamp(microsecond)"`
	InForce bool      `parquet:"in_force"` // no other record corrects it
	Fret    int32     `parquet:"fret"`
	Lane    float64   `parquet:"lane,dict"`
	OffMM   float64   `parquet:"off_mm,dict"` // from the lane's reference line
	UMM     float64   `parquet:"u_mm,dict"`   // its standard uncertainty
}

// Rows of a group: an engine reads one at a time, and this many are held in memory.
const (
	maxRecords = 1 << 14
	maxCrowns  = 1 << 17
)

// Writer writes both tables of some records.
type Writer struct {
	records *parquet.GenericWriter[Record]
	crowns  *parquet.GenericWriter[Crown]
	row     []Record
	rows    []Crown
}

// NewWriter writes the two tables to two files. Close ends them.
func NewWriter(records, crowns io.Writer) *Writer {
	options := func(most int64) []parquet.WriterOption {
		return []parquet.WriterOption{
			parquet.Compression(&parquet.Snappy), parquet.MaxRowsPerRowGroup(most),
			parquet.CreatedBy("ringtrue", "1", ""), // not the program's version: its bytes would change with it
		}
	}
	return &Writer{
		records: parquet.NewGenericWriter[Record](records, options(maxRecords)...),
		crowns:  parquet.NewGenericWriter[Crown](crowns, options(maxCrowns)...),
	}
}

// Add adds a record and its crowns and says how many they are. book.ErrDamaged: its
// crowns are.
func (w *Writer) Add(r *book.Record) (crowns int, err error) {
	all, err := crownsOf(r)
	if err != nil {
		return 0, err
	}
	w.row = append(w.row[:0], rowOf(r))
	if _, err := w.records.Write(w.row); err != nil {
		return 0, err
	}
	w.rows = w.rows[:0]
	for _, c := range all {
		w.rows = append(w.rows, Crown{
			Number: r.Number, Serial: r.Serial, Stage: r.Stage, At: r.At(), InForce: r.CorrectedBy == 0,
			Fret: int32(c.Fret), Lane: c.Lane, OffMM: c.OffMM, UMM: c.UMM,
		})
	}
	_, err = w.crowns.Write(w.rows)
	return len(all), err
}

// crownsOf are a record's crowns; none where nothing was worked out.
func crownsOf(r *book.Record) ([]book.Crown, error) {
	if r.Derived.Program == "" {
		return nil, nil
	}
	return r.Derived.Crowns.Unpack()
}

func rowOf(r *book.Record) Record {
	d := &r.Derived
	return Record{
		Number: r.Number, Serial: r.Serial, Stage: r.Stage, At: r.At(), Added: r.Added,
		Model: d.Model, State: d.States, Verdict: d.Verdict,
		ZoneMM: size(d.ZoneMM), WorstMM: size(d.WorstMM), RemoveMM: size(d.MetalMM), MaxRemoveMM: size(d.MostMM),
		Refits: int32(d.Refits), FretsOff: int32(d.FretsOff), Program: d.Program, Judgement: int32(d.Revision),
		Tags: r.Tags.Text(), Note: r.Note, By: r.By, Why: r.Why, Corrects: number(r.CorrectsNo), CorrectedBy: number(r.CorrectedBy),
		NeckSHA256: r.NeckDigest.String(), ReadSHA256: r.ReadDigest.String(),
	}
}

func size(mm num.Opt) *float64 {
	if v, known := mm.Get(); known {
		return &v
	}
	return nil
}

func number(n int64) *int64 {
	if n == 0 {
		return nil
	}
	return &n
}

// Close writes what both files end with; it does not close them.
func (w *Writer) Close() error { return errors.Join(w.records.Close(), w.crowns.Close()) }
