package reading

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// What comes in now is looked at more closely than what a book has taken already.
func TestParse_New(t *testing.T) {
	header := "method,lane,fret,reading,unit,pass,date,u,turned\n"
	for _, c := range []struct{ name, rows, want string }{
		{"day", "beam,1,1,0.4,mm,1,2026-03-14,,\nbeam,1,2,0.4,mm,1,,0.003,no", ""},
		{"hour", "beam,1,1,0.4,mm,1,2026-03-14 09:30,,", ""},
		{"a clock's", "beam,1,1,0.4,mm,1,2026-03-14T09:30:05,,\nbeam,1,1,0.4,mm,2,2026-03-14T09:30+01:00,,", ""},
		{"a spreadsheet's", "beam,1,1,0.4,mm,1,2026/3/14,,\nbeam,1,1,0.4,mm,2,14.03.2026 09:30,,", ""},
		{"dots", "beam,1,1,0.4,mm,1,14.3.2026,,", ""},
		{"month 13", "beam,1,1,0.4,mm,1,2026-13-45,,", `x.csv:2: date: "2026-13-45" is not a date; write it like 2026-03-14`},
		{"month first", "beam,1,1,0.4,mm,1,,,\nbeam,1,2,0.4,mm,1,03/14/2026,,", `x.csv:3: date: "03/14/2026" is not a date; write it like 2026-03-14`},
		{"either first", "beam,1,1,0.4,mm,1,3/4/2026,,", `x.csv:2: date: "3/4/2026" is not a date; write it like 2026-03-14`},
		{"a word", "beam,1,1,0.4,mm,1,May,,", `x.csv:2: date: "May" is not a date; write it like 2026-03-14`},
		{"tiny u", "beam,1,1,0.4,mm,1,,1e-300,\nbeam,1,2,0.4,mm,1,,1e-300,", `x.csv:2: u: "1e-300" is smaller than any gauge's; a dial's is about 0.003 mm (rows 2 and 3)`},
		{"hundredths", "edge,1,2,8,mm,1,,,\nedge,1,3,1.5,mm,1,,,", "x.csv:2: reading: 8 mm is too thick for a feeler; write 8 hundredths as 0.08"},
		{"small u", "beam,1,1,0.4,mm,1,,0.00001,", ""},
		{"both ways", "beam,1,1,0.4,mm,7,,,\nbeam,1,2,0.4,mm,7,,,\nbeam,1,3,0.4,mm,7,,,yes\nbeam,1,4,0.4,mm,7,,,yes",
			`x.csv:4: turned: pass "7" is turned here and not in line 2, or the reverse; write yes in all its rows, or make two passes (rows 4 and 5)`},
		{"two lanes", "beam,1,1,0.4,mm,7,,,\nbeam,2,2,0.4,mm,7,,,yes", ""},
		{"passes without names", "beam,1,1,0.4,mm,,,,\nbeam,1,1,0.4,mm,,,,yes", ""},
	} {
		b := heronBounds()
		if _, err := Parse("x.csv", strings.NewReader(header+c.rows), b); err != nil {
			t.Errorf("%s: kept already: %v", c.name, err)
		}
		b.New = true
		if _, err := Parse("x.csv", strings.NewReader(header+c.rows), b); err == nil && c.want != "" || err != nil && err.Error() != c.want {
			t.Errorf("%s: got\n%v\nwant\n%s", c.name, err, c.want)
		}
	}
}

// Every day there is can be written in all these ways, and is that day.
func TestDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 20_000).Draw(t, "day"))
		for _, form := range []string{time.DateOnly, "2.1.2006", "02.01.2006", "2006/1/2", "2006-01-02 15:04", time.DateTime,
			"2006-01-02T15:04:05", "2006-01-02T15:04Z07:00", "2006-01-02 15:04:05Z07:00", time.RFC3339Nano, "02.01.2006 15:04"} {
			if got, ok := Day(day.Format(form)); !ok || !got.Equal(day) {
				t.Errorf("%s: %v, %v", day.Format(form), got, ok)
			}
		}
		text := fmt.Sprintf("%d-%02d-%02d", day.Year(), rapid.IntRange(13, 99).Draw(t, "month"), day.Day())
		if _, ok := Day(text); ok {
			t.Errorf("%s passes", text)
		}
	})
}
