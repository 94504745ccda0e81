package tune

import (
	"fmt"
	"math"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/play"
	"ringtrue/internal/stringset"
)

// octaveFret is the fret that action is measured at and that the saddle's
// setback makes exact; the last fret on a neck of fewer.
const octaveFret = 12

// SetbackFret is the fret that the saddle's setback makes exact on a neck.
func SetbackFret(l *geometry.Layout) int { return min(octaveFret, l.LastFret()) }

// OfNeck is the lane under one string of a neck, strung and set up as its file
// says: crowns perfect, bowed by shape and relief, one end of the sounding
// string clamped, pressed just onto the crown. a4 is the pitch of A4 in Hz.
// Errors name the string.
func OfNeck(m neck.Model, l *geometry.Layout, number int, a4 float64) (Lane, error) {
	wrong := func(err error) (Lane, error) { return Lane{}, fmt.Errorf("string %d: %w", number, err) }
	lane, i := float64(number), number-1
	s, err := stringset.Tune(m.Strings.Set[i], l.LaneScale(lane), a4)
	if err != nil {
		return wrong(err)
	}
	var frets []int
	for f := l.FirstFret(); f <= l.LastFret(); f++ {
		frets = append(frets, f)
	}
	under := play.Lane{String: number, ScaleMM: s.ScaleMM}
	for j, z := range l.Shape(lane, frets) {
		f := frets[j]
		x, z := l.LaneX(f, lane), z+m.Setup.Relief*l.Bow(f, m.Setup.ReliefTo, lane)
		under.Crowns = append(under.Crowns, play.Crown{Fret: f, XMM: x, ZMM: z})
	}
	setup := play.Setup{ActionMM: m.Setup.Action[i], ActionFret: SetbackFret(l)}
	if m.Setup.NutGap != nil {
		setup.NutGapMM, setup.ByGap = m.Setup.NutGap[i], true
	} else {
		setup.NutMM = m.Setup.Nut[i]
	}
	out, err := Over(under, setup, s, m.Scale.Divisions)
	if err != nil {
		return wrong(err)
	}
	return out, nil
}

// Over is a tuned string over a lane's crowns, set up with its nut and its
// action, one end of the sounding string clamped. The octave has so many equal
// divisions, one a fret. Errors: a crown that the setup is measured from is not
// known.
func Over(under play.Lane, setup play.Setup, s stringset.String, divisions int) (Lane, error) {
	rest, err := under.Rest(setup)
	if err != nil {
		return Lane{}, err
	}
	out := Lane{String: s, Ends: stringset.Mixed, NutMM: rest.NutMM, SaddleMM: rest.SaddleMM}
	for _, c := range under.Crowns {
		if c.Fret > 0 {
			ratio := math.Exp2(float64(c.Fret) / float64(divisions))
			out.Frets = append(out.Frets, Fret{Number: c.Fret, XMM: c.XMM, ZMM: c.ZMM, Ratio: ratio})
		}
	}
	return out, nil
}
