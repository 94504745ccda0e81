package answer

import (
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// crownHeights are the crowns' heights over the board where read, else the
// wire's.
type crownHeights struct {
	wire  float64
	read  map[int]map[float64]float64
	filed map[place]float64 // what was filed off since the wire was new
}

// place is a crown by its fret and lane.
type place struct {
	fret int
	lane float64
}

// heights are the crowns' heights before any further filing.
func (r *FretsRequest) heights() crownHeights {
	h := heightsOf(r.Model, r.judgedBy())
	h.filed = r.filed
	return h
}

func heightsOf(m neck.Model, readings []reading.Reading) crownHeights {
	h := crownHeights{wire: m.Wire.CrownHeight, read: map[int]map[float64]float64{}}
	for _, r := range readings {
		if r.Method != reading.Height {
			continue
		}
		f := r.Frets[0]
		if h.read[f] == nil {
			h.read[f] = map[float64]float64{}
		}
		h.read[f][r.Lane] = r.Value
	}
	return h
}

func (h crownHeights) at(fret int, lane float64) float64 {
	if v, known := h.read[fret][lane]; known {
		return v
	}
	return h.wire - h.filed[place{fret, lane}]
}
