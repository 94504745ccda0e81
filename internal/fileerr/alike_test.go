package fileerr

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestList_SameFaultOnce(t *testing.T) {
	var l List
	for _, line := range []int{4, 5, 6, 9} {
		l.Add("a.csv", line, "u", "-1 is negative")
	}
	l.Add("a.csv", 5, "lane", "%q is no number", "x")
	l.Add("a.csv", 7, "lane", "%q is no number", "y") // few: each says its own
	for line := 20; line < 30; line++ {
		l.Add("a.csv", line, "fret", "there is no fret %d", line) // many: one for all
	}
	l.Add("a.csv", 0, "", "the same of the whole")
	l.Add("a.csv", 0, "", "the same of the whole")
	want := `a.csv: the same of the whole
a.csv:4: u: -1 is negative (rows 4 to 6 and 9)
a.csv:5: lane: "x" is no number
a.csv:7: lane: "y" is no number
a.csv:20: fret: there is no fret 20 (rows 20 to 29)`
	err := l.Err()
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	if one := OneLine(err); one != "a.csv: the same of the whole (and 4 more)" {
		t.Error(one)
	}
	if one := OneLine(List{{File: "a.csv", Line: 4, Key: "u", Msg: "-1 is negative"}, {File: "a.csv", Line: 5, Key: "u", Msg: "-1 is negative"}}); one != "a.csv:4: u: -1 is negative (rows 4 and 5)" {
		t.Error(one)
	}
}

func TestList_MisspeltOnce(t *testing.T) {
	l := List{
		{File: "a", Line: 1, Key: "scale.length", Msg: "is missing", Missing: "scale.length"},
		{File: "a", Line: 2, Key: "scale.lenght", Msg: "is unknown; did you mean length?", Meant: "scale.length"},
		{File: "b", Line: 1, Key: "scale.length", Msg: "is missing", Missing: "scale.length"},
	}
	if err := l.Err(); fmt.Sprint(err) != "b:1: scale.length: is missing\na:2: scale.lenght: is unknown; did you mean length?" {
		t.Error(err)
	}
}

// No row is lost, none invented: the rows named, read back, are those given.
func TestRows_NoneIsLost(t *testing.T) {
	number := regexp.MustCompile(`(\d+)(?: to (\d+))?`)
	rapid.Check(t, func(t *rapid.T) {
		lines := rapid.SliceOfNDistinct(rapid.IntRange(1, 60), 2, 40, rapid.ID).Draw(t, "lines")
		slices.Sort(lines)
		var back []int
		for _, m := range number.FindAllStringSubmatch(rows(spans(lines), len(lines)), -1) {
			from, err := strconv.Atoi(m[1])
			to := from
			if err == nil && m[2] != "" {
				to, err = strconv.Atoi(m[2])
			}
			if err != nil {
				t.Fatal(err)
			}
			for n := from; n <= to; n++ {
				back = append(back, n)
			}
		}
		if !slices.Equal(back, lines) {
			t.Errorf("%v read back as %v", lines, back)
		}
		var l List
		for _, n := range lines {
			l.Add("a", n, "k", "wrong")
		}
		text := l.Error()
		if strings.Contains(text, "\n") {
			t.Errorf("two lines for one fault: %s", text)
		}
		if cut := regexp.MustCompile(`(\d+) more`).FindStringSubmatch(text); cut != nil { // what is not named is counted
			named := 0
			for _, s := range spans(lines)[:maxSpans] {
				named += s.to - s.from + 1
			}
			if cut[1] != fmt.Sprint(len(lines)-named) {
				t.Errorf("%s: %d of %d rows are named", text, named, len(lines))
			}
		}
	})
}
