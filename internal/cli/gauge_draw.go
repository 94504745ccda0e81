package cli

import (
	"ringtrue/internal/answer"
	"ringtrue/internal/gauge"
	"ringtrue/internal/sheet"
)

// drawGauge draws a study into a file.
func drawGauge(file string, study gauge.Study, a *answer.GaugeAnswer) error {
	s := sheet.Gauge{Study: study, Unit: a.Unit}
	for _, words := range append(append([]string{}, a.Words...), a.Warnings...) {
		s.Words += upperFirst(words) + ". "
	}
	switch {
	case a.CrossedAnswer != nil:
		s.RangeLimit = a.ByRange.RangeLimit
	case a.LinearityAnswer != nil:
		s.Intercept, s.Slope = a.Intercept, a.Slope
	case a.RepeatAnswer != nil:
		s.SD = *a.RepeatabilitySD
	}
	if d := a.Decides; d != nil {
		s.Zone, s.LargestU, s.SharpU = d.Zone, d.LargestU, d.SharpU
		for i, n := range d.AnyHand {
			s.Passes = append(s.Passes, n.Passes)
			s.AnyHand = append(s.AnyHand, n.U)
			s.OneHand = append(s.OneHand, d.OneHand[i].U)
		}
	}
	page, err := s.Page()
	if err != nil {
		return err
	}
	return writePicture(file, page)
}

// upperFirst makes words begin a sentence.
func upperFirst(s string) string {
	for i, r := range s {
		if i == 0 && r >= 'a' && r <= 'z' {
			return string(r-'a'+'A') + s[1:]
		}
	}
	return s
}
