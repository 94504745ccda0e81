package tables

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/book"
)

// where turns a filter into conditions on record r. Of corrections only those
// up to a number are heeded.
func (t *Reader) where(f book.Filter, upTo int64) (string, []any) {
	var conds []string
	var args []any
	arg := func(v any) string {
		args = append(args, v)
		return fmt.Sprintf("$%d", len(args))
	}
	equal := []struct{ column, word string }{{"r.stage", f.Stage}, {"r.model", f.Model}, {"r.serial", f.Serial}}
	for _, e := range equal {
		if e.word != "" {
			conds = append(conds, e.column+" = "+arg(e.word))
		}
	}
	for _, k := range slices.Sorted(maps.Keys(f.Tags)) {
		// `"wire":"lot7"` can stand in the text only as that tag: within a word
		// its quotes would be escaped.
		part := strings.Trim(book.Tags{k: f.Tags[k]}.Text(), "{}")
		conds = append(conds, fmt.Sprintf("%s(r.tags, %s) > 0", t.Position, arg(part)))
	}
	if f.Part != "" {
		conds = append(conds, holdsPart(t.Position, "r.serial", f.Part, arg))
	}
	if !f.Since.IsZero() {
		conds = append(conds, "coalesce(r.taken, r.added) >= "+arg(f.Since.UnixMicro()))
	}
	if !f.Until.IsZero() {
		conds = append(conds, "coalesce(r.taken, r.added) < "+arg(f.Until.UnixMicro()))
	}
	if f.InForce {
		conds = append(conds, "r.number NOT IN (SELECT x.corrects FROM record x WHERE x.corrects IS NOT NULL AND x.number <= "+arg(upTo)+")")
	}
	return strings.Join(conds, " AND "), args
}

// Necks is book.Store's. It reads no further than the page goes.
func (t *Reader) Necks(ctx context.Context, f book.Filter, p book.Page) ([]book.Neck, error) {
	query, args := t.necksQuery(f, p)
	var necks []book.Neck
	err := t.Try(ctx, func(ctx context.Context) error {
		necks = nil
		return t.gather(ctx, query, args, p.Most, func(n book.Neck) error { necks = append(necks, n); return nil })
	})
	return necks, err
}

// EachNeck calls fn with each serial that has a record picked by the filter, in order,
// and keeps none of them. An error of fn ends it.
func (t *Reader) EachNeck(ctx context.Context, f book.Filter, after string, fn func(book.Neck) error) error {
	query, args := t.necksQuery(f, book.Page{After: after})
	var stopped error
	handed := false
	err := t.Try(ctx, func(ctx context.Context) error {
		if handed { // necks already handed out cannot be taken back
			return fmt.Errorf("%w in the middle of a list; ask again", book.ErrLost)
		}
		err := t.gather(ctx, query, args, 0, func(n book.Neck) error {
			handed = true
			stopped = fn(n)
			return stopped
		})
		if stopped != nil {
			return nil // no fault of the database
		}
		return err
	})
	if stopped != nil {
		return stopped
	}
	return err
}

func (t *Reader) necksQuery(f book.Filter, p book.Page) (query string, args []any) {
	cond, args := t.where(f, math.MaxInt64)
	picked := "SELECT DISTINCT r.serial FROM record r"
	if p.After != "" {
		args = append(args, p.After)
		after := fmt.Sprintf("r.serial > $%d", len(args))
		if cond != "" {
			after = cond + " AND " + after
		}
		cond = after
	}
	if cond != "" {
		picked += " WHERE " + cond
	}
	if p.Most > 0 {
		args = append(args, p.Most)
		picked += fmt.Sprintf(" ORDER BY r.serial LIMIT $%d", len(args))
	}
	query = "SELECT o.serial, o.stage, o.model, o.added FROM record o"
	if cond != "" || p.Most > 0 {
		query += " WHERE o.serial IN (" + picked + ")"
	}
	return query + " ORDER BY o.serial, o.added, o.number", args
}

