package answer_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
)

// Of a book: where necks wait and who waits now, what jobs and passes took.
func TestBookTimes(t *testing.T) {
	s := newShop(t)
	for n := range 4 {
		serial := fmt.Sprint(n)
		s.read(serial, visit{stage: "seated", date: fmt.Sprintf("2026-03-%02d", 1+n)})
		if n < 3 {
			s.read(serial, visit{stage: "levelled", date: fmt.Sprintf("2026-03-%02d", 3+2*n)})
		}
	}
	// A pass every four minutes by Ines with a dial, half an hour's break left out.
	var b strings.Builder
	b.WriteString("method,lane,fret,reading,unit,pass,by,gauge,date\n")
	for pass, minute := range []int{0, 4, 8, 50} {
		for fret := 1; fret <= 22; fret++ {
			fmt.Fprintf(&b, "beam,%d,%d,%.4f,mm,%d,Ines,dial,2026-03-20 09:%02d\n", 1+pass, fret, 0.3, pass, minute)
		}
	}
	e := &book.Entry{Serial: "0", Stage: "levelled", By: "Ana", Tags: book.Tags{book.MinutesTag: "95"},
		Files: book.Files{Neck: book.File{Name: "heron.toml", Bytes: s.neck}, Readings: book.File{Name: "r.csv", Bytes: []byte(b.String())}}}
	if err := answer.Judge("test").Prepare(t.Context(), e, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := s.book.Add(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	a, err := answer.BookTimes(t.Context(), s.book, time.Date(2026, 3, 21, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	if a.Necks != 4 || len(a.Between) != 1 || a.Between[0].Necks != 3 || a.Between[0].MedianDays.Or(0) != 3 {
		t.Errorf("between %+v of %d necks", a.Between, a.Necks)
	}
	if len(a.Now) != 1 || a.Now[0].Serial != "3" || a.Now[0].LongestDays != 17 || a.Now[0].Late != 0 {
		t.Errorf("now %+v", a.Now)
	}
	if len(a.Paces) != 2 {
		t.Fatalf("paces %+v", a.Paces)
	}
	if p := a.Paces[0]; p.What != "levelled" || p.By != "Ana" || p.Median.Or(0) != 95 || p.Seconds.Known() {
		t.Errorf("the job %+v", p)
	}
	if p := a.Paces[1]; p.What != "reading" || p.By != "Ines" || p.Gauge != "dial" || p.Times != 2 || p.Median.Or(0) != 4 {
		t.Errorf("the passes %+v", p)
	}
	if a.Files != 8 || len(a.Unread) != 0 {
		t.Errorf("%d files read, %v not", a.Files, a.Unread)
	}
}
