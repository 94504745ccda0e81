package glue

import (
	"math"

	"ringtrue/internal/material"
)

// SetSeconds is the time to handling strength of ethyl cyanoacrylate at a gap, on
// steel at 25 °C without activator: straight between the published times on
// logarithmic scales, and their nearest outside them. Source: Handbook of Adhesive
// Technology (Pizzi, Mittal), cyanoacrylate chapter; material.GlueSetTimes.
func SetSeconds(gapMM float64) float64 { return between(material.GlueSetTimes(), gapMM) }

// ActivatedSeconds is the same with activator, from the same chapter's two times;
// in a wider gap than theirs it keeps their ratio to SetSeconds (an assumption).
func ActivatedSeconds(gapMM float64) float64 {
	t := material.GlueActivatedTimes()
	if widest := t[len(t)-1]; gapMM > widest.GapMM {
		return SetSeconds(gapMM) * widest.Seconds / SetSeconds(widest.GapMM)
	}
	return between(t, gapMM)
}

// WidestMM is the widest gap for which a time is published.
func WidestMM() float64 {
	t := material.GlueSetTimes()
	return t[len(t)-1].GapMM
}

func between(t []material.SetTime, gapMM float64) float64 {
	if gapMM <= t[0].GapMM {
		return t[0].Seconds
	}
	for i := 1; i < len(t); i++ {
		if gapMM <= t[i].GapMM {
			w := math.Log(gapMM/t[i-1].GapMM) / math.Log(t[i].GapMM/t[i-1].GapMM)
			return t[i-1].Seconds * math.Pow(t[i].Seconds/t[i-1].Seconds, w)
		}
	}
	return t[len(t)-1].Seconds
}
