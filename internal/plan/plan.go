package plan

import (
	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
)

// Options is what the neck file does not say.
type Options struct {
	OverhangMM float64 // wire left over each end of the fret
	WastePct   float64 // of the wire, beyond the cut lengths
	CoilMM     float64 // length of a coil of wire; 0: not asked for
	Trial      *Trial
	WedgeShare float64 // share of plate interference that widens a slot, 0 to 1
	BackBowMM  num.Opt // the back-bow that the slot's width shall bring
	BevelDeg   float64 // of the fret ends, from upright
	RoundingMM float64 // that rounding takes off each end of a crown
	DryShare   float64 // of the board's width, that each fret end is filed back for the driest season; 0: none
	EndGapMM   float64 // a tang stops this much short of each end of a bound slot
}

// Defaults are the options where the maker says nothing: an overhang of 2 mm,
// 5 % waste, a bevel of 30 degrees, ends rounded by 0.2 mm, tangs 0.5 mm short of
// a binding (workshop practice, from memory), and every wedge pressing its full
// width.
func Defaults() Options {
	return Options{OverhangMM: 2, WastePct: 5, WedgeShare: 1, BevelDeg: 30, RoundingMM: 0.2, EndGapMM: 0.5}
}

// Plan is everything of one neck before the press.
type Plan struct {
	Frets   []Fret
	Wire    Wire
	Slots   Slots
	Fit     Fit
	Glue    Glue
	Bevel   Bevel
	Board   Board
	TotalMM float64 // of all cut lengths
	WasteMM float64 // to buy, waste included
	CoilMM  float64 // of a coil, as asked; 0: not asked for
	Coils   int     // 0 where no coil length was given
}

// Make plans a neck. Faults of what the neck asks for come back as a
// fileerr.List whose faults carry keys of the neck file and no file or line.
func Make(m neck.Model, l *geometry.Layout, o Options) (Plan, error) {
	var faults fileerr.List
	checkRoom(m, l, &faults)
	p := Plan{Frets: place(m, l, o)}
	var err error
	if p.Wire, err = metal(m, o); err != nil {
		return Plan{}, err
	}
	p.bend(m, &faults)
	p.slots(m)
	p.fit(m, l, o, &faults)
	if err := faults.Err(); err != nil {
		return Plan{}, err
	}
	p.glue(m)
	p.wire(o)
	p.bevel(m, l, o)
	p.outline(l)
	return p, nil
}

// fault adds a fault of a key of the neck file.
func fault(faults *fileerr.List, key, format string, args ...any) {
	faults.Add("", 0, key, format, args...)
}

// keyFault is a single fault of a key as an error.
func keyFault(key, format string, args ...any) error {
	var faults fileerr.List
	fault(&faults, key, format, args...)
	return faults
}
