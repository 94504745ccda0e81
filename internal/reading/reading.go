package reading

// Answer is a rocker's answer that is no number.
type Answer int

// A rocker's answers.
const (
	Number Answer = iota // a number: Value holds it
	Rocks                // the middle crown stands above the line of its neighbours
	Still                // it does not
)

// Reading is one row of a readings file. Lengths are in mm.
type Reading struct {
	Line   int // of the file
	Method Method
	Lane   float64 // 0 for a probe, and for an arch with no lane (the centre line)
	Frets  []int   // one fret; three for bridge and rocker; two for sticks; none for a probe
	Value  float64
	Answer Answer
	U      float64  // standard uncertainty
	UGiven bool     // the row states it; else DefaultU
	NoGo   *float64 // thinnest leaf that no longer enters; nil where not given
	Pass   string
	Turned bool
	Span   float64 // arch and sticks

	X, Y, Z float64 // a probe's touch

	State, By, Gauge, Date, Temperature, Humidity string

	// Stands: it was asked of and kept, read twice alike or looked at. No file
	// says so; the bench does.
	Stands bool
}

// DefaultU is the standard uncertainty of a reading that states none, in mm.
const DefaultU = 0.005

// Set is every reading of a file.
type Set struct {
	File     string
	Readings []Reading
}

// Bounds is what a neck allows a reading to name.
type Bounds struct {
	FirstFret, LastFret, Strings int

	// New says that the readings come in now. Of a file that is in a book or a
	// journal already, dates, uncertainties and turned passes are not judged again.
	New bool
}
