package heights

// Fret is what the readings say of one fret as a whole: the chances of the ways
// in which it may lie, which add up to 1, and of an end that yields to the gauge.
type Fret struct {
	Fret                          int
	Usual, Seat, Arch, Free, Wild float64
	LooseTreble, LooseBass        float64
}

// Part is one explanation of a crown's readings: its chance and, where it holds,
// the crown's height in the free datum and that height's standard uncertainty, mm.
type Part struct{ Chance, ZMM, UMM float64 }

// PassFault is what is wrong with a whole pass of a gauge.
type PassFault struct {
	Method   string
	Lane     float64
	Pass     string
	Finding  string // Knocked, Skipped or Swapped
	FromFret int    // the first fret concerned
	StepMM   float64
	Sure     bool // else only likely
}

// What may be wrong with a whole pass.
const (
	Knocked = "knocked" // the gauge moved: all readings from a fret on are shifted
	Skipped = "skipped" // one crown was left out, and what follows stands one fret off
	Swapped = "swapped" // two neighbouring readings changed places
)
