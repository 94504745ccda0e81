package tune

import (
	"fmt"
	"math"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/play"
	"ringtrue/internal/stringset"
)

// SetbackFret is the fret that the saddle's setback makes exact on a neck: the one
// that action is measured at.
func SetbackFret(l *geometry.Layout) int { return play.ActionFret(l) }

// OfNeck is the lane under one string of a neck, strung and set up as its file
// says: crowns perfect, bowed by shape and relief, one end of the sounding
// string clamped, pressed just onto the crown. a4 is the pitch of A4 in Hz.
// Errors name the string.
func OfNeck(m neck.Model, l *geometry.Layout, number int, a4 float64) (Lane, error) {
	wrong := func(err error) (Lane, error) { return Lane{}, fmt.Errorf("string %d: %w", number, err) }
	s, err := stringset.Tune(m.Strings.Set[number-1], l.LaneScale(float64(number)), a4)
	if err != nil {
		return wrong(err)
	}
	out, err := Over(play.LaneOf(m, l, number, play.FretsOf(l), nil), play.SetupOf(m, l, number, 0), s, m.Scale.Divisions)
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
