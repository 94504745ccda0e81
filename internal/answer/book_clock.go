package answer

import (
	"fmt"
	"math"
	"time"
)

// leastBehind is the least that a clock must stand behind to be worth a word:
// records of one moment are set apart by microseconds, and a clock that is put
// right over the net jumps by less.
const leastBehind = time.Second

// ClockBehind says where records had to be dated later than the machine's clock,
// so that they stand behind the last record of their neck; empty where none was.
func ClockBehind(added ...BookAdded) string {
	var late []BookAdded
	var most time.Duration
	for _, a := range added {
		if a.Behind >= leastBehind {
			late = append(late, a)
			most = max(most, a.Behind)
		}
	}
	const cure = "if it went back, set it right; the order of the records is kept"
	switch len(late) {
	case 0:
		return ""
	case 1:
		a := late[0]
		return fmt.Sprintf("this machine's clock stands %s behind the last record of %s, so record %d is dated right after that one, %s; %s",
			roughly(most), a.Serial, a.Record, a.Added.Format(time.DateOnly), cure)
	}
	return fmt.Sprintf("this machine's clock stands behind the last record of the neck for %d of these, by up to %s, so each is dated right after that one; %s",
		len(late), roughly(most), cure)
}

// roughly is a length of time in the one unit in which a person would tell it.
func roughly(d time.Duration) string {
	for _, u := range []struct {
		size time.Duration
		name string
	}{{24 * time.Hour, "days"}, {time.Hour, "hours"}, {time.Minute, "minutes"}} {
		if d >= 2*u.size {
			return fmt.Sprintf("%.0f %s", math.Round(float64(d)/float64(u.size)), u.name)
		}
	}
	return fmt.Sprintf("%.0f s", d.Seconds())
}
