package salvage

import (
	"database/sql"
	"encoding/binary"
	"testing"

	_ "modernc.org/sqlite"
)

// stretch is some bytes of a file.
type stretch struct{ from, to int }

// touches reports whether damage lies on any of the stretches.
func touches(damage stretch, all []stretch) bool {
	for _, s := range all {
		if damage.from < s.to && s.from < damage.to {
			return true
		}
	}
	return false
}

// layout is where an undamaged book's rows lie, byte by byte, as a walk down the
// trees from the database's own roots finds them: another way than the salvage goes.
type layout struct {
	t    *testing.T
	file []byte
	page int

	record, sealed, readings, neck, note, heard, sound map[int64][]stretch // by row; sealed: up to what was worked out
	pages                                              map[int]bool        // that were met
}

func layoutOf(t *testing.T, path string, file []byte) *layout {
	t.Helper()
	db := openRaw(t, path)
	l := &layout{
		t: t, file: file, page: int(binary.BigEndian.Uint16(file[16:])), pages: map[int]bool{},
		record: map[int64][]stretch{}, sealed: map[int64][]stretch{}, readings: map[int64][]stretch{}, neck: map[int64][]stretch{}, note: map[int64][]stretch{}, heard: map[int64][]stretch{}, sound: map[int64][]stretch{},
	}
	for table, into := range map[string]map[int64][]stretch{"record": l.record, "readings": l.readings, "neck_file": l.neck, "note": l.note, "heard": l.heard, "heard_sound": l.sound} {
		var root int
		if err := db.QueryRow("SELECT rootpage FROM sqlite_master WHERE name = ?", table).Scan(&root); err != nil {
			t.Fatal(err)
		}
		l.walk(root, into)
	}
	var others int // the database's own word on which pages these tables have
	rows, err := db.Query("SELECT pageno FROM dbstat WHERE name IN ('record', 'readings', 'neck_file', 'note', 'heard', 'heard_sound')")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var n int
		if err := rows.Scan(&n); err != nil {
			t.Fatal(err)
		}
		others++
		if !l.pages[n] {
			t.Fatalf("page %d was not met", n)
		}
	}
	if err := rows.Err(); err != nil || others != len(l.pages) || others < 10 {
		t.Fatalf("met %d pages, the database says %d, %v", len(l.pages), others, err)
	}
	return l
}

func (l *layout) walk(n int, into map[int64][]stretch) {
	l.pages[n] = true
	base := (n - 1) * l.page
	b := l.file[base : base+l.page]
	cells := int(binary.BigEndian.Uint16(b[3:]))
	switch b[0] {
	case 5:
		for i := range cells {
			at := int(binary.BigEndian.Uint16(b[12+2*i:]))
			l.walk(int(binary.BigEndian.Uint32(b[at:])), into)
		}
		l.walk(int(binary.BigEndian.Uint32(b[8:])), into)
	case 13:
		for i := range cells {
			l.cell(base, int(binary.BigEndian.Uint16(b[8+2*i:])), into)
		}
	default:
		l.t.Fatalf("page %d is of kind %d", n, b[0])
	}
}

// number reads an integer of 7 bits a byte.
func (l *layout) number(at *int) int {
	v := 0
	for {
		c := l.file[*at]
		*at++
		v = v<<7 | int(c&0x7f)
		if c < 0x80 {
			return v
		}
	}
}

func (l *layout) cell(base, offset int, into map[int64][]stretch) {
	at := base + offset
	size := l.number(&at)
	row := int64(l.number(&at))
	local := size
	if most := l.page - 35; size > most {
		least := (l.page-12)*32/255 - 23
		if local = least + (size-least)%(l.page-4); local > most {
			local = least
		}
	}
	parts := []stretch{{base + offset, at}}
	head := parts[0]
	payload := []stretch{{at, at + local}}
	if local < size {
		payload[0].to += 4
		next := int(binary.BigEndian.Uint32(l.file[at+local:]))
		for left := size - local; left > 0; {
			l.pages[next] = true
			from, used := (next-1)*l.page, min(left, l.page-4)
			payload = append(payload, stretch{from, from + 4 + used})
			left -= used
			next = int(binary.BigEndian.Uint32(l.file[from:]))
		}
	}
	into[row] = append(parts, payload...)
	if size := l.sealedSize(at); size > 0 && size <= local {
		l.sealed[row] = []stretch{head, {at, at + size}}
		if local < size {
			l.t.Fatal("a sealed part runs over")
		}
	}
}

// sealedSize is how long a record's payload is up to its 15th column; 0 for a row of
// another table.
func (l *layout) sealedSize(at int) int {
	begin := at
	end := begin + l.number(&at)
	size := end - begin
	columns := 0
	for at < end {
		t := l.number(&at)
		if columns < derivedColumn {
			switch {
			case t >= 12:
				size += (t - 12) / 2
			case t == 5:
				size += 6
			case t == 6 || t == 7:
				size += 8
			case t <= 4:
				size += t
			}
		}
		columns++
	}
	if columns < 28 {
		return 0
	}
	return size
}

// openRaw opens a book as the plain database that it is.
func openRaw(t *testing.T, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+path+"?mode=ro&immutable=1")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}
