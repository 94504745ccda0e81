package bench

import (
	"fmt"
	"strconv"

	"ringtrue/internal/bench/draft"
)

// listenPicture is the neck from above with a plate a note, the open string at the nut.
type listenPicture struct {
	picture
	Notes []notePlate
}

// notePlate is a note's place.
type notePlate struct {
	Key  string // string and fret: 6-3
	X, Y float64
}

func noteKey(number, fret int) string { return fmt.Sprintf("%d-%d", number, fret) }

// drawNotes draws the neck as the page for reading does, with the strings as its lanes.
func (l *renderer) drawNotes(s *draft.State) listenPicture {
	var lanes []float64
	for i := s.Layout.Strings(); i >= 1; i-- {
		lanes = append(lanes, float64(i))
	}
	p := newPlaceOf(s, lanes)
	pic := listenPicture{picture: picture{W: p.wide, H: p.lowest() + 28, Label: l.words.Say("listen.picture", s.Model.Name)}}
	p.drawBoard(&pic.picture)
	for k, lane := range lanes {
		pic.Lanes = append(pic.Lanes, laneRow{X: round1(p.across(float64(k), p.y[0])), Y: 36, Words: strconv.Itoa(int(lane))})
		for f := range s.Layout.LastFret() + 1 {
			y := round1(p.down(s.Layout.At(f, lane).X))
			pic.Notes = append(pic.Notes, notePlate{noteKey(int(lane), f), round1(p.across(float64(k), y)), y})
		}
	}
	pic.Bass, pic.Treble = pic.Lanes[0].X, pic.Lanes[len(pic.Lanes)-1].X
	return pic
}
