package cli

import (
	"fmt"
	"math"

	"ringtrue/internal/sheet"
	"ringtrue/internal/unit"
)

// heightUnit is the unit that small heights are shown in.
type heightUnit struct {
	name  string  // µm, or thou for thousandths of an inch
	perMM float64 // so many of it in a millimetre
	digit int     // decimals worth printing
	sheet sheet.Units
}

func heightUnitOf(name string) (heightUnit, error) {
	switch name {
	case "um", "µm":
		return heightUnit{"µm", 1000, 0, sheet.Micrometres}, nil
	case "in", "thou":
		return heightUnit{"thou", 1000 / unit.MMPerInch, 1, sheet.Thousandths}, nil
	}
	return heightUnit{}, inputErrorf("--units: %q is no unit of heights; write um or in", name)
}

// signed prints a height with its sign.
func (u heightUnit) signed(mm float64) string {
	v := u.round(mm)
	if v == 0 {
		return "0"
	}
	return fmt.Sprintf("%+.*f", u.digit, v)
}

// plain prints a height without a plus.
func (u heightUnit) plain(mm float64) string {
	return fmt.Sprintf("%.*f", u.digit, u.round(mm))
}

// round rounds to the digits printed, so that no −0 is shown.
func (u heightUnit) round(mm float64) float64 {
	p := math.Pow(10, float64(u.digit))
	return math.Round(mm*u.perMM*p)/p + 0
}
