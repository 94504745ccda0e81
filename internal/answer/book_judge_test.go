package answer

import (
	"context"
	"math"
	"os"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/casetest"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/reading"
)

func exampleFiles(t testing.TB, readings string) book.Files {
	t.Helper()
	read := func(name string) book.File {
		b, err := os.ReadFile("../../examples/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return book.File{Name: name, Bytes: b}
	}
	return book.Files{Neck: read("heron.toml"), Readings: read(readings)}
}

// TestJudgeFiles_AsFrets: a record says what `frets` says of the same files.
func TestJudgeFiles_AsFrets(t *testing.T) {
	ctx := context.Background()
	for _, name := range []string{"heron-seated.csv", "heron-shop.csv"} {
		f := exampleFiles(t, name)
		j, err := JudgeFiles(ctx, f)
		if err != nil {
			t.Fatal(err)
		}
		m, l, readings, err := ParseFiles(f)
		if err != nil {
			t.Fatal(err)
		}
		a, err := Frets(ctx, FretsRequest{Model: m, Layout: l, Readings: readings})
		if err != nil {
			t.Fatal(err)
		}
		zone := 0.0
		for _, k := range a.Lanes {
			zone = math.Max(zone, casetest.Value(k.ZoneMM))
		}
		if j.Model != "Heron 22" || j.Verdict != a.Verdict || *j.ZoneMM != zone || *j.MetalMM != a.Plan.TotalRemoveMM || *j.MostMM != a.Plan.MaxRemoveMM {
			t.Errorf("%s: %+v", name, j)
		}
		if len(j.Crowns) == 0 || len(j.Crowns) != len(a.Crowns) || j.FretsOff != len(a.Frets) || j.Refits != 0 {
			t.Errorf("%s: %d crowns, %d frets off, %d refits", name, len(j.Crowns), j.FretsOff, j.Refits)
		}
		for i, c := range j.Crowns {
			if w := a.Crowns[i]; c.Fret != w.Fret || c.Lane != w.Lane || c.OffMM != w.OffMM || c.UMM != w.UMM {
				t.Errorf("%s: crown %+v; frets says %+v", name, c, w)
			}
			if c.StandsMM != m.Wire.CrownHeight || c.Measured || c.ShapeMM != l.Shape(c.Lane, []int{c.Fret})[0] || c.XMM != l.LaneX(c.Fret, c.Lane) {
				t.Errorf("%s: crown %+v", name, c)
			}
		}
		if _, err := book.Derive(j, "test"); err != nil {
			t.Error(err)
		}
	}
}

func TestJudgeFiles_Heights(t *testing.T) {
	f := exampleFiles(t, "heron-seated.csv")
	f.Readings.Bytes = append(f.Readings.Bytes, "height,2,5,1.07,mm\n"...)
	j, err := JudgeFiles(context.Background(), f)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range j.Crowns {
		if at := c.Fret == 5 && c.Lane == 2; c.Measured != at || at && c.StandsMM != 1.07 {
			t.Errorf("crown %+v", c)
		}
	}
	// Crowns so low that no three refits help.
	var low []byte
	low = append(low, exampleFiles(t, "heron-seated.csv").Readings.Bytes...)
	for fret := 1; fret <= 22; fret++ {
		low = append(low, ("height,2," + itoa(fret) + ",0.30,mm\n")...)
	}
	f.Readings.Bytes = low
	if j, err = JudgeFiles(context.Background(), f); err != nil || j.Refits != manyRefits {
		t.Errorf("%d refits, %v; want %d", j.Refits, err, manyRefits)
	}
}

func itoa(n int) string { return string(rune('0'+n/10)) + string(rune('0'+n%10)) }

// TestJudgeFiles_NothingDetermined: a record may hold readings that tell nothing yet.
func TestJudgeFiles_NothingDetermined(t *testing.T) {
	f := exampleFiles(t, "heron-seated.csv")
	f.Readings.Bytes = []byte("method,lane,fret,reading,unit\nheight,1,1,1.2,mm\n")
	j, err := JudgeFiles(context.Background(), f)
	if err != nil || j.Verdict != "in doubt" || j.ZoneMM != nil || j.MetalMM != nil || len(j.Crowns) != 0 {
		t.Errorf("%+v, %v", j, err)
	}
	f.Readings.Bytes = []byte("method,lane,fret,reading,unit\nbeam,1,99,1.2,mm\n")
	if _, err := JudgeFiles(context.Background(), f); !fileerr.Is(err) {
		t.Errorf("a wrong file: %v", err)
	}
	f.Neck.Bytes = []byte("name = 5")
	if _, err := JudgeFiles(context.Background(), f); !fileerr.Is(err) {
		t.Errorf("a wrong neck: %v", err)
	}
}

func TestTakenOn(t *testing.T) {
	for _, c := range []struct {
		dates []string
		want  string
	}{
		{[]string{"", ""}, "0001-01-01T00:00:00Z"},
		{[]string{"2026-03-02", "", "2026-03-04", "2026-03-03"}, "2026-03-04T00:00:00Z"},
		{[]string{"2026-03-02 14:05"}, "2026-03-02T14:05:00Z"},
		{[]string{"2026-03-02T23:05:00-05:00"}, "2026-03-03T04:05:00Z"},
		{[]string{"4.3.2026"}, "2026-03-04T00:00:00Z"},
		{[]string{"3/4/2026", "last Tuesday"}, "0001-01-01T00:00:00Z"},
	} {
		var readings []reading.Reading
		for _, d := range c.dates {
			readings = append(readings, reading.Reading{Date: d})
		}
		if got := takenOn(readings).Format(time.RFC3339); got != c.want {
			t.Errorf("%q: %s, want %s", c.dates, got, c.want)
		}
	}
}

func BenchmarkJudgeFiles(b *testing.B) {
	f := exampleFiles(b, "heron-seated.csv")
	for b.Loop() {
		if _, err := JudgeFiles(context.Background(), f); err != nil {
			b.Fatal(err)
		}
	}
}
