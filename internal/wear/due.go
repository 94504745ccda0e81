package wear

import "ringtrue/internal/num"

// Due is when grooves are so deep that the frets want levelling, in calendar years such
// as 2031.4.
type Due struct {
	LimitMM     float64 `json:"limit_mm"`     // the depth at which they do: level.zone
	Already     bool    `json:"already"`      // one is, for certain
	SoonestYear num.Opt `json:"soonest_year"` // the first that may be: wear in proportion to time
	LatestYear  num.Opt `json:"latest_year"`  // by which one surely is, with the square root of time; missing: not certain
}

// Due says when the first groove reaches limitMM if the neck is played as before, from how
// deep they are within their uncertainty; nil where nothing is worn or no time is known.
// LifeOf says how grooves deepen.
func (r *Result) Due(p Playing, limitMM float64) *Due {
	years, known := p.Years.Get()
	if !known {
		return nil
	}
	var d *Due
	for _, x := range r.Changes {
		if x.Verdict != Worn {
			continue
		}
		if d == nil {
			d = &Due{LimitMM: limitMM}
		}
		margin := normal(1-p.Confidence) * x.UMM
		least, most := -x.MM-margin, -x.MM+margin
		d.Already = d.Already || least >= limitMM
		d.SoonestYear = earlier(d.SoonestYear, p.year(InProportion(most, years, max(0, limitMM-most))))
		if least > 0 {
			d.LatestYear = earlier(d.LatestYear, p.year(Rooted(least, years, max(0, limitMM-least))))
		}
	}
	return d
}

// earlier is the earlier of two years, of which either may be missing.
func earlier(a, b num.Opt) num.Opt {
	if b.Or(never) < a.Or(never) {
		return b
	}
	return a
}
