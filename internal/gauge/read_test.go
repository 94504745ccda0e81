package gauge

import (
	"strings"
	"testing"

	"ringtrue/internal/fileerr"
)

const wholeStudy = `part,operator,trial,reading,unit
a,Ida,1,0.010,mm
a,Ida,2,0.012,mm
a,Per,1,0.011,mm
a,Per,2,0.011,mm
b,Ida,1,0.030,mm
b,Ida,2,0.031,mm
b,Per,1,0.033,mm
b,Per,2,0.032,mm
`

func TestRead_Kinds(t *testing.T) {
	tests := []struct {
		name, text string
		want       Kind
		rows       int
	}{
		{"crossed", wholeStudy, KindCrossed, 8},
		{"nested", "part,run,day,reading,unit\na,1,1,0.1,mm\n", KindNested, 1},
		{"nested, one run", "part,day,reading,unit\na,1,0.1,mm\n", KindNested, 1},
		{"repeat", "reading,unit\n0.1,mm\n", KindRepeat, 1},
		{"repeat, other names", "readings:\n", "", 0},
		{"linearity", "reference,reading,unit,u\n1,1.001,mm,0.0002\n", KindLinearity, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s, err := Read("study.csv", strings.NewReader(tt.text), "")
			if tt.rows == 0 {
				if err == nil {
					t.Error("no column, and no fault")
				}
				return
			}
			if err != nil || s.Kind != tt.want || len(s.Readings) != tt.rows || s.Unit != "mm" {
				t.Errorf("%d %s readings in %s, %v; want %d %s", len(s.Readings), s.Kind, s.Unit, err, tt.rows, tt.want)
			}
		})
	}
}

func TestRead_Units(t *testing.T) {
	s, err := Read("s.csv", strings.NewReader("reading,unit\n0.1,in\n0.2,IN\n"), "")
	if err != nil || s.Unit != "in" || s.Readings[1].Value != 0.2 || s.Millimetres() != 25.4 {
		t.Errorf("inches: %+v, %v", s, err)
	}
	s, err = Read("s.csv", strings.NewReader("reference,reading,unit,u\n1,1,in,0.1\n25.4,25.4,mm,0.1\n"), "")
	if err != nil || s.Unit != "mm" || s.Readings[0].Value != 25.4 || *s.Readings[0].Reference != 25.4 || s.Readings[0].U != 2.54 {
		t.Errorf("both: %+v, %v", s, err)
	}
}

// Trials are numbers to most people: 1, 01 and " 1" are the same.
func TestRead_TrialNames(t *testing.T) {
	text := strings.Replace(wholeStudy, "b,Per,2", "b,Per,02", 1)
	s, err := Read("s.csv", strings.NewReader(text), "")
	if err != nil {
		t.Fatal(err)
	}
	c, err := Cross(s.Readings)
	if err != nil || len(c.Parts) != 2 || len(c.Operators) != 2 || len(c.Readings[0][0]) != 2 {
		t.Errorf("%+v, %v; want 2 by 2 by 2", c, err)
	}
	if c.Readings[1][0][1] != 0.031 {
		t.Errorf("part b, Ida, trial 2 is %g, want 0.031", c.Readings[1][0][1])
	}
}

func TestRead_Faults(t *testing.T) {
	tests := []struct {
		name, text string
		kind       Kind
		want       string
	}{
		{"no operator", "part,trial,reading,unit\na,1,1,mm\n", "", "study.csv:1: operator: the column is missing; a crossed study needs part, operator, trial, reading, unit"},
		{"no day", "part,run,reading,unit\na,1,1,mm\n", "", "study.csv:1: day: the column is missing"},
		{"asked for another kind", "reading,unit\n1,mm\n", KindLinearity, "study.csv:1: reference: the column is missing; a linearity study"},
		{"a reading is missing", strings.Replace(wholeStudy, "b,Per,2,0.032,mm\n", "", 1), "", "study.csv: part b, operator Per has no trial 2"},
		{"a reading twice", wholeStudy + "b,Per,2,0.03,mm\n", "", "study.csv:10: trial: part b, operator Per, trial 2 is at line 9 already"},
		{"one part", "part,operator,trial,reading,unit\na,x,1,1,mm\na,x,2,1,mm\n", "", "there is only one part"},
		{"one trial", "part,operator,trial,reading,unit\na,x,1,1,mm\nb,x,1,1,mm\n", "", "there is only one trial"},
		{"no unit", "reading,unit\n1,\n", "", "study.csv:2: unit: is empty; use mm or in"},
		{"wrong unit", "reading,unit\n1,ell\n", "", `study.csv:2: unit: "ell" is not a unit of length here`},
		{"no part", "part,operator,trial,reading,unit\n,x,1,1,mm\n", "", "study.csv:2: part: is empty"},
		{"absurd", "reading,unit\n20000,mm\n", "", "study.csv:2: reading: 20000 mm is outside"},
		{"negative u", "reference,reading,unit,u\n1,1,mm,-1\n", "", "study.csv:2: u: -1 is negative"},
		{"no reading", "reading,unit\n,mm\n", "", "study.csv:2: reading: is empty"},
		{"text", "reading,unit\nabout 1,mm\n", "", "study.csv:2: reading: \"about 1\" is not a number"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Read("study.csv", strings.NewReader(tt.text), tt.kind)
			if err == nil || !fileerr.Is(err) || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %s", err, tt.want)
			}
		})
	}
}

func TestParseKind(t *testing.T) {
	for _, k := range Kinds() {
		if got, err := ParseKind(string(k)); err != nil || got != k {
			t.Errorf("%s: %s, %v", k, got, err)
		}
	}
	if _, err := ParseKind("sideways"); err == nil {
		t.Error("an unknown kind was taken")
	}
}

// What parses can be analysed, or says why not; nothing panics.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		wholeStudy, "part,run,day,reading,unit\na,1,1,0.1,mm\na,1,1,0.2,mm\na,1,2,0.1,mm\na,1,2,0.3,mm\n",
		"reading,unit\n0.1,mm\n0.2,mm\n0.3,in\n", "reference;reading;unit;u\n1;1,001;mm;0\n2;2,001;mm;0\n2;2,002;mm;0\n",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Read("study.csv", strings.NewReader(text), "")
		if err != nil {
			if !fileerr.Is(err) {
				t.Errorf("an error that is no fault of the file: %v", err)
			}
			return
		}
		switch s.Kind {
		case KindCrossed:
			c, err := Cross(s.Readings)
			if err != nil {
				t.Fatalf("a whole study that does not cross: %v", err)
			}
			if a, err := Analyse(c); err != nil {
				t.Errorf("a whole study that cannot be analysed: %v", err)
			} else {
				a.limits(0.95, 10)
			}
			_, _ = AverageAndRange(c)
		case KindNested:
			_, _ = AnalyseNested(Visits(s.Readings))
		case KindLinearity:
			_, _ = AnalyseLinearity(Blocks(s.Readings), 0.95)
		case KindRepeat:
			_, _ = AnalyseRepeat(Values(s.Readings), 0.95)
		}
	})
}
