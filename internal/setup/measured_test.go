package setup

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/fileerr"
)

func TestRead(t *testing.T) {
	got, err := Read("m.csv", strings.NewReader("# Heron\nString;first_gap;held_gap;action;saddle_shows;unit\n6;0,70;;2,2;;mm\n1;,02;x;0,08;-;in\n"))
	if err != nil || len(got) != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	casetest.Near(t, "gap", got[0].FirstMM.OrNaN(), 0.7, 1e-12)
	casetest.Near(t, "inches", got[1].ActionMM.OrNaN(), 2.032, 1e-12)
	if got[0].String != 6 || got[1].HeldMM.Known() || got[1].ShowsMM.Known() {
		t.Errorf("%+v", got)
	}
	if m := Of(got, 1); m.String != 1 || !m.ActionMM.Known() {
		t.Errorf("%+v", m)
	}
	if m := Of(got, 3); m != (Measured{String: 3}) {
		t.Errorf("%+v", m)
	}
}

func TestRead_Faults(t *testing.T) {
	const head = "string,first_gap,action,unit\n"
	for text, want := range map[string]string{
		"":                             "m.csv: is empty",
		"string,action\n1,2\n":         "m.csv:1: unit: the column is missing",
		"string,gap,unit\n1,2,mm\n":    "unknown column",
		head + "0,.7,2,mm\n":           "m.csv:2: string: ",
		head + "1,.7,2,\n":             `m.csv:2: unit: "" is not a unit of length here; use mm or in`,
		head + "1,.7,2,furlong\n":      `"furlong" is not a unit`,
		head + "1,.7,two,mm\n":         `m.csv:2: action: "two"`,
		head + "1,-.7,2,mm\n":          "m.csv:2: first_gap: -0.7 must be 0 to 30 mm",
		head + "1,.7,2,mm\n1,1,2,mm\n": "m.csv:3: string: string 1 is in line 2 already; keep one",
	} {
		if _, err := Read("m.csv", strings.NewReader(text)); !fileerr.Is(err) || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// A blank table reads back as strings of which nothing was measured, the bass first.
func TestBlank(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, Blank(6)); err != nil {
		t.Fatal(err)
	}
	got, err := Read("blank.csv", &b)
	if err != nil || len(got) != 6 || got[0] != (Measured{String: 6}) || got[5] != (Measured{String: 1}) {
		t.Errorf("%+v, %v", got, err)
	}
}

// FuzzRead: no panic, and what is read, written out again reads the same.
func FuzzRead(f *testing.F) {
	f.Add("string,first_gap,held_gap,action,saddle_shows,unit\n6,0.7,0.3,2.2,4,mm\n1,x,,2,-,in\n")
	f.Add("string;action;unit\n1;2,2;mm\n")
	f.Fuzz(func(t *testing.T, text string) {
		got, err := Read("f.csv", strings.NewReader(text))
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := Write(&b, got); err != nil {
			t.Fatal(err)
		}
		again, err := Read("again.csv", &b)
		if err != nil || !reflect.DeepEqual(got, again) {
			t.Fatalf("%+v read again is %+v, %v", got, again, err)
		}
	})
}

func TestEach(t *testing.T) {
	for _, c := range []struct {
		values []float64
		n      int
		want   []float64
	}{
		{[]float64{2}, 3, []float64{2, 2, 2}}, {[]float64{2, 3}, 3, []float64{2, 2.5, 3}}, {[]float64{1, 2, 3}, 3, []float64{1, 2, 3}},
		{[]float64{1, 2}, 2, []float64{1, 2}}, {[]float64{1, 2}, 1, nil}, {[]float64{1, 2, 3}, 6, nil}, {nil, 6, nil},
	} {
		if got, ok := Each(c.values, c.n); !reflect.DeepEqual(got, c.want) || ok != (c.want != nil) {
			t.Errorf("%v for %d: %v, %v", c.values, c.n, got, ok)
		}
	}
}
