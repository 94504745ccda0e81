package reading

import (
	"fmt"
	"strings"
	"testing"
)

// What cannot be judged within a few seconds is refused in one line that says how
// much can; one less is read. A book may have taken more before there were limits.
func TestParse_Limits(t *testing.T) {
	bounds := heronBounds()
	bounds.New = true
	rows := func(n int, row func(i int) string) string {
		var b strings.Builder
		b.WriteString("method,lane,fret,pass,reading,unit,x,y,z\n")
		for i := range n {
			b.WriteString(row(i) + "\n")
		}
		return b.String()
	}
	for _, c := range []struct {
		most int
		row  func(i int) string
		says string
	}{
		{MaxPasses, func(i int) string { return fmt.Sprintf("beam,%d,%d,p%d,0,mm,,,", 1+i%6, 1+i/6, i) },
			"r.csv: 121 passes over all lanes; at most 120 can be judged. Join those of one set-up, or leave out old ones"},
		{MaxPasses, func(i int) string { return fmt.Sprintf("probe,,,f%d,,mm,30,0,1", i) },
			"r.csv: 121 passes over all lanes; at most 120 can be judged. Join those of one set-up, or leave out old ones"},
		{MaxLanes, func(i int) string { return fmt.Sprintf("bridge,%.2f,6-7-8,,0,mm,,,", 1+float64(i)/10) },
			"r.csv: 41 lanes; at most 40 can be judged at once. Leave out some of the lanes between strings"},
		{MaxOfCrown, func(int) string { return "beam,3,7,a,0,mm,,," },
			"r.csv: fret 7, lane 3 has 61 readings; at most 60 of one crown can be judged at once. Leave out old passes"},
	} {
		if _, err := Parse("r.csv", strings.NewReader(rows(c.most, c.row)), bounds); err != nil {
			t.Errorf("refused at the limit: %v", err)
		}
		if _, err := Parse("r.csv", strings.NewReader(rows(c.most+1, c.row)), bounds); err == nil || err.Error() != c.says {
			t.Errorf("%v, want %q", err, c.says)
		}
		if _, err := Parse("r.csv", strings.NewReader(rows(c.most+1, c.row)), heronBounds()); err != nil {
			t.Errorf("taken before there were limits: %v", err)
		}
	}
	heights := rows(MaxOfCrown+1, func(int) string { return "height,3,7,,1.2,mm,,," })
	if _, err := Parse("r.csv", strings.NewReader(heights), bounds); err != nil {
		t.Errorf("heights of the wire are no readings of a crown: %v", err)
	}
}
