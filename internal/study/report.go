package study

import (
	"context"
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/play"
)

// Bounds of a study.
const (
	maxZoneMM  = 1
	minNecks   = 20
	maxNecks   = 100000
	maxActions = 20e6 // zones × strings × necks
)

// shares are the shares of the necks that a report speaks of.
func shares() []float64 { return []float64{0.5, usualShare, 0.95} }

// usualShare is the share of the necks that what a zone buys is told for.
const usualShare = 0.9

// sheetMM is the thickness of a sheet of office paper of 80 g/m², about a tenth
// of a millimetre (trade figure, from memory).
const sheetMM = 0.1

// Report tells how low the strings of necks can go whose frets are level only to
// each zone.
type Report struct {
	Strings []StringReport `json:"strings"`
	Zones   []Zone         `json:"zones"`
	Buys    *Buys          `json:"buys,omitempty"` // nil where too many necks clear at no action, or all crowns are perfect
}

// StringReport is one string over perfect crowns.
type StringReport struct {
	String          int     `json:"string"`
	Pitch           string  `json:"pitch"`
	PerfectActionMM float64 `json:"perfect_action_mm"` // the lowest clear one
	ActionMM        float64 `json:"action_mm"`         // as set up
}

// Zone is what a zone allows.
type Zone struct {
	ZoneMM  float64  `json:"zone_mm"`
	Strings []Levels `json:"strings"`
	// By how much the strings must rise above where perfect crowns would let them
	// lie, the string of each neck that needs most.
	Raise          []Level `json:"raise"`
	ClearAsSetPct  float64 `json:"clear_as_set_pct"` // necks on which no string touches at setup.action
	ClearAsSetUPct float64 `json:"clear_as_set_u_pct"`
}

// Levels are one string's actions.
type Levels struct {
	String int     `json:"string"`
	Levels []Level `json:"levels"`
}

// Buys is what the levelness between two zones is worth in action, on the string
// that needs most, with its standard uncertainty for the draws.
type Buys struct {
	SharePct     float64 `json:"share_pct"`
	FromZoneMM   float64 `json:"from_zone_mm"`
	ToZoneMM     float64 `json:"to_zone_mm"`
	RaiseMM      float64 `json:"raise_mm"`
	URaiseMM     float64 `json:"u_raise_mm"`
	PaperMM      float64 `json:"paper_mm"` // a third of a sheet
	PaperBuysMM  float64 `json:"paper_buys_mm"`
	UPaperBuysMM float64 `json:"u_paper_buys_mm"`
}

// TooLow are the strings that touch as they are set up even over perfect crowns.
func (r *Report) TooLow() (strings []int) {
	for _, s := range r.Strings {
		if s.ActionMM < s.PerfectActionMM {
			strings = append(strings, s.String)
		}
	}
	return strings
}

// HalfRangeMM is the widest 95 % range of all actions, to one side.
func (r *Report) HalfRangeMM() (most float64) {
	take := func(levels []Level) {
		for _, l := range levels {
			if mm, known := l.ActionMM.Get(); known && l.LowMM.Known() && l.HighMM.Known() {
				most = max(most, l.HighMM.Or(mm)-mm, mm-l.LowMM.Or(mm))
			}
		}
	}
	for _, z := range r.Zones {
		take(z.Raise)
		for _, s := range z.Strings {
			take(s.Levels)
		}
	}
	return most
}

