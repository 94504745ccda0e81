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
	out := Lane{String: s, Ends: stringset.Mixed}
	for j, z := range l.Shape(lane, frets) {
		f := frets[j]
		x, z := l.LaneX(f, lane), z+m.Setup.Relief*l.Bow(f, m.Setup.ReliefTo, lane)
		under.Crowns = append(under.Crowns, play.Crown{Fret: f, XMM: x, ZMM: z})
		if f > 0 {
			out.Frets = append(out.Frets, Fret{Number: f, XMM: x, ZMM: z, Ratio: math.Exp2(float64(f) / float64(m.Scale.Divisions))})
		}
	}
	setup := play.Setup{ActionMM: m.Setup.Action[i], ActionFret: SetbackFret(l)}
	if m.Setup.NutGap != nil {
		setup.NutGapMM, setup.ByGap = m.Setup.NutGap[i], true
	} else {
		setup.NutMM = m.Setup.Nut[i]
	}
	rest, err := under.Rest(setup)
	if err != nil {
		return wrong(err)
	}
	out.NutMM, out.SaddleMM = rest.NutMM, rest.SaddleMM
	return out, nil
}
