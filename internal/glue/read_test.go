package glue

import (
	"bytes"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/fileerr"
)

func TestRead(t *testing.T) {
	got, err := Read("t.csv", strings.NewReader("# a test\nMinutes;force;unit;gap;temperature;humidity\n0,25;3;kgf;0.05 mm;70 F;45 %\n1;x;N;;;\n4;10;lbf;;;\n15;;N;;;\n60;80,5;N;;21 C;50\n"))
	if err != nil || len(got) != 3 {
		t.Fatalf("%+v, %v", got, err)
	}
	casetest.Near(t, "kgf", got[0].ForceN, 3*9.80665, 1e-9)
	casetest.Near(t, "lbf", got[1].ForceN, 44.482216152605, 1e-9)
	casetest.Near(t, "gap", casetest.Value(got[0].GapMM), 0.05, 1e-12)
	casetest.Near(t, "70 F", casetest.Value(got[0].TempC), 21.1111, 1e-3)
	if got[0].Minutes != 0.25 || got[1].GapMM.Known() || got[2].Line != 7 || casetest.Value(got[2].HumidityPct) != 50 {
		t.Errorf("%+v", got)
	}
}

func TestRead_faults(t *testing.T) {
	const head = "minutes,force,unit,gap,temperature,humidity\n"
	for text, want := range map[string]string{
		"":                               "t.csv: is empty",
		"minutes,force\n1,2\n":           "t.csv:1: unit: the column is missing",
		"minutes,force,unit,x\n1,2,N,\n": `unknown column`,
		head:                             "t.csv: has no rows under its header",
		head + "1,,N,,,\n4,x,N,,,\n":     "t.csv: force: no row has a force",
		head + "0,2,N,,,\n":              "t.csv:2: minutes: 0 must be above 0",
		head + "-3,2,N,,,\n":             "t.csv:2: minutes: -3 must be above 0",
		head + "1,-2,N,,,\n":             "t.csv:2: force: -2 N must be 0 to 100000 N",
		head + "1,1e6,N,,,\n":            "t.csv:2: force: 1e+06 N must be 0 to",
		head + "1,two,N,,,\n":            `t.csv:2: force: "two" is not a number`,
		head + "1,2,kg,,,\n":             `t.csv:2: unit: "kg" is not a unit of force here; use N, kgf or lbf`,
		head + "1,2,,,,\n":               `t.csv:2: unit: "" is not a unit`,
		head + "1,2,N,0.05,,\n":          "t.csv:2: gap: 0.05 has no unit",
		head + "1,2,N,9 mm,,\n":          "t.csv:2: gap: 9 mm must be 0 to 5 mm",
		head + "1,2,N,,warm,\n":          "t.csv:2: temperature:",
		head + "1,2,N,,,140\n":           "t.csv:2: humidity: 140 must be 0 to 100 %",
		head + "1,2.5.1,N,,,\n":          "has two decimal marks",
	} {
		if _, err := Read("t.csv", strings.NewReader(text)); !fileerr.Is(err) || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// A blank form, once forces are in, is a test: every time is read, its gap too.
func TestWriteBlank_ReadsBack(t *testing.T) {
	var b bytes.Buffer
	f := Form{Neck: "Heron\n22", BesideMM: (0.58 - 0.52) / 2, Minutes: FormMinutes()}
	if err := WriteBlank(&b, f); err != nil {
		t.Fatal(err)
	}
	if _, err := Read("form.csv", bytes.NewReader(b.Bytes())); err == nil || !strings.Contains(err.Error(), "no row has a force") {
		t.Errorf("an empty form: %v", err)
	}
	filled := strings.ReplaceAll(b.String(), ",,N,", ",100,N,")
	got, err := Read("form.csv", strings.NewReader(filled))
	if err != nil || len(got) != 10 {
		t.Fatalf("%v\n%s", err, filled)
	}
	for i, m := range FormMinutes() {
		if got[i].Minutes != m || got[i].ForceN != 100 || casetest.Value(got[i].GapMM) != 0.03 {
			t.Errorf("%+v", got[i])
		}
	}
}

func TestSpread(t *testing.T) {
	read := func(rows string) Spread {
		got, err := Read("t.csv", strings.NewReader("minutes,force,unit,gap,temperature,humidity\n"+rows))
		if err != nil {
			t.Fatal(err)
		}
		return SpreadOf(got)
	}
	if s := read("1,2,N,0.03 mm,21 C,45\n2,3,N,0.05 mm,25 C,50\n3,4,N,,,\n"); s.Mixed() {
		t.Errorf("one series: %+v", s)
	}
	for _, rows := range []string{"1,2,N,0.03 mm,,\n2,3,N,0.10 mm,,\n", "1,2,N,,15 C,\n2,3,N,,25 C,\n", "1,2,N,,,30\n2,3,N,,,60\n"} {
		if s := read(rows); !s.Mixed() {
			t.Errorf("%q: %+v", rows, s)
		}
	}
	if s := read("1,2,N,,,\n"); s != (Spread{}) {
		t.Errorf("nothing noted: %+v", s)
	}
}

// FuzzRead: no panic, and what is read has numbers that a fit can take.
func FuzzRead(f *testing.F) {
	f.Add("minutes,force,unit\n0.25,3,kgf\n1,x,N\n")
	f.Add("minutes;force;unit;gap;temperature;humidity\n0,25;3;N;0.05 mm;70 F;45 %\n")
	f.Fuzz(func(t *testing.T, text string) {
		got, err := Read("t.csv", strings.NewReader(text))
		if err != nil {
			return
		}
		for _, p := range got {
			if !(p.Minutes > 0) || !(p.ForceN >= 0) {
				t.Fatalf("%+v", p)
			}
		}
		if len(got) < 50 {
			FitTest(got)
		}
	})
}

// TestFarFrom: a test of another gap or air than the neck's is told.
func TestFarFrom(t *testing.T) {
	c := heron(t) // 0.03 mm, 25 °C, 50 %
	for rows, want := range map[string]string{
		"1,2,N,0.03 mm,25 C,50\n2,3,N,0.04 mm,22 C,60\n": "",
		"1,2,N,,,\n":          "",
		"1,2,N,0.10 mm,,\n":   "a gap of 0.10 mm",
		"1,2,N,,15 C,\n":      "15 °C",
		"1,2,N,0.03 mm,,20\n": "20 % humidity",
	} {
		got, err := Read("t.csv", strings.NewReader("minutes,force,unit,gap,temperature,humidity\n"+rows))
		if err != nil {
			t.Fatal(err)
		}
		if far, was := FarFrom(got, c); was != want || far != (want != "") {
			t.Errorf("%q: %v, %q", rows, far, was)
		}
	}
}
