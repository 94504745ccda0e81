package bench

import (
	"bytes"
	"path"
	"strings"
	"testing"
)

// TestLean_Lines: indentation and lines of comment go, all else stays; and no text of
// ours runs over several lines, where blanks would be part of it.
func TestLean_Lines(t *testing.T) {
	in := "/* a look */\n\n.row { /* kept */\n\tcolor: red; }\n  // told\nlet a = 'x'; // kept\n/* two\nlines */\n"
	want := ".row { /* kept */\ncolor: red; }\nlet a = 'x'; // kept\n/* two\nlines */\n"
	if got := string(lean([]byte(in))); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	files, err := staticFiles.ReadDir("static")
	if err != nil {
		t.Fatal(err)
	}
	scripts := 0
	for _, f := range files {
		if !strings.HasSuffix(path.Ext(f.Name()), "js") {
			continue
		}
		scripts++
		data, err := staticFiles.ReadFile("static/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for line := range bytes.Lines(data) {
			if n++; bytes.Count(line, []byte("`"))%2 > 0 {
				t.Errorf("%s:%d: a text that goes on in the next line", f.Name(), n)
			}
		}
	}
	if scripts < 5 {
		t.Fatalf("found %d scripts", scripts)
	}
}
