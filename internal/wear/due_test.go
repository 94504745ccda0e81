package wear

import (
	"testing"
	"time"

	"ringtrue/internal/num"
)

// Grooves of a known depth reach the limit between the two laws of growth; one that is
// beyond it already has, and where no time is known there is no year.
func TestResult_Due(t *testing.T) {
	p := Playing{Years: num.Some(2), To: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), Confidence: 0.95}
	worn := func(mm, u float64) *Result {
		return &Result{Changes: []Change{{Fret: 1, Lane: 2, MM: -mm, UMM: u, Verdict: Worn}, {Fret: 5, Lane: 2, MM: -0.5, Verdict: InDoubt}}}
	}
	near := func(name string, got num.Opt, want float64) {
		t.Helper()
		if v, known := got.Get(); !known || v < want-0.01 || v > want+0.01 {
			t.Errorf("%s: %v, want %.2f", name, got, want)
		}
	}
	// 0.02 mm in two years, for certain: 0.04 mm in two more, or by the root in six.
	d := worn(0.02, 0).Due(p, 0.04)
	near("soonest", d.SoonestYear, 2028)
	near("latest", d.LatestYear, 2032)
	// Between 0.0151 and 0.0249 mm: the uncertainty widens both ends.
	d = worn(0.02, 0.0025).Due(p, 0.04)
	near("soonest", d.SoonestYear, 2026+2*(0.04-0.0249)/0.0249)
	near("latest", d.LatestYear, 2026+2*(0.04/0.0151*0.04/0.0151-1))
	if d = worn(0.05, 0.002).Due(p, 0.04); !d.Already {
		t.Errorf("beyond it: %+v", d)
	}
	d = worn(0.04, 0.004).Due(p, 0.04)
	near("there perhaps", d.SoonestYear, 2026)
	if v, known := d.LatestYear.Get(); d.Already || !known || v < 2026.5 {
		t.Errorf("there perhaps: %+v", d)
	}
	if d = worn(0.004, 0.003).Due(p, 0.04); d.LatestYear.Known() {
		t.Errorf("hardly worn: %+v", d)
	}
	p.Years = num.Opt{}
	if d = worn(0.02, 0).Due(p, 0.04); d != nil {
		t.Errorf("no time is known: %+v", d)
	}
	p.Years = num.Some(2)
	if d = (&Result{}).Due(p, 0.04); d != nil {
		t.Errorf("nothing worn: %+v", d)
	}
}
