package table

import (
	"slices"
	"strings"
	"testing"
)

func open(t *testing.T, text string) *Table {
	t.Helper()
	schema := Schema{What: "list", Columns: []string{"value", "name"}, Required: []string{"value"}, Prefix: "tag:"}
	l, err := Open("list.csv", strings.NewReader(text), schema)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestWhole_Cells(t *testing.T) {
	for _, c := range []struct {
		cell string
		want int
		why  string
	}{
		{"1", 1, ""},
		{"60", 60, ""},
		{"-0", 0, "outside 1 to 60"},
		{"61", 0, "61 is outside 1 to 60"},
		{"7.5", 0, `"7.5" is not a whole number`},
		{"seven", 0, `"seven" is not a whole number`},
		{"99999999999999999999", 0, "is not a whole number"},
		{"", 0, "is empty; write a whole number"},
	} {
		l := open(t, "value,name\n"+c.cell+",a\n")
		if !l.Next() {
			t.Fatalf("%q: no row", c.cell)
		}
		n, ok := l.Whole("value", 1, 60)
		if ok != (c.why == "") || n != c.want {
			t.Errorf("%q: %d, %v", c.cell, n, ok)
		}
		switch err := l.Err(); {
		case err == nil && c.why != "":
			t.Errorf("%q: no fault", c.cell)
		case err != nil && (c.why == "" || !strings.HasPrefix(err.Error(), "list.csv:2: value: ") || !strings.Contains(err.Error(), c.why)):
			t.Errorf("%q: %v", c.cell, err)
		}
	}
}

func TestPrefixed_InOrderOfTheHeader(t *testing.T) {
	if got, want := open(t, "tag:wire,value,tag:hand\nx,1,y\n").Prefixed(), []string{"tag:wire", "tag:hand"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got := open(t, "value,name\n1,a\n").Prefixed(); len(got) != 0 {
		t.Errorf("%q of a table without", got)
	}
}

func TestFaultOfFile_Counted(t *testing.T) {
	l := open(t, "value\n1\n")
	for l.Next() {
	}
	if n := l.Faults(); n != 0 {
		t.Fatalf("%d faults of a good table", n)
	}
	l.FaultOfFile(0, "value", "rises and falls")
	l.FaultOfFile(2, "", "stands alone")
	if n := l.Faults(); n != 2 {
		t.Errorf("%d faults, want 2", n)
	}
	if err, want := l.Err(), "list.csv: value: rises and falls\nlist.csv:2: stands alone"; err == nil || err.Error() != want {
		t.Errorf("%v, want %q", err, want)
	}
}