// gather puts the records of each neck together, which follow each other.
func (t *Reader) gather(ctx context.Context, query string, args []any, most int, fn func(book.Neck) error) error {
	rows, err := t.DB.QueryContext(ctx, query, args...)
	if err != nil {
		return t.Wrap(err)
	}
	defer rows.Close()
	var n book.Neck
	for done := 0; rows.Next(); {
		var serial, stage, model string
		var added int64
		if err := rows.Scan(&serial, &stage, &model, &added); err != nil {
			return unfit(err)
		}
		if n.Records > 0 && n.Serial != serial {
			if err := fn(n); err != nil {
				return err
			}
			if done++; done == most {
				return nil
			}
			n = book.Neck{}
		}
		n.Serial = serial
		n.Records++
		n.Latest = time.UnixMicro(added).UTC()
		if model != "" {
			n.Model = model
		}
		if !slices.Contains(n.Stages, stage) {
			n.Stages = append(n.Stages, stage)
		}
	}
	if err := rows.Err(); err != nil {
		return t.Wrap(err)
	}
	if n.Records > 0 {
		return fn(n)
	}
	return nil
}

// scanner reads rows into one Row; equal texts of tags are parsed once.
type scanner struct {
	want        book.Columns
	columns     string // asked for
	row         book.Row
	tags        map[string]book.Tags
	words       map[string]string
	at          int64
	rawTags     sql.RawBytes
	rawStage    sql.RawBytes
	rawVerdict  sql.RawBytes
	rawCrowns   sql.RawBytes
	destination []any
}

func newScanner(want book.Columns) *scanner {
	s := &scanner{want: want, tags: map[string]book.Tags{}, words: map[string]string{}, destination: make([]any, 0, 16)}
	s.read("r.number", &s.row.Number)
	if s.wants(book.NameColumns) {
		s.read("r.serial, r.stage, coalesce(r.taken, r.added)", &s.row.Serial, &s.rawStage, &s.at)
	}
	if s.wants(book.TagColumns | book.TagTextColumn) {
		s.read("r.tags", &s.rawTags)
	}
	if s.wants(book.FigureColumns) {
		s.read("r.verdict, r.zone, r.worst, r.metal, r.most, r.refits, r.frets_off",
			&s.rawVerdict, sizeIn{&s.row.ZoneMM}, sizeIn{&s.row.WorstMM}, sizeIn{&s.row.MetalMM}, sizeIn{&s.row.MostMM}, &s.row.Refits, &s.row.FretsOff)
	}
	if s.wants(book.CrownColumns) {
		s.read("r.crowns", &s.rawCrowns)
	}
	return s
}

func (s *scanner) wants(w book.Columns) bool { return s.want&w != 0 }

// read adds columns and where they go.
func (s *scanner) read(columns string, to ...any) {
	if s.columns != "" {
		s.columns += ", "
	}
	s.columns += columns
	s.destination = append(s.destination, to...)
}

func (s *scanner) next(rows *sql.Rows) (*book.Row, error) {
	if err := rows.Scan(s.destination...); err != nil {
		return nil, unfit(err)
	}
	r := &s.row
	if s.wants(book.NameColumns) {
		r.At, r.Stage = time.UnixMicro(s.at).UTC(), s.word(s.rawStage)
	}
	if s.wants(book.FigureColumns) {
		r.Verdict = s.word(s.rawVerdict)
	}
	r.Crowns = book.Packed(s.rawCrowns)
	if s.wants(book.TagTextColumn) {
		r.TagText = s.word(s.rawTags)
	}
	if !s.wants(book.TagColumns) {
		return r, nil
	}
	var err error
	r.Tags, err = s.tagsOf(s.rawTags)
	if err != nil {
		return nil, fmt.Errorf("record %d: %w: %w", r.Number, book.ErrDamaged, err)
	}
	return r, nil
}

// tagsOf parses equal texts once.
func (s *scanner) tagsOf(raw []byte) (book.Tags, error) {
	if tags, ok := s.tags[string(raw)]; ok {
		return tags, nil
	}
	tags, err := book.ParseTags(string(raw))
	if err == nil && len(s.tags) < maxShared {
		s.tags[string(raw)] = tags
	}
	return tags, err
}

// maxShared bounds what a scan remembers of texts already parsed.
const maxShared = 10000

func (s *scanner) word(raw []byte) string {
	w, ok := s.words[string(raw)]
	if !ok {
		w = string(raw)
		if len(s.words) < maxShared {
			s.words[w] = w
		}
	}
	return w
}
