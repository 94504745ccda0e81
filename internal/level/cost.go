package level

import (
	"math"
	"slices"

	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
)

// Place is a crown by its fret and lane.
type Place struct {
	Fret int
	Lane float64
}

// CrownHeights are the crowns' heights over the board where read, else the wire's,
// all in mm.
type CrownHeights struct {
	WireMM float64
	Read   map[Place]float64
	Filed  map[Place]float64 // what was filed off since the wire was new
}

// HeightsOf are the crowns' heights as the readings over the board have them.
func HeightsOf(m neck.Model, readings []reading.Reading) CrownHeights {
	h := CrownHeights{WireMM: m.Wire.CrownHeight, Read: map[Place]float64{}}
	for _, r := range readings {
		if r.Method == reading.Height {
			h.Read[Place{r.Frets[0], r.Lane}] = r.Value
		}
	}
	return h
}

// At is a crown's height, mm.
func (h CrownHeights) At(fret int, lane float64) float64 {
	p := Place{fret, lane}
	if v, known := h.Read[p]; known {
		return v
	}
	return h.WireMM - h.Filed[p]
}

// After is how high a crown stands at a later stage: as read there, else what was
// read before, or the wire's size, with its change since. measured: either was read.
func (h CrownHeights) After(earlier CrownHeights, at Place, changeMM float64) (mm float64, measured bool) {
	if v, known := h.Read[at]; known {
		return v, true
	}
	v, known := earlier.Read[at]
	if !known {
		v = earlier.WireMM
	}
	return v + changeMM, known
}

// Removal is a crown that loses metal, as JSON has it.
type Removal struct {
	Fret     int     `json:"fret"`
	Lane     float64 `json:"lane"`
	RemoveMM float64 `json:"remove_mm"`
	LeftMM   float64 `json:"left_mm"`
	LandMM   float64 `json:"land_mm"` // width of the flat that the file leaves
}

// Removals lists the crowns that lose metal by a plan of lanes.
func (h CrownHeights) Removals(w neck.Wire, lanes []Lane, p Plan) []Removal {
	out := []Removal{}
	for i, l := range p.Lanes {
		for k, remove := range l.RemoveMM {
			if remove > 0 {
				f, lane := lanes[i].Frets[k], lanes[i].Lane
				out = append(out, Removal{f, lane, remove, h.At(f, lane) - remove, math.Min(FlatWidth(w.Crown(), remove), w.CrownWidth)})
			}
		}
	}
	return out
}

// Least is the lowest crown left anywhere but on the refitted frets, mm.
func (h CrownHeights) Least(lanes []Lane, p Plan, refit []int) float64 {
	least := math.Inf(1)
	for i, l := range lanes {
		for k, f := range l.Frets {
			if slices.Contains(refit, f) {
				continue
			}
			left := h.At(f, l.Lane)
			if i < len(p.Lanes) {
				left -= p.Lanes[i].RemoveMM[k]
			}
			least = math.Min(least, left)
		}
	}
	if math.IsInf(least, 1) {
		return h.WireMM
	}
	return least
}

// What a plan comes to.
const (
	CostLevel      = "level"
	CostPartRefret = "part re-fret"
	CostRefret     = "re-fret" // some crown would end below the least
)

// Cost is what an option takes, as JSON has it.
type Cost struct {
	Refit         []int   `json:"refit"`
	TotalRemoveMM float64 `json:"total_remove_mm"`
	MaxRemoveMM   float64 `json:"max_remove_mm"`
	LeastCrownMM  float64 `json:"least_crown_mm"`
	Levellings    *int    `json:"levellings_left,omitempty"` // like this one, before least_crown is reached
	Cost          string  `json:"cost"`                      // CostLevel, CostPartRefret, CostRefret
	Minutes       num.Opt `json:"minutes,omitzero"`          // by the neck file's times
}

// CostOf says what an option of lanes costs: crown, levellings left, minutes.
func (h CrownHeights) CostOf(m neck.Model, lanes []Lane, o Option) Cost {
	c := Cost{Refit: o.Refit, TotalRemoveMM: o.Plan.TotalMM, MaxRemoveMM: o.Plan.MaxMM,
		LeastCrownMM: h.Least(lanes, o.Plan, o.Refit), Cost: CostLevel}
	switch {
	case len(o.Refit) > 0:
		c.Cost = CostPartRefret
	case c.LeastCrownMM < m.Level.LeastCrown:
		c.Cost = CostRefret
	}
	if o.Plan.MaxMM > 0 {
		left := max(0, int(math.Floor((c.LeastCrownMM-m.Level.LeastCrown)/o.Plan.MaxMM)))
		c.Levellings = &left
	}
	if m.Minutes.File > 0 || m.Minutes.Reseat > 0 {
		c.Minutes = num.Some(m.Minutes.File*float64(FretsFiled(lanes, o.Plan)) + m.Minutes.Reseat*float64(len(o.Refit)))
	}
	return c
}

// FretsFiled counts the frets that lose metal by a plan of lanes.
func FretsFiled(lanes []Lane, p Plan) int {
	filed := map[int]bool{}
	for i, l := range p.Lanes {
		for k, v := range l.RemoveMM {
			if v > 0 {
				filed[lanes[i].Frets[k]] = true
			}
		}
	}
	return len(filed)
}

// AcceptanceLimit is a zone to plan to, in mm, so that readings like those of
// the lanes' zones, of the standard uncertainties uMM, will then say level: the
// limit less a guard band of twice the largest (JCGM 106:2012, 8.3.2, from
// memory). Missing where that is less than the uncertainty itself: no file and no
// reading can aim for it.
func AcceptanceLimit(limitMM float64, uMM ...float64) num.Opt {
	largest := 0.0
	for _, u := range uMM {
		largest = math.Max(largest, u)
	}
	to := math.Floor((limitMM-2*largest)*1e3) / 1e3
	if to <= 0 || to < largest {
		return num.Opt{}
	}
	return num.Some(to)
}

// RefitsNeeded is the fewest refits after which no crown is planned below the
// least; one more than were tried where none of the options gets there.
func RefitsNeeded(options []Cost, leastMM float64, tried int) int {
	for _, o := range options {
		if o.LeastCrownMM >= leastMM {
			return len(o.Refit)
		}
	}
	return tried + 1
}
