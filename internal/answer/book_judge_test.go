package answer

import (
	"bytes"
	"context"
	"math"
	"os"
	"testing"

	"ringtrue/internal/book"
	"ringtrue/internal/casetest"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/level"
	"ringtrue/internal/num"
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
		j, err := judgeFiles(ctx, f)
		if err != nil {
			t.Fatal(err)
		}
		p, err := f.Parse()
		if err != nil {
			t.Fatal(err)
		}
		a, err := Frets(ctx, FretsRequest{Model: p.Model, Layout: p.Layout, Readings: p.Readings})
		if err != nil {
			t.Fatal(err)
		}
		zone := 0.0
		for _, k := range a.Lanes {
			zone = math.Max(zone, casetest.Value(k.ZoneMM))
		}
		if j.Model != "Heron 22" || j.Verdict != a.Verdict || j.ZoneMM != num.Some(zone) || j.MetalMM != num.Some(a.Plan.TotalRemoveMM) || j.MostMM != num.Some(a.Plan.MaxRemoveMM) {
			t.Errorf("%s: %+v", name, j)
		}
		crowns, err := j.Crowns.Unpack()
		if err != nil || len(crowns) == 0 || len(crowns) != len(a.Crowns) || j.FretsOff != len(a.Frets) || j.Refits != 0 {
			t.Errorf("%s: %d crowns, %d frets off, %d refits", name, len(crowns), j.FretsOff, j.Refits)
		}
		for i, c := range crowns {
			if w := a.Crowns[i]; c.Fret != w.Fret || c.Lane != w.Lane || math.Abs(c.OffMM-w.OffMM) > 0.51e-4 || math.Abs(c.UMM-w.UMM) > 0.51e-5 {
				t.Errorf("%s: crown %+v; frets says %+v", name, c, w)
			}
		}
	}
}

func TestJudgeFiles_Low(t *testing.T) {
	f := exampleFiles(t, "heron-seated.csv")
	// Crowns so low that no three refits help.
	var low []byte
	low = append(low, exampleFiles(t, "heron-seated.csv").Readings.Bytes...)
	for fret := 1; fret <= 22; fret++ {
		low = append(low, ("height,2," + itoa(fret) + ",0.30,mm\n")...)
	}
	f.Readings.Bytes = low
	if j, err := judgeFiles(context.Background(), f); err != nil || j.Refits != level.MaxRefits+1 {
		t.Errorf("%d refits, %v; want %d", j.Refits, err, level.MaxRefits+1)
	}
}

func itoa(n int) string { return string(rune('0'+n/10)) + string(rune('0'+n%10)) }

// TestJudgeFiles_NothingDetermined: a record may hold readings that tell nothing yet.
func TestJudgeFiles_NothingDetermined(t *testing.T) {
	f := exampleFiles(t, "heron-seated.csv")
	f.Readings.Bytes = []byte("method,lane,fret,reading,unit\nheight,1,1,1.2,mm\n")
	j, err := judgeFiles(context.Background(), f)
	if err != nil || j.Verdict != "in doubt" || j.ZoneMM.Known() || j.MetalMM.Known() || !bytes.Equal(j.Crowns, []byte{1, 0, 0, 0, 0, 0}) {
		t.Errorf("%+v, %v", j, err)
	}
	f.Readings.Bytes = []byte("method,lane,fret,reading,unit\nbeam,1,99,1.2,mm\n")
	if _, err := judgeFiles(context.Background(), f); !fileerr.Is(err) {
		t.Errorf("a wrong file: %v", err)
	}
	f.Neck.Bytes = []byte("name = 5")
	if _, err := judgeFiles(context.Background(), f); !fileerr.Is(err) {
		t.Errorf("a wrong neck: %v", err)
	}
}

func BenchmarkJudgeFiles(b *testing.B) {
	f := exampleFiles(b, "heron-seated.csv")
	for b.Loop() {
		if _, err := judgeFiles(context.Background(), f); err != nil {
			b.Fatal(err)
		}
	}
}
