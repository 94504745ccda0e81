package glue

import (
	"fmt"
	"io"
	"math"

	"ringtrue/internal/num"
	"ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// Columns of a push-out test.
const (
	colMinutes     = "minutes"
	colForce       = "force"
	colUnit        = "unit"
	colGap         = "gap"
	colTemperature = "temperature"
	colHumidity    = "humidity"
)

// Columns lists the columns of a push-out test, the first three needed.
func Columns() []string {
	return []string{colMinutes, colForce, colUnit, colGap, colTemperature, colHumidity}
}

// Push is one fret pushed out of its slot: how long after glueing, and the most
// force that it took. What was not noted is missing.
type Push struct {
	Minutes     float64 `json:"minutes"`
	ForceN      float64 `json:"force_n"`
	GapMM       num.Opt `json:"gap_mm,omitzero"`
	TempC       num.Opt `json:"temperature_c,omitzero"`
	HumidityPct num.Opt `json:"humidity_pct,omitzero"`
	Line        int     `json:"line"`
}

// Most of a test that makes sense.
const (
	maxMinutes = 1e6
	maxForceN  = 1e5
)

// Read reads a push-out test: a CSV table with columns minutes, force and unit (N,
// kgf or lbf), and where noted gap ("0.05 mm"), temperature ("21 C") and humidity.
// A row whose force is empty, x or - was not pushed and is left out. file is its
// name, for messages. Faults come back as a fileerr.List, an error of r wrapped.
func Read(file string, r io.Reader) ([]Push, error) {
	t, err := table.Open(file, r, table.Schema{What: "push-out test", Columns: Columns(), Required: Columns()[:3]})
	if err != nil {
		return nil, err
	}
	var all []Push
	for t.Next() {
		if f := t.Cell(colForce); f == "" || f == "x" || f == "X" || f == "-" {
			continue
		}
		before := t.Faults()
		if p := push(t); t.Faults() == before {
			all = append(all, p)
		}
	}
	if err := t.Err(); err != nil {
		return nil, err
	}
	if len(all) == 0 {
		t.FaultOfFile(0, colForce, "no row has a force; fill in what it took to push each fret out")
	}
	return all, t.Err()
}

func push(t *table.Table) Push {
	p := Push{Line: t.Line()}
	minutes, ok := t.Number(colMinutes)
	if ok && !(minutes > 0 && minutes <= maxMinutes) {
		t.Fault(colMinutes, "%g must be above 0 and at most %s", minutes, unit.Decimal(maxMinutes))
	}
	p.Minutes = minutes
	force, known := t.Number(colForce)
	name := t.Cell(colUnit)
	one, err := unit.Force.Parse("1 " + name)
	if err != nil || name == "" {
		t.Fault(colUnit, "%s is not a unit of force here; use N, kgf or lbf", unit.Quote(name))
		return p
	}
	if p.ForceN = force * one; known && !(p.ForceN >= 0 && p.ForceN <= maxForceN) {
		t.Fault(colForce, "%g %s must be 0 to %s N", force, name, unit.Decimal(maxForceN))
	}
	p.GapMM = noted(t, colGap, unit.Length, 0, 5)
	p.TempC = noted(t, colTemperature, unit.Temperature, -50, 100)
	p.HumidityPct = noted(t, colHumidity, unit.Percent, 0, 100)
	return p
}

// noted reads a size with its unit that may be left out.
func noted(t *table.Table, column string, q unit.Quantity, low, high float64) num.Opt {
	cell := t.Cell(column)
	if cell == "" {
		return num.Opt{}
	}
	v, err := q.Parse(cell)
	switch {
	case err != nil:
		t.Fault(column, "%s", err)
	case v < low || v > high:
		t.Fault(column, "%s must be %g to %g %s", cell, low, high, q.Unit())
	}
	return num.Some(v)
}

// Spread is how far apart the values of a test's readings lie, where they were
// noted: a curve is of one gap and one air.
type Spread struct{ GapMM, TempC, HumidityPct float64 }

// SpreadOf measures a test.
func SpreadOf(readings []Push) Spread {
	of := func(value func(Push) num.Opt) float64 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, r := range readings {
			if v, ok := value(r).Get(); ok {
				lo, hi = min(lo, v), max(hi, v)
			}
		}
		return max(0, hi-lo)
	}
	return Spread{of(func(p Push) num.Opt { return p.GapMM }), of(func(p Push) num.Opt { return p.TempC }), of(func(p Push) num.Opt { return p.HumidityPct })}
}

// Mixed says that the readings are of more than one series: gaps over 0.02 mm, air
// over 5 °C or 15 % of humidity apart (an estimate of what a series keeps within).
func (s Spread) Mixed() bool { return s.GapMM > 0.02+1e-9 || s.TempC > 5 || s.HumidityPct > 15 }

// FarFrom says whether a test was of another gap beside the tang (by over 0.02 mm)
// or another air (over 5 °C or 15 %) than a case, and of which: its mean.
func FarFrom(readings []Push, c Case) (far bool, was string) {
	for _, of := range []struct {
		value  func(Push) num.Opt
		here   float64
		within float64
		format string
	}{
		{func(p Push) num.Opt { return p.GapMM }, math.Max(0, c.BesideMM), 0.02 + 1e-9, "a gap of %.2f mm"},
		{func(p Push) num.Opt { return p.TempC }, c.TempC, 5, "%.0f °C"},
		{func(p Push) num.Opt { return p.HumidityPct }, c.HumidityPct, 15, "%.0f %% humidity"},
	} {
		sum, n := 0.0, 0.0
		for _, r := range readings {
			if v, ok := of.value(r).Get(); ok {
				sum, n = sum+v, n+1
			}
		}
		if n > 0 && math.Abs(sum/n-of.here) > of.within {
			return true, fmt.Sprintf(of.format, sum/n)
		}
	}
	return false, ""
}
