package text

import (
	"fmt"
	"math"
	"time"

	"ringtrue/internal/book"
)

// ClockBehind says where records had to be dated later than the machine's clock
// (book.Late); empty where none was.
func ClockBehind(late []book.Added) string {
	var most time.Duration
	for _, a := range late {
		most = max(most, a.Receipt.Behind)
	}
	const cure = "if it went back, set it right. The records keep their order"
	switch len(late) {
	case 0:
		return ""
	case 1:
		a := late[0]
		return fmt.Sprintf("this computer's clock is %s behind the last record of %s, so record %d is dated just after it, %s; %s",
			roughly(most), a.Serial, a.Record, a.Receipt.Added.Format(time.DateOnly), cure)
	}
	return fmt.Sprintf("for %d of these, this computer's clock is behind the neck's last record, by up to %s. Each is dated just after that one; %s",
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

func records(n int) string {
	if n == 1 {
		return "1 record"
	}
	return fmt.Sprintf("%d records", n)
}

// What a record's paragraph says where it is so.
const (
	NoDateOfReadings = "its readings have no date, so the day they were added is used"
	JudgedByOlder    = "judged by an older version; ringtrue book rebuild updates it"
)

// BookPlan says how far a record's widest lane and worst crown are off, and what the
// plan takes off.
func BookPlan(zoneMM float64, worst string, totalMM, mostMM float64) string {
	words := fmt.Sprintf("zone %.3f mm, worst crown %s off; ", zoneMM, worst)
	if totalMM == 0 {
		return words + "nothing to take off"
	}
	return words + fmt.Sprintf("filed as it is, %.3f mm over all crowns, at most %.3f mm off one", totalMM, mostMM)
}

// NoNotes is said of a neck without a note.
func NoNotes(serial string) string { return "No notes on " + serial + " yet." }

// Corrects says what a record corrects, who did and why.
func Corrects(record int64, by, why string) string {
	return fmt.Sprintf("corrects record %d, by %s: %s", record, by, why)
}

// CorrectedBy says which record corrects one.
func CorrectedBy(record int64) string { return fmt.Sprintf("corrected by record %d", record) }

// What a chart of a neck's records says.
const (
	NeckRecords   = "Record by record"
	RecordsAxis   = "record and stage"
	ZoneOfRecord  = "zone of the widest lane"
	WorstOfRecord = "worst crown"
)

// RecordsChart says for a picture what it shows.
func RecordsChart(records int) string {
	return "Zone and worst crown of " + Count(records, "record") + "."
}
