package table

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/iotest"

	"ringtrue/internal/fileerr"
)

// sum reads a table with a number column and a name, and adds the numbers.
func sum(text string) (total float64, names []string, err error) {
	schema := Schema{What: "list", Columns: []string{"value", "name"}, Required: []string{"value"}, Prefix: "tag:"}
	t, err := Open("list.csv", strings.NewReader(text), schema)
	if err != nil {
		return 0, nil, err
	}
	for t.Next() {
		if v, ok := t.Number("value"); ok {
			total += v
		}
		names = append(names, t.Text("name"))
	}
	return total, names, t.Err()
}

func TestOpen_Layouts(t *testing.T) {
	tests := map[string]string{
		"plain":             "value,name\n1.5,a\n2,b\n",
		"byte order mark":   "\ufeffvalue,name\n1.5,a\n2,b\n",
		"carriage returns":  "value,name\r\n1.5,a\r\n2,b\r\n",
		"old line ends":     "value,name\r1.5,a\r2,b\r",
		"semicolons":        "value;name\n1,5;a\n2;b\n",
		"tabs":              "value\tname\n1,5\ta\n2\tb\n",
		"comments, blanks":  "# made up\n\nvalue,name\n# here too\n1.5,a\n,\n2,b\n",
		"set in, quoted":    "  # made up; a list\n\"# a; list\"\nvalue,name\n # a note, of two parts\n\"# 3,c\",\n1.5,a\n2,b\n",
		"quotes, capitals":  "Value,NAME\n\"1.5\",\"a\"\n 2 , b\n",
		"columns the other": "name,value\na,1.5\nb,2\n",
		"trailing commas":   "value,name\n1.5,a,\n2,b,,\n",
		"a tag":             "value,name,tag:wire\n1.5,a,x\n2,b,y\n",
	}
	for name, text := range tests {
		t.Run(name, func(t *testing.T) {
			total, names, err := sum(text)
			if err != nil || total != 3.5 || strings.Join(names, "") != "ab" {
				t.Errorf("sum %g of %q, %v; want 3.5 of a, b", total, names, err)
			}
		})
	}
}

// A label may start with #: where any text may stand first, only a cell that
// stands alone is a comment.
func TestOpen_LabelIsNoComment(t *testing.T) {
	total, names, err := sum("name,value\n\"#1\",1.5\n\"# a note\",\nb,2\n")
	if err != nil || total != 3.5 || strings.Join(names, "") != "#1b" {
		t.Errorf("sum %g of %q, %v; want 3.5 of #1, b", total, names, err)
	}
}

func TestOpen_Faults(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"empty", "", "list.csv: is empty; a list starts with a header row such as value"},
		{"no rows", "value,name\n", "list.csv: has no rows under its header"},
		{"no column", "name\na\n", "list.csv:1: value: the column is missing; every row needs it"},
		{"misspelt", "valeu,name\n1,a\n", "list.csv:1: \"valeu\": is an unknown column; did you mean value?"},
		{"unknown", "value,zz\n1,a\n", "known are value, name, tag:NAME"},
		{"twice", "value,value\n1,2\n", "list.csv:1: value: appears twice in the header; keep one"},
		{"short row", "value,name\n1\n", "list.csv:2: has 1 cells, the header 2"},
		{"decimal comma", "value,name\n1,5,a\n", "a decimal comma needs ; between the cells"},
		{"not a number", "value\n1\nx\n", "list.csv:3: value: \"x\" is not a number"},
		{"NaN", "value\nNaN\n", "list.csv:2: value: \"NaN\" is not a size"},
		{"huge", "value\n1e12\n", "list.csv:2: value: 1e12 is absurdly large"},
		{"no value", "value,name\n,a\n", "list.csv:2: value: is empty; write a number"},
		{"both marks", "value;name\n1.5;a\n2,5;b\n", "list.csv:3: value: \"2,5\" has a decimal comma, line 2 a decimal point"},
		{"both marks, turned", "value;name\n1,5;a\n2.5;b\n", "list.csv:3: value: \"2.5\" has a decimal point, line 2 a decimal comma"},
		{"open quote", "value,name\n1,\"a\n", "list.csv:2: a quote is inside a cell or never closed"},
		{"no text", "value\n\x00\n", "list.csv: is not text"},
		{"not UTF-8", "value,name\n1,\xff\n", "list.csv:2: is not UTF-8"},
		{"UTF-16", "\xff\xfev\x00", "list.csv: is UTF-16"},
		{"control", "value,name\n1,a\x07\n", "list.csv:2: name: \"a\\a\" has a control character"},
		{"long", "value,name\n1," + strings.Repeat("x", 81) + "\n", "list.csv:2: name: is longer than 80 characters"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, _, err := sum(tt.text)
			if err == nil || !fileerr.Is(err) || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %s", err, tt.want)
			}
		})
	}
}

func TestOpen_StopsAfterEnoughFaults(t *testing.T) {
	var text strings.Builder
	for n := range 1000 {
		fmt.Fprintf(&text, "x%d\n", n)
	}
	_, _, err := sum("value\n" + text.String())
	var l fileerr.List
	if !errors.As(err, &l) || len(l) != fileerr.MaxFaults+1 {
		t.Errorf("%d faults of 1000, want %d", len(l), fileerr.MaxFaults+1)
	}
	// One fault on every row is one fault, however many they are.
	if _, _, err = sum("value\n" + strings.Repeat("x\n", 1000)); !strings.HasSuffix(err.Error(), "(rows 2 to 1001)") || strings.Contains(err.Error(), "\n") {
		t.Error(err)
	}
}

func TestOpen_TooLarge(t *testing.T) {
	if _, _, err := sum("value\n" + strings.Repeat("1\n", MaxBytes/2)); err == nil {
		t.Error("a file over the limit was read")
	}
}

func TestOpen_FailingReader(t *testing.T) {
	broken := errors.New("the disk is gone")
	_, err := Open("list.csv", iotest.ErrReader(broken), Schema{What: "list"})
	if !errors.Is(err, broken) || fileerr.Is(err) {
		t.Errorf("got %v, want the reader's own error", err)
	}
}

func FuzzOpen(f *testing.F) {
	for _, s := range []string{"value,name\n1.5,a\n", "value;name\n1,5;a\n", "\ufeffvalue\r\n1\r\n", "value,name\n\"1", "#\n", "value\n1e308\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		_, names, err := sum(text)
		if err == nil && len(names) == 0 {
			t.Error("no row and no fault")
		}
		if err != nil && !fileerr.Is(err) {
			t.Errorf("an error that is no fault of the file: %v", err)
		}
	})
}

// A column that is misspelt isn't missing besides.
func TestOpen_MisspeltOnce(t *testing.T) {
	_, _, err := sum("valeu\n1\n")
	if err == nil || !strings.Contains(err.Error(), "did you mean value?") || strings.Contains(err.Error(), "\n") {
		t.Error(err)
	}
}
