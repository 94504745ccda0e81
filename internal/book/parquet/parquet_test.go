package parquet

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
	"ringtrue/internal/num"
)

// written are both tables of records.
func written(t *testing.T, records []book.Record) (rows, crowns []byte, count int) {
	t.Helper()
	var r, c bytes.Buffer
	w := NewWriter(&r, &c)
	for i := range records {
		n, err := w.Add(&records[i])
		if err != nil {
			t.Fatal(err)
		}
		count += n
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return r.Bytes(), c.Bytes(), count
}

// invented are records: the second corrects the first, the third has nothing derived.
func invented(n int) (records []book.Record) {
	w := booktest.Workshop{Necks: n, Seed: 4}
	for i := range n {
		r := book.RecordOf(w.Entry(i+1), time.Date(2026, 3, 2, 9, 0, i, 123456000, time.UTC))
		r.Number = int64(i + 1)
		records = append(records, r)
	}
	records[0].CorrectedBy, records[1].CorrectsNo, records[1].Why = 2, 1, "wrong lot"
	records[2].Derived = book.Derived{}
	records[3].Derived.ZoneMM = num.Opt{}
	return records
}

func TestWriter_readBack(t *testing.T) {
	records := invented(40)
	rows, crowns, count := written(t, records)
	got, err := parquet.Read[Record](bytes.NewReader(rows), int64(len(rows)))
	if err != nil || len(got) != len(records) {
		t.Fatalf("%d rows, %v", len(got), err)
	}
	for i, r := range records {
		want := rowOf(&r)
		if fmt.Sprint(plain(got[i])) != fmt.Sprint(plain(want)) || !got[i].At.Equal(r.At()) || !got[i].Added.Equal(r.Added) {
			t.Errorf("row %+v; want %+v", plain(got[i]), plain(want))
		}
	}
	if *got[0].CorrectedBy != 2 || *got[1].Corrects != 1 || got[2].Verdict != "" || got[3].ZoneMM != nil || got[0].ZoneMM == nil {
		t.Error("a null is none, or what is none is not null")
	}
	all, err := parquet.Read[Crown](bytes.NewReader(crowns), int64(len(crowns)))
	if err != nil || len(all) != count || count != 39*144 {
		t.Fatalf("%d crowns of %d, %v", len(all), count, err)
	}
	for _, r := range records {
		want, err := r.Derived.Crowns.Unpack()
		if r.Derived.Program == "" {
			want, err = nil, nil
		}
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range want {
			x := all[0]
			all = all[1:]
			if x.Number != r.Number || x.Serial != r.Serial || x.Stage != r.Stage || !x.At.Equal(r.At()) || x.InForce != (r.CorrectedBy == 0) ||
				int(x.Fret) != c.Fret || x.Lane != c.Lane || x.OffMM != c.OffMM || x.UMM != c.UMM {
				t.Fatalf("crown %+v; want %+v of record %d", x, c, r.Number)
			}
		}
	}
}

// plain is a row whose pointers are shown as what they point at, times apart.
func plain(r Record) []any {
	values := []any{r.Number, r.Serial, r.Stage, r.Model, r.State, r.Verdict, r.Refits, r.FretsOff, r.Program, r.Judgement, r.Tags, r.Note, r.By, r.Why, r.NeckSHA256, r.ReadSHA256}
	for _, p := range []*float64{r.ZoneMM, r.WorstMM, r.RemoveMM, r.MaxRemoveMM} {
		if p == nil {
			values = append(values, "null")
		} else {
			values = append(values, *p)
		}
	}
	return values
}

// The same records give the same bytes, and a month of more than a group's rows
// comes in several groups.
func TestWriter_sameBytes(t *testing.T) {
	records := invented(maxCrowns/144 + 30)
	rows, crowns, _ := written(t, records)
	again, crownsAgain, _ := written(t, records)
	if !bytes.Equal(rows, again) || !bytes.Equal(crowns, crownsAgain) {
		t.Error("the same records gave other bytes")
	}
	f, err := parquet.OpenFile(bytes.NewReader(crowns), int64(len(crowns)))
	if err != nil || len(f.RowGroups()) != 2 {
		t.Errorf("%d groups, %v", len(f.RowGroups()), err)
	}
}

func TestWriter_damagedCrowns(t *testing.T) {
	var r, c bytes.Buffer
	records := invented(4)
	records[0].Derived.Crowns = book.Packed{9}
	if _, err := NewWriter(&r, &c).Add(&records[0]); err == nil {
		t.Error("damaged crowns were written")
	}
}
