package draft

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"testing"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/reading"
)

// What the example's readings say must come out the same after they were typed
// one by one: each value, lane and fret, and the same bytes each time.
func TestNeck_SeatedTypedIn(t *testing.T) {
	dir := t.TempDir()
	f := openAt(t, dir)
	k := begun(t, f)
	n := begin(t, k, beam())
	want := parsed(t, example(t, "heron-seated.csv"))
	for _, r := range want.Readings {
		set(t, k, n, NewSite(r.Lane, r.Frets...), fmt.Sprintf("%.3f", r.Value))
	}
	data, places := csvOf(k, 0)
	got := parsed(t, data)
	if len(got.Readings) != 132 || len(places) != 132 {
		t.Fatalf("%d readings, %d places", len(got.Readings), len(places))
	}
	for i, r := range got.Readings {
		w := want.Readings[i]
		if r.Method != w.Method || r.Lane != w.Lane || r.Frets[0] != w.Frets[0] || r.Value != w.Value || r.By != "Ines" || r.State != "slack" || r.Date != "2026-03-04" {
			t.Fatalf("line %d: %+v, want %+v", r.Line, r, w)
		}
		if p := places[r.Line-2]; p.Pass != n || p.Site != NewSite(r.Lane, r.Frets...) {
			t.Fatalf("line %d came from %+v", r.Line, p)
		}
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	k2, err := openAt(t, dir).Get(k.ID())
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := csvOf(k2, 0); !bytes.Equal(again, data) {
		t.Error("opened again, the readings are not the same bytes")
	}
	k2.Read(func(s *State) {
		if s.Serial != "0412" || !bytes.Equal(s.Data, example(t, "heron.toml")) || s.Version != 134 {
			t.Errorf("serial %q, version %d", s.Serial, s.Version)
		}
	})
}

// A reading takes another's place only where that one was named.
func TestNeck_TwoScreens(t *testing.T) {
	k := begun(t, openAt(t, t.TempDir()))
	n := begin(t, k, beam())
	seen := version(k)
	put := func(at Site, text string, over int) error {
		_, err := k.Set(Put{Pass: n, Site: at, Reading: text, Unit: "mm", Seen: version(k), Over: over})
		return err
	}
	steps := []struct {
		do   func() error
		want error
		what string
	}{
		{func() error { return put("1@1", "0.402", 0) }, nil, "the first"},
		{func() error { return put("1@2", "0.410", 0) }, nil, "another crown"},
		{func() error { return put("1@1", "0.402", 0) }, nil, "the same once more"},
		{func() error { return put("1@1", "0.500", 0) }, ErrReplaces, "another reading, unasked"},
		{func() error { _, err := k.Mark(n, "1@1", seen, "b"); return err }, ErrConflict, "a mark on what was not seen"},
		{func() error { _, err := k.Undo(seen, "b"); return err }, ErrConflict, "undo of what was not seen"},
		{func() error { return put("1@1", "0.500", version(k)) }, ErrReplaces, "another reading, asked of another change"},
		{func() error { return put("1@1", "0.500", seen+1) }, nil, "another reading, as asked"},
	}
	for _, s := range steps {
		if err := s.do(); !errors.Is(err, s.want) {
			t.Errorf("%s: %v, want %v", s.what, err, s.want)
		}
	}
	k.Read(func(s *State) {
		if e := s.Entry(n, "1@1"); e.Reading != "0.500" || s.Count(n) != 2 {
			t.Errorf("%+v, %d readings", e, s.Count(n))
		}
	})
	if err := k.Work("levelled", 0, "a"); err != nil {
		t.Fatal(err)
	}
	if err := k.Work("levelled", 0, "b"); !errors.Is(err, ErrConflict) {
		t.Errorf("the stage was ended twice: %v", err)
	}
}

// Undo takes back one change after the other, to the pass's begin and beyond;
// what was undone stays undone when the journal is read again.
func TestNeck_UndoToTheStart(t *testing.T) {
	dir := t.TempDir()
	f := openAt(t, dir)
	k := begun(t, f)
	n := begin(t, k, beam())
	set(t, k, n, "1@1", "0.402")
	set(t, k, n, "1@1", "0.512")
	if _, err := k.Mark(n, "1@1", version(k), "a"); err != nil {
		t.Fatal(err)
	}
	undo := func() Event {
		t.Helper()
		e, err := k.Undo(version(k), "a")
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	entry := func() (e Entry) {
		k.Read(func(s *State) {
			if p := s.Entry(n, "1@1"); p != nil {
				e = *p
			}
		})
		return e
	}
	if e := entry(); !e.Misread {
		t.Fatalf("not marked: %+v", e)
	}
	if data, _ := csvOf(k, 0); data != nil {
		t.Errorf("a marked reading is in the file: %s", data)
	}
	if undo(); entry().Reading != "0.512" || entry().Misread {
		t.Errorf("%+v", entry())
	}
	if undo(); entry().Reading != "0.402" {
		t.Errorf("%+v", entry())
	}
	if undo(); entry().Reading != "" {
		t.Errorf("%+v", entry())
	}
	if e := undo(); e.Kind != Begun {
		t.Errorf("%+v", e)
	}
	if _, err := k.Undo(version(k), "a"); err == nil {
		t.Error("a neck's opening was taken back")
	}
	want := version(k)
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := openAt(t, dir).Get(k.ID())
	if err != nil {
		t.Fatal(err)
	}
	again.Read(func(s *State) {
		if s.Version != want || len(s.Passes) != 0 {
			t.Errorf("version %d, want %d; %d passes", s.Version, want, len(s.Passes))
		}
	})
}

// A readings file taken in twice, and beside a pass of the same label, leaves
// every set-up of a gauge apart.
func TestNeck_TakenInKeepsSetupsApart(t *testing.T) {
	k := begun(t, openAt(t, t.TempDir()))
	n := begin(t, k, beam())
	set(t, k, n, "1@1", "0.402")
	file := []byte("method,lane,fret,reading,unit,pass\nbeam,1,1,0.4,mm,1\nbeam,1,2,0.5,mm,1\n")
	for range 2 {
		if err := k.Take("a.csv", file, "a"); err != nil {
			t.Fatal(err)
		}
	}
	for range 2 {
		if err := k.Take("seated.csv", example(t, "heron-seated.csv"), "a"); err != nil {
			t.Fatal(err)
		}
	}
	data, _ := csvOf(k, 0)
	setups := map[reading.Setup]int{}
	for _, r := range parsed(t, data).Readings {
		setups[r.Setup()]++
	}
	if len(setups) != 3+2*6 {
		t.Errorf("%d set-ups, want 15: %v", len(setups), setups)
	}
	if err := k.Take("bad.csv", []byte("method,lane\nbeam,1\n"), "a"); !fileerr.Is(err) {
		t.Errorf("a bad file: %v", err)
	}
	m := begin(t, k, beam())
	set(t, k, m, "1@1", "0.402")
	data, _ = csvOf(k, 0)
	parsed(t, data)
}

// Every example file goes in and comes out with the same readings.
func TestNeck_FilesInAndOut(t *testing.T) {
	for _, name := range []string{"heron-seated.csv", "heron-shop.csv", "heron-board.csv"} {
		k := begun(t, openAt(t, t.TempDir()))
		want := parsed(t, example(t, name))
		if err := k.Take(name, example(t, name), "a"); err != nil {
			t.Fatal(err)
		}
		data, _ := csvOf(k, 0)
		got := parsed(t, data)
		if len(got.Readings) != len(want.Readings) || len(want.Readings) == 0 {
			t.Fatalf("%s: %d readings, want %d", name, len(got.Readings), len(want.Readings))
		}
		for i := range got.Readings {
			g, w := got.Readings[i], want.Readings[i]
			if g.Value != w.Value || g.Answer != w.Answer || g.U != w.U || g.Span != w.Span || g.Lane != w.Lane || fmt.Sprint(g.Frets) != fmt.Sprint(w.Frets) {
				t.Fatalf("%s: %+v, want %+v", name, g, w)
			}
		}
	}
}

// Readings in inches are kept as typed.
func TestNeck_InchesAsTyped(t *testing.T) {
	k := begun(t, openAt(t, t.TempDir()))
	p := beam()
	p.Unit, p.U = "in", "0.0001"
	n := begin(t, k, p)
	if _, err := k.Set(Put{Pass: n, Site: "1@1", Reading: "0.0155", Unit: "in"}); err != nil {
		t.Fatal(err)
	}
	if _, err := k.Set(Put{Pass: n, Site: "2@1", Reading: "0.4", Unit: "mm"}); err != nil {
		t.Fatal(err)
	}
	data, _ := csvOf(k, 0)
	if !bytes.Contains(data, []byte("beam,1,1,0.0155,in")) {
		t.Errorf("not as typed:\n%s", data)
	}
	for _, r := range parsed(t, data).Readings {
		if math.Abs(r.U-0.00254) > 1e-12 {
			t.Errorf("uncertainty %g mm", r.U)
		}
	}
}

// What no readings file would take is refused, and the journal does not grow.
func TestNeck_Refuses(t *testing.T) {
	dir := t.TempDir()
	k := begun(t, openAt(t, dir))
	edge := beam()
	edge.Method = "edge"
	n := begin(t, k, edge)
	before := fileSize(t, dir, k)
	for _, p := range []Put{
		{Pass: n, Site: "1@1", Reading: "-0.1", Unit: "mm"},
		{Pass: n, Site: "1@1", Reading: "x", Unit: "mm"},
		{Pass: n, Site: "1@1", Reading: "", Unit: "mm"},
		{Pass: n, Site: "1@1", Reading: "500", Unit: "mm"},
		{Pass: n, Site: "1@1", Reading: "0.1", NoGo: "0.05", Unit: "mm"},
		{Pass: n, Site: "1@1", Reading: "0.1", Unit: "cm"},
		{Pass: n, Site: "1@1", Reading: "rocks", Unit: "mm"},
		{Pass: n, Site: "23@1", Reading: "0.1", Unit: "mm"},
		{Pass: n, Site: "1@1.5", Reading: "0.1", Unit: "mm"},
		{Pass: n, Site: "../x", Reading: "0.1", Unit: "mm"},
		{Pass: 9, Site: "1@1", Reading: "0.1", Unit: "mm"},
	} {
		if _, err := k.Set(p); err == nil {
			t.Errorf("took %+v", p)
		}
	}
	wrong := []func(*Pass){
		func(p *Pass) { p.Method = "probe" }, func(p *Pass) { p.Unit = "ft" }, func(p *Pass) { p.Lanes = nil },
		func(p *Pass) { p.Lanes = []float64{1, 1} }, func(p *Pass) { p.Lanes = []float64{7} }, func(p *Pass) { p.Lanes = []float64{math.NaN()} },
		func(p *Pass) { p.From = 0 }, func(p *Pass) { p.To = 23 }, func(p *Pass) { p.Every = 0 },
		func(p *Pass) { p.Across = true }, func(p *Pass) { p.By = "=1+1" }, func(p *Pass) { p.State = "loose" },
		func(p *Pass) { p.Humidity = "120" }, func(p *Pass) { p.Temperature = "warm" }, func(p *Pass) { p.U = "-1" },
		func(p *Pass) { p.Gauge = "a\nb" }, func(p *Pass) { p.Method, p.From, p.To = "bridge", 1, 1 },
	}
	for i, w := range wrong {
		p := beam()
		w(&p)
		if _, err := k.Begin(p, "a"); err == nil {
			t.Errorf("took wrong pass %d: %+v", i, p)
		}
	}
	if after := fileSize(t, dir, k); after != before {
		t.Errorf("the journal grew by %d bytes", after-before)
	}
}
