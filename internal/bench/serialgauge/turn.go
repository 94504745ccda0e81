package serialgauge

import (
	"math/big"
	"strings"
)

// In is the number in another unit, mm or in, with three digits more than the line
// had where inches are made of mm, so that nothing of what the gauge shows is
// lost. A reading without a unit is taken as it is.
func (r Reading) In(unit string) string {
	if r.Unit == "" || r.Unit == unit {
		return r.Number
	}
	n, ok := new(big.Rat).SetString(r.Number)
	if !ok {
		return r.Number // not made by Read
	}
	digits := decimals(r.Number)
	mm, perInch := big.NewRat(1, 1), big.NewRat(254, 10)
	switch r.Unit {
	case "in":
		mm, digits = perInch, digits+1
	case "um":
		mm, digits = big.NewRat(1, 1000), digits+3
	}
	n.Mul(n, mm)
	if unit == "in" {
		n.Quo(n, perInch)
		digits += 3
	}
	return trimmed(n.FloatString(digits))
}

func decimals(number string) int {
	_, part, _ := strings.Cut(number, ".")
	return len(part)
}

// trimmed leaves off idle zeros at a decimal number's end.
func trimmed(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}
