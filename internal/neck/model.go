package neck

import "slices"

// Limits on what a neck file may ask for.
const (
	MaxFrets   = 60
	MaxStrings = 18
)

// Pair is a size at the nut and at the last fret (or, where a field says so,
// at the saddle; or for the first and the last string).
type Pair [2]float64

// Model is a neck file, checked, with every default filled in.
// Lengths are in mm throughout.
type Model struct {
	Name    string
	Scale   Scale
	Board   Board
	Body    Body
	Strings Strings
	Wire    Wire
	Slot    Slot
	Level   Level
	Setup   Setup
	Minutes Minutes
	Assumed []string // keys that the file leaves to their defaults, such as board.moisture
}

// Scale is [scale]. Bass and Treble are equal on a neck with straight frets.
type Scale struct {
	Bass, Treble float64 // scale lengths along the outer lanes
	Slanted      bool    // bass and treble were given in place of length
	SquareAt     int     // the fret that stands square to the centre line
	Frets        int
	Divisions    int  // equal divisions of the octave
	ZeroFret     bool // fret 0 is a fret too, with a crown that is read and levelled
}

// Board is [board]. A Radius of 0 means a flat board.
type Board struct {
	Radius       Pair
	Width        Pair
	Thickness    float64 // at the centre line
	Wood         string
	MoisturePct  float64 // per cent of dry weight, when slotted
	QuarterSawn  bool
	Flat         float64 // zone the bare board must keep
	RadiusWithin float64 // how far its radius may stray
	Binding      float64 // thickness on each side; 0 is unbound
}

// Body is [neck]: the wood under the board.
type Body struct {
	Joint     int // the fret at the body; 0 where not given
	Wood      string
	Thickness Pair // at fret 1 and at the joint, board included
	Rod       bool
	Heel      float64 // depth of a set neck's heel; 0 where not given
	Pocket    float64 // length of a bolt-on neck's pocket; 0 where not given
}

// Strings is [strings]. Set runs from the treble side: string 1 first.
type Strings struct {
	Spread  Pair // between the outer strings' centres: at the nut, at the saddle
	Set     []String
	Damping Damping
}

// Damping is the decay of a partial in 1/s: Base + π·f/Q + Square·f², f in Hz, and
// on a note that a finger stops Finger·f more.
type Damping struct {
	Base, Square float64
	Q            float64 // 0: no such part
	Finger       float64 // the share of its amplitude that a period loses in finger and fret
}

// String is one entry of strings.set. Zero stands for "not given".
type String struct {
	Pitch     string  // as written, "E4"
	Gauge     float64 // outer diameter
	Wound     bool
	Core      float64  // core diameter of a wound string
	Wrap      string   // of a wound string, one of Wraps
	Tension   float64  // N
	Mass      float64  // g/m
	Stiffness float64  // N·mm²
	At        *Pair    // distance from the centre line at the nut and the saddle, treble positive
	Damping   *Damping // its own, in place of the common one
	Force     float64  // N, that the judging touch plucks it with; the others in their ratio to it
}

// Wire is [wire]. Zero stands for "not given" where a comment says so.
type Wire struct {
	Alloy       string
	Hardness    float64 // Vickers; 0: the alloy's hard temper
	Modulus     float64 // MPa; 0: the alloy's
	Yield       float64 // MPa; 0: from hardness or the alloy
	CrownWidth  float64
	CrownHeight float64
	CrownRadius float64 // as given; 0: the circle through width and height, see Crown
	TangDepth   float64
	TangWidth   float64
	BarbWidth   float64
}

// Crown is the radius of the crown's top: as given, else that of the circle
// through crown width and height.
func (w Wire) Crown() float64 {
	if w.CrownRadius > 0 {
		return w.CrownRadius
	}
	half := w.CrownWidth / 2
	return (half*half + w.CrownHeight*w.CrownHeight) / (2 * w.CrownHeight)
}

// Slot is [slot].
type Slot struct{ Width, FloorGap float64 }

// Level is [level]: what the crowns of a lane must keep.
type Level struct {
	Zone       float64
	Relief     float64 // depth of the parabola the crowns shall follow
	Strung     bool    // readings taken strung are judged with the bow of strings and rod
	FallAway   *FallAway
	LeastCrown float64
}

// FallAway is how the last frets drop away from the straight line.
type FallAway struct {
	From     int
	Depth    Pair // bass side, treble side
	Straight bool // in proportion to the distance instead of its square
}

// Setup is [setup]: the neck as it will be played.
type Setup struct {
	Relief   float64   // what strings and rod bow beyond the shape
	ReliefTo int       // the fret where the bow ends: as given, else the joint, else the last
	Nut      []float64 // string's underside at the nut above the line of the crowns, one a string, string 1 first; nil where NutGap is given
	NutGap   []float64 // open string over fret 1's crown, one a string; nil where Nut is given
	Action   []float64 // over fret 12, open, one a string, string 1 first
	JudgeBy  string    // name of the touch
	Graze    float64
	Touch    []Touch
}

// Touch is a way of plucking. Exactly one of Force and Lift is above 0.
type Touch struct {
	Name       string
	Force      float64   // N, the part square to the board; of a list the mean
	Forces     []float64 // one a string, string 1 first; nil: Force for all
	Lift       float64   // height of the triangle
	FromSaddle float64
}

// Touches are the touches as they pluck one string, which stands at index i: by the
// string's own force, else by the touch's force for that string.
func (s Setup) Touches(i int, of String) []Touch {
	out := slices.Clone(s.Touch)
	ratio := 1.0
	for k, t := range out {
		if i < len(t.Forces) {
			out[k].Force = t.Forces[i]
		}
		out[k].Forces = nil
		if t.Name == s.JudgeBy && of.Force > 0 && out[k].Force > 0 {
			ratio = of.Force / out[k].Force
		}
	}
	for k := range out {
		out[k].Force *= ratio
	}
	return out
}

// Minutes is the maker's own time for one fret; 0 where not given.
type Minutes struct{ Reseat, File float64 }
