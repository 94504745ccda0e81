package drift

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/fileerr"
)

func TestRead_Whole(t *testing.T) {
	s, err := Read("s.csv", strings.NewReader(`# zone of each neck as levelled
value;group;out_of;unit;label;date;tag:wire
1;a;5;frets;0412;2024-03-01;lot6
2;a;5;frets;0413;2024-03-01T10:00:00Z;lot7
0;b;6;frets;0414;;
`))
	if err != nil {
		t.Fatal(err)
	}
	want := []Point{
		{Value: 1, OutOf: 5, Group: "a", Label: "0412", Date: time.Date(2024, 3, 1, 0, 0, 0, 0, time.UTC), Tags: map[string]string{"wire": "lot6"}},
		{Value: 2, OutOf: 5, Group: "a", Label: "0413", Date: time.Date(2024, 3, 1, 10, 0, 0, 0, time.UTC), Tags: map[string]string{"wire": "lot7"}},
		{Value: 0, OutOf: 6, Group: "b", Label: "0414", Tags: map[string]string{"wire": ""}},
	}
	if s.Unit != "frets" || fmt.Sprint(s.Points) != fmt.Sprint(want) {
		t.Errorf("got %v, want %v", s.Points, want)
	}
	parts := s.By("wire")
	if len(parts) != 3 || parts[1].Tag != "lot7" || len(parts[1].Series.Points) != 1 {
		t.Errorf("split by wire: %v", parts)
	}
	groups, first := s.Groups()
	if fmt.Sprint(groups, first) != "[[1 2] [0]] [0 2]" {
		t.Errorf("groups %v from %v", groups, first)
	}
}

func TestRead_Faults(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"group comes back", "value,group\n1,a\n2,b\n3,a\n", `s.csv:4: group: "a" is at line 2 already, before another group`},
		{"no group", "value,group\n1,\n", "s.csv:2: group: is empty"},
		{"more than all", "value,out_of\n6,5\n", "s.csv:2: value: 6 out of 5"},
		{"half a fret", "value,out_of\n0.5,5\n", "s.csv:2: value: 0.5 out of 5"},
		{"out of none", "value,out_of\n0,0\n", "s.csv:2: out_of: 0 is outside 1 to 1000000"},
		{"two units", "value,unit\n1,mm\n1,in\n", `s.csv:3: unit: "in" follows "mm"`},
		{"no unit", "value,unit\n1,\n", "s.csv:2: unit: is empty"},
		{"no date", "value,date\n1,yesterday\n", `s.csv:2: date: "yesterday" is not a date`},
		{"backwards", "value,date\n1,2024-03-02\n2,\n3,2024-03-01\n", "s.csv:4: date: 2024-03-01 is earlier than line 2"},
		{"tag without a name", "value,tag:\n1,a\n", "unknown column"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Read("s.csv", strings.NewReader(tt.text))
			if err == nil || !fileerr.Is(err) || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %s", err, tt.want)
			}
		})
	}
}

// What parses can be charted, or says why not; nothing panics.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"value\n1\n2\n3\n", "value,group\n1,a\n2,a\n3,b\n4,b\n", "value;out_of\n1;5\n2;5\n",
		"value,unit,label,date,tag:wire\n1,mm,x,2024-01-01,lot6\n", "value\n1e9\n-1e9\n1e-99\n",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Read("s.csv", strings.NewReader(text))
		if err != nil {
			if !fileerr.Is(err) {
				t.Errorf("an error that is no fault of the file: %v", err)
			}
			return
		}
		if len(s.Points) == 0 {
			t.Error("no point and no fault")
		}
		x := s.Values()
		if c, _, err := Individuals(x, Basis{Rules: NelsonRules()}); err == nil {
			EWMA(c, 0.2, 3)
			_, _ = CumulativeSum(c, CusumDesign{0.5, 5, 0})
		}
		groups, _ := s.Groups()
		_, _, _ = Means(groups, ByRange, Basis{})
		if _, err := Shifts(x, nil, 0.95); err != nil {
			t.Errorf("steps of a series that parsed: %v", err)
		}
	})
}

func BenchmarkRead_100k(b *testing.B) {
	var text bytes.Buffer
	text.WriteString("value,unit,label\n")
	for i, v := range noise(1, benchLength) {
		fmt.Fprintf(&text, "%.4f,mm,%d\n", 20+v, i)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read("s.csv", bytes.NewReader(text.Bytes())); err != nil {
			b.Fatal(err)
		}
	}
}