// Check refuses a study of a neck that makes no sense.
func Check(n play.Request, zonesMM []float64, necks int) error {
	if n.Read || n.Planned || n.Bend != 0 {
		return errors.New("a study draws its necks itself: it takes no readings, no plan and no bend")
	}
	if frets := n.Layout.LastFret() - n.Layout.FirstFret() + 1; frets < 3 {
		return fmt.Errorf("a zone takes three frets or more; the neck has %d", frets)
	}
	if len(zonesMM) == 0 {
		return errors.New("a study takes a zone or more")
	}
	for i, z := range zonesMM {
		if !(z >= 0 && z <= maxZoneMM) {
			return fmt.Errorf("a zone of %g mm; it may be 0 to %d mm", z, maxZoneMM)
		}
		if i > 0 && !(z > zonesMM[i-1]) {
			return fmt.Errorf("the zones must ascend; %g mm follows %g mm", z, zonesMM[i-1])
		}
	}
	if necks < minNecks || necks > maxNecks {
		return fmt.Errorf("%d necks; it may be %d to %d", necks, minNecks, maxNecks)
	}
	if all := float64(necks) * float64(len(zonesMM)*n.Layout.Strings()); all > maxActions {
		return fmt.Errorf("%d zones of %d necks are more than can be kept; take fewer", len(zonesMM), necks)
	}
	return nil
}

// Judge runs a study and reports on it. Errors as Run's, and a fileerr.List where
// a string touches at every action.
func Judge(ctx context.Context, r Request) (*Report, error) {
	found, err := Run(ctx, r)
	if err != nil {
		return nil, err
	}
	out := &Report{}
	set := make([]float64, len(r.Lines))
	for i, l := range r.Lines {
		set[i] = l.Setup.ActionMM
		if math.IsInf(found.PerfectMM[i], 0) {
			return nil, fileerr.List{{Key: "setup.nut_gap", Msg: fmt.Sprintf(
				"string %d touches at every action even over perfect crowns, so levelness buys nothing; raise the nut", i+1)}}
		}
		out.Strings = append(out.Strings, StringReport{String: i + 1, Pitch: l.Pitch, PerfectActionMM: found.PerfectMM[i], ActionMM: set[i]})
	}
	for z, mm := range r.ZonesMM {
		zone := Zone{ZoneMM: mm, Raise: levels(found.Raises(z))}
		for i := range r.Lines {
			zone.Strings = append(zone.Strings, Levels{String: i + 1, Levels: levels(found.LowestMM[z][i])})
		}
		zone.ClearAsSetPct, zone.ClearAsSetUPct = percent(found.ClearAt(z, set), r.Necks)
		out.Zones = append(out.Zones, zone)
	}
	out.Buys, err = r.buys(ctx, found)
	return out, err
}

// levels are the actions of each share of the necks.
func levels(mm []float64) (all []Level) {
	for _, share := range shares() {
		all = append(all, LevelOf(mm, share))
	}
	return all
}

// buys tells what a third of a sheet of paper of zone is worth between the
// narrowest and the widest zone, or from perfect crowns where there is but one.
func (r Request) buys(ctx context.Context, found *Actions) (*Buys, error) {
	last := len(r.ZonesMM) - 1
	b := &Buys{SharePct: 100 * usualShare, FromZoneMM: r.ZonesMM[0], ToZoneMM: r.ZonesMM[last], PaperMM: sheetMM / 3}
	from := found.Raises(0)
	if last == 0 {
		b.FromZoneMM = 0
		clear(from)
	}
	if !(b.ToZoneMM > b.FromZoneMM) {
		return nil, nil // perfect crowns alone
	}
	mm, u, err := Difference(ctx, from, found.Raises(last), usualShare, r.Seed)
	if err != nil || math.IsNaN(mm) {
		return nil, err
	}
	b.RaiseMM, b.URaiseMM = mm, u
	per := b.PaperMM / (b.ToZoneMM - b.FromZoneMM)
	b.PaperBuysMM, b.UPaperBuysMM = mm*per, u*per
	return b, nil
}

// percent is a count as a share of all and its standard uncertainty, two more of
// either kind counted in so that none or all is not taken for certain.
// Source: A. Agresti and B. Coull, The American Statistician 52 (1998) 119.
func percent(count, of int) (pct, u float64) {
	n := float64(of) + 4
	share := (float64(count) + 2) / n
	return 100 * float64(count) / float64(of), 100 * math.Sqrt(share*(1-share)/n)
}
