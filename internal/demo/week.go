package demo

import (
	"math/rand/v2"
	"slices"
	"strconv"
	"time"

	"ringtrue/internal/book"
)

// What is planted in a shop in mid-week.
const (
	weekNecks   = 30
	everyDays   = 2     // a neck is seated
	badLotFrom  = 20    // the neck from which lot9 is used
	badLot      = 4     // times as uneven
	besideNeck  = 12    // read by a master and an apprentice
	besideMM    = 0.009 // scatter of the apprentice's readings
	wetNeck     = 16
	wetMM       = 0.055 // bow of its board as it dried, mm
	firstOfWeek = 2001
)

// PlantedWeek says in words what is in the shop in mid-week, for those who look for it.
func PlantedWeek() []string {
	return []string{
		"necks wait longest from levelled to crowned, eight days and more: only Tove crowns",
		"Pia, who learns, read neck " + weekSerial(besideNeck) + " beside Ines: her readings scatter three times as much",
		"wire lot9, in use for three weeks, goes in unevenly; lot8 did not",
		"the board of neck " + weekSerial(wetNeck) + " was slotted at 11.5 % moisture: too wet, and it has bowed since",
		"one neck's glue sets, one was handed to Pia, one waits for wire, the oldest are sold",
	}
}

// TryWeek are the commands that find what is planted, in that order.
func TryWeek() []string {
	return []string{
		"ringtrue book times",
		"ringtrue book compare " + weekSerial(besideNeck) + " seated --by Ines,Pia",
		"ringtrue drift --of zone --stage seated --by wire",
		"ringtrue wood --serial " + weekSerial(wetNeck),
		"ringtrue shop",
	}
}

func weekSerial(k int) string { return strconv.Itoa(firstOfWeek + k) }

// Week invents a shop on a day: its necks of the last two months and what was said of
// them until now, all of it the same for the same day and seed but for notes of today.
func Week(now time.Time, seed uint64) ([]*book.Entry, []book.Said) {
	now = now.UTC().Truncate(time.Minute)
	today := now.Truncate(24 * time.Hour)
	var entries []*book.Entry
	var notes []book.Said
	for k := range weekNecks {
		r := rand.New(rand.NewPCG(seed, uint64(weekNecks+k)))
		n := weekNeck(r, k)
		w := weekWork{invented: n, today: today}
		gone := w.work((weekNecks - k) * everyDays)
		entries = append(entries, w.entries...)
		if gone > 0 {
			notes = append(notes, said(n.serial, "strung", "Tove", today.AddDate(0, 0, -gone).Add(18*time.Hour)))
		}
		if gone > 5 {
			notes = append(notes, said(n.serial, "sold", "Ines", today.AddDate(0, 0, 5-gone).Add(17*time.Hour)))
		}
	}
	glued := now.Add(-20 * time.Minute)
	yesterday := weekday(today, 1).Add(18 * time.Hour)
	notes = append(notes,
		said(weekSerial(weekNecks-3), "waiting for wire", "Ines", yesterday),
		said(weekSerial(weekNecks-2), "handed to Pia", "Tove", yesterday.Add(time.Minute)),
		said(weekSerial(weekNecks-1), "glued with epoxy-5", "Tove", glued))
	slices.SortStableFunc(entries, func(a, b *book.Entry) int { return a.Added.Compare(b.Added) })
	slices.SortStableFunc(notes, func(a, b book.Said) int { return a.Added.Compare(b.Added) })
	return entries, notes
}

func said(serial, text, by string, at time.Time) book.Said {
	return book.Said{Serial: serial, Text: text, By: by, At: at, Added: at}
}

// weekday is some days before a day, or the Friday before it.
func weekday(today time.Time, ago int) time.Time {
	t := today.AddDate(0, 0, -ago)
	switch t.Weekday() {
	case time.Saturday:
		return t.AddDate(0, 0, -1)
	case time.Sunday:
		return t.AddDate(0, 0, -2)
	}
	return t
}

func weekNeck(r *rand.Rand, k int) *invented {
	by := makers()[k%2]
	by.forgets = 0
	lot := "lot8"
	if k >= badLotFrom {
		lot = "lot9"
		by.seatMM *= badLot
	}
	moisture, wood := "7.0", "ebony"
	if k == wetNeck {
		moisture, wood = "11.5", "rosewood"
	}
	n := &invented{r: r, serial: weekSerial(k), by: by, tags: map[string]string{"wire": lot, "press": "lever", "hand": by.name, "wood": wood}}
	n.lay(woodText(moisture, wood))
	n.seat(0)
	if k == weekNecks-1 { // its end was up: it is glued
		n.offEnd = n.frets[8]
		for l := range n.z[8] {
			n.z[8][l] += 0.09 * (1 - float64(l)/float64(n.lanes-1))
		}
	}
	return n
}

// weekWork is the work on one neck until today.
type weekWork struct {
	*invented
	today   time.Time
	entries []*book.Entry
}

// work does on a neck what was done until today, from the day some days ago on which it
// was seated. It gives for how many days it has been crowned; 0: it is not.
func (w *weekWork) work(ago int) (gone int) {
	w.read("seated", ago, 9)
	if w.serial == weekSerial(besideNeck) {
		w.beside(ago)
	}
	if ago -= 1 + w.r.IntN(2); ago < 2 || w.serial == weekSerial(weekNecks-2) {
		return 0
	}
	w.level()
	w.read("levelled", ago, 12)
	if ago -= 8 + w.r.IntN(3); ago < 1 {
		return 0
	}
	if w.serial == weekSerial(wetNeck) {
		w.driedMM = wetMM
	}
	w.read("crowned", ago, 15)
	return ago
}

// read takes a neck's readings so many days ago, in two hours from an hour on.
func (w *weekWork) read(stage string, ago, hour int) {
	passes := 1
	if stage == "seated" && w.serial == weekSerial(besideNeck) {
		passes = 3
	}
	e := w.invented.read(stage, weekday(w.today, ago), passes, "")
	e.Added = weekday(w.today, ago).Add(time.Duration(hour)*time.Hour + time.Duration(w.r.IntN(100))*time.Minute)
	w.entries = append(w.entries, e)
}

// beside lets the apprentice read the same crowns after the master.
func (w *weekWork) beside(ago int) {
	master := w.by
	w.by.name, w.by.readMM = "Pia", besideMM
	w.read("seated", ago, 11)
	w.by = master
}
