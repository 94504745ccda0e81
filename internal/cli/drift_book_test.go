package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
	"ringtrue/internal/book/sqlite"
)

// workshopBook fills a book with an invented workshop.
func workshopBook(t *testing.T, w booktest.Workshop) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "book.db")
	b, err := sqlite.Open(context.Background(), path, sqlite.Options{Create: true, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	var all []*book.Entry
	var heard []book.Heard
	for n := 1; n <= w.Necks; n++ {
		all = append(all, w.Entry(n))
		left := 1 + float64(n*n%7)/50
		if n >= w.LotAt() {
			left++
		}
		h := booktest.Played(all[n-1].Serial, left, 2+float64(n*n%5)/20)
		h.Played = all[n-1].Derived.Taken
		heard = append(heard, h)
	}
	if _, err := b.Import(context.Background(), all); err != nil {
		t.Fatal(err)
	}
	if _, err := b.AddHeard(context.Background(), heard); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// ran runs the program and returns its exit status and what it printed.
func ran(args ...string) (status int, out, talk string) {
	var o, e bytes.Buffer
	status = Run(context.Background(), args, strings.NewReader(""), &o, &e)
	return status, o.String(), e.String()
}

func TestDriftBook_EveryFigure(t *testing.T) {
	path := workshopBook(t, booktest.Workshop{Necks: 260, Seed: 1})
	for _, c := range []struct {
		args []string
		want []string
	}{
		{[]string{"--of", "zone", "--by", "wire"}, []string{"zone, mm, seated: NOT STEADY", "from point 120 (000120)", "By wire", "wire lot7: 141 values", "differ by more than chance"}},
		{[]string{"--of", "worst crown"}, []string{"worst crown, mm, seated"}},
		{[]string{"--of", "metal", "--ewma", "0.2"}, []string{"metal to take, mm", "ewma"}},
		{[]string{"--of", "most", "--cusum", "0.5,5"}, []string{"most metal off a crown", "cusum"}},
		{[]string{"--of", "fret 14"}, []string{"mean height of fret 14, mm, seated: NOT STEADY", "from point 120 (000120)"}},
		{[]string{"--of", "height", "--fret", "9", "--lane", "2"}, []string{"height of fret 9 in lane 2", "0 shifts"}},
		{[]string{"--of", "seat", "--by", "hand"}, []string{"ends off middles", "hand Bram: 52 values", "differ by more than chance"}},
		{[]string{"--of", "seat 9"}, []string{"ends over the middle of fret 9"}},
		{[]string{"--of", "findings"}, []string{"frets with a finding", "chart of how many"}},
		{[]string{"--of", "refits"}, []string{"refits, seated", "chart of how many"}},
		{[]string{"--of", "share", "--by", "wire"}, []string{"necks not level", "2024-01", "wire lot7: 14 values", "chi-square"}},
		{[]string{"--of", "bend", "--at-least", "250 mm", "--at-most", "258 mm"}, []string{"bend, mm, seated", "Cpk"}},
		{[]string{"--of", "tag:bend", "--each", "5"}, []string{"bend, mm", "52 groups"}},
		{[]string{"--of", "zone", "--each", "month"}, []string{"25 groups", "standard deviations"}},
		{[]string{"--of", "zone", "--since", "2025-01-01", "--tag", "wire=lot7"}, []string{"132 values"}},
		{[]string{"--of", "cents", "--by", "wire"}, []string{"cents left by the best saddle, cents: NOT STEADY", "from point 120 (000120)", "wire lot7: 141 values", "differ by more than chance"}},
		{[]string{"--of", "ring", "--since", "2025-01-01", "--tag", "wire=lot7"}, []string{"ring over the shop's median: ", "132 values"}},
		{[]string{"--of", "pattern", "--by", "wire"}, []string{"- fret 14 is 0.021 mm high from neck 000120 (2024-12) on, with wire lot7", "By wire: mean of each fret"}},
	} {
		status, out, talk := ran(append([]string{"drift", "--all", "--book", path}, c.args...)...)
		if status != 0 || talk != "" {
			t.Errorf("%v: exit %d, %s", c.args, status, talk)
		}
		for _, want := range c.want {
			if !strings.Contains(out, want) {
				t.Errorf("%v: %q is missing in\n%s", c.args, want, out)
			}
		}
		for _, line := range strings.Split(out, "\n") {
			if len([]rune(line)) > lineWidth {
				t.Errorf("%v: a line of %d: %s", c.args, len([]rune(line)), line)
			}
		}
	}
}

func TestDriftBook_JSONAndPicture(t *testing.T) {
	path := workshopBook(t, booktest.Workshop{Necks: 120, Seed: 2})
	for _, of := range []string{"zone", "share", "pattern"} {
		picture := filepath.Join(t.TempDir(), "p.svg")
		status, out, talk := ran("drift", "--book", path, "--of", of, "--by", "wire", "--json", "--draw", picture)
		if status != 0 || talk != "" {
			t.Fatalf("%s: exit %d, %s", of, status, talk)
		}
		var a struct {
			Stage string
			Necks int
			Parts []json.RawMessage
		}
		if err := json.Unmarshal([]byte(out), &a); err != nil || a.Stage != "seated" || len(a.Parts) != 2 {
			t.Errorf("%s: %v, %+v", of, err, a)
		}
		if info, err := os.Stat(picture); err != nil || info.Size() < 5000 {
			t.Errorf("%s: no picture: %v", of, err)
		}
	}
	if status, _, _ := ran("drift", "--book", path, "--of", "pattern", "--check"); status != exitNot {
		t.Errorf("--check on a stepped pattern: exit %d", status)
	}
}

func TestDriftBook_BadInput(t *testing.T) {
	path := workshopBook(t, booktest.Workshop{Necks: 30, Seed: 3})
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"--of", "zones"}, `no such figure "zones"; near it: zone`},
		{[]string{"--of", "wobble"}, "use zone, worst, metal"},
		{[]string{"--of", "height"}, `say of which fret: --of "fret 14"`},
		{[]string{"--of", "fret 99"}, "none of 30 records has crowns there"},
		{[]string{"--of", "fret x"}, "the book can't chart this"},
		{[]string{"--of", "zone", "--fret", "3"}, "of a whole neck"},
		{[]string{"--of", "zone", "--fret", "x"}, "--fret: x is not a fret"},
		{[]string{"--of", "seat 3", "--lane", "2"}, "of a whole fret"},
		{[]string{"--of", "tag:press"}, "has a number in the tag press"},
		{[]string{"--of", "zone", "--stage", "seatd"}, `stage "seatd" is not in the book; near it: seated`},
		{[]string{"--of", "zone", "--tag", "wire=lot9"}, "without them there are 30"},
		{[]string{"--of", "zone", "--by", "press"}, "no value of the series has that tag"},
		{[]string{"--of", "pattern", "--by", "press"}, "no value of the series has that tag"},
		{[]string{"--of", "zone", "--each", "moon"}, "use day, week, month"},
		{[]string{"--of", "findings", "--each", "5"}, "leave --each away"},
		{[]string{"--of", "pattern", "--ewma", "0.2"}, "has no chart"},
		{[]string{"--of", "zone", "--at-most", "3 kg"}, "--at-most"},
		{[]string{"--stage", "seated"}, "--stage works on the book; add --of FIGURE"},
		{nil, "--of FIGURE from the book: zone, worst"},
		{[]string{"x.csv", "--of", "zone"}, "leave out x.csv"},
		{[]string{"x.csv", "--stage", "seated"}, "--stage works on the book; add --of FIGURE"},
		{[]string{"--of", "zone", "--since", "soon"}, "is not a date"},
	} {
		status, out, talk := ran(append([]string{"drift", "--all", "--book", path}, c.args...)...)
		if len(c.args) == 0 || c.args[0] == "--stage" || c.args[0] == "x.csv" {
			status, out, talk = ran(append([]string{"drift"}, c.args...)...)
		}
		if status != exitInput || out != "" || !strings.Contains(talk, c.want) || strings.Count(talk, "\n") != 1 {
			t.Errorf("%v: exit %d, printed %q, said %q; want %q", c.args, status, out, talk, c.want)
		}
	}
	if status, _, talk := ran("drift", "--book", filepath.Join(t.TempDir(), "none.db"), "--of", "zone"); status != exitInput || !strings.Contains(talk, "no book there") {
		t.Errorf("no book: exit %d, %s", status, talk)
	}
}
