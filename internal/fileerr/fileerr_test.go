package fileerr

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

func TestList_FileOrder(t *testing.T) {
	var l List
	l.Add("a.toml", 7, "board.width", "43 has no unit; write %q", "43 mm")
	l.Add("a.toml", 2, "", "not valid TOML")
	l.Add("a.toml", 0, "", "[level] is missing")
	l.Add("a.toml", 2, "scale", "stands twice")
	want := "a.toml: [level] is missing\na.toml:2: not valid TOML\na.toml:2: scale: stands twice\n" +
		"a.toml:7: board.width: 43 has no unit; write \"43 mm\""
	if err := l.Err(); err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	if err := (List{}).Err(); err != nil {
		t.Errorf("an empty list: %v", err)
	}
}

func TestList_MostLines(t *testing.T) {
	var l List
	for i := range MaxFaults {
		l.Add("a", i+1, fmt.Sprint("k", i), "wrong")
	}
	if text := l.Error(); strings.Count(text, "\n") != MaxFaults-1 || strings.Contains(text, "more") {
		t.Errorf("%d faults:\n%s", MaxFaults, text)
	}
	l.Add("a", MaxFaults+1, "k", "wrong")
	if text := l.Error(); strings.Count(text, "\n") != MaxFaults-1 || !strings.HasSuffix(text, "a:20: k19: wrong (and more)") {
		t.Errorf("%d faults:\n%s", MaxFaults+1, text)
	}
}

func TestIs(t *testing.T) {
	for _, c := range []struct {
		err  error
		want bool
	}{
		{List{{File: "a"}}, true},
		{Fault{File: "a"}, true},
		{fmt.Errorf("reading: %w", List{{File: "a"}}), true},
		{errors.New("disk full"), false},
		{nil, false},
	} {
		if got := Is(c.err); got != c.want {
			t.Errorf("%v: %v", c.err, got)
		}
	}
}

func TestNearest(t *testing.T) {
	known := []string{"width", "thickness", "wood", "no_go", "u"}
	for word, want := range map[string]string{
		"widht": "width", "Width": "width", "wdth": "width", "thicknesses": "thickness", "nogo": "no_go",
		"colour": "", "": "", "v": "u", strings.Repeat("w", 100): "",
	} {
		if got := Nearest(word, known); got != want {
			t.Errorf("%q: %q, want %q", word, got, want)
		}
	}
}
