package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Quantity is what a size measures, and with it the units it may carry.
type Quantity int

// The quantities of the files.
const (
	Length      Quantity = iota // mm
	Force                       // N
	LinearMass                  // g/m
	Stiffness                   // N·mm², bending
	Stress                      // MPa
	Temperature                 // °C
	Percent                     // %
)

// MMPerInch is exact, see the package comment.
const MMPerInch = 25.4

// Exact factors, see the package comment.
const (
	gPerPound  = 453.59237
	gravity    = 9.80665 // m/s²
	nPerLbf    = gPerPound / 1000 * gravity
	mpaPerPsi  = nPerLbf / (MMPerInch * MMPerInch)
	gmPerLbIn  = gPerPound / (MMPerInch / 1000)
	nmm2PerLbf = nPerLbf * MMPerInch * MMPerInch
)

// one is a unit: value in the program's unit = factor × number + shift.
type one struct {
	name   string
	factor float64
	shift  float64
}

// units lists a quantity's units, the program's own first.
func (q Quantity) units() []one {
	switch q {
	case Length:
		return []one{{"mm", 1, 0}, {"cm", 10, 0}, {"in", MMPerInch, 0}}
	case Force:
		return []one{{"N", 1, 0}, {"lbf", nPerLbf, 0}, {"kgf", gravity, 0}}
	case LinearMass:
		return []one{{"g/m", 1, 0}, {"kg/m", 1000, 0}, {"lb/in", gmPerLbIn, 0}}
	case Stiffness:
		return []one{{"N mm2", 1, 0}, {"N m2", 1e6, 0}, {"lbf in2", nmm2PerLbf, 0}}
	case Stress:
		return []one{{"MPa", 1, 0}, {"GPa", 1000, 0}, {"psi", mpaPerPsi, 0}}
	case Temperature:
		return []one{{"C", 1, 0}, {"F", 5.0 / 9, -32 * 5.0 / 9}}
	case Percent:
		return []one{{"%", 1, 0}}
	}
	return nil
}

// String names the quantity: "length".
func (q Quantity) String() string {
	names := [...]string{"length", "force", "mass per length", "bending stiffness", "stress", "temperature", "percentage"}
	if q < 0 || int(q) >= len(names) {
		return "Quantity(" + strconv.Itoa(int(q)) + ")"
	}
	return names[q]
}

// Units names the units a quantity may carry, the program's own first.
func (q Quantity) Units() []string {
	var names []string
	for _, u := range q.units() {
		names = append(names, u.name)
	}
	return names
}

// Unit is the program's own unit of a quantity: "mm".
func (q Quantity) Unit() string { return q.units()[0].name }

// Parse reads a size with its unit, "0.58 mm", and returns it in the
// program's unit. Between number and unit stands a space, several or none; a
// length in inches may also carry the mark ″ or " and be a fraction: "3/64 in",
// "1 1/2 in". A percentage may leave its sign away.
//
// The error says what would be right; it does not repeat the key.
func (q Quantity) Parse(s string) (float64, error) {
	s = strings.TrimSpace(s)
	if len(s) > 2*longestLen {
		return 0, fmt.Errorf("%s is too long for a %s", Quote(s), q)
	}
	v, name, fraction, err := split(s)
	if err != nil {
		return 0, err
	}
	if name == "" && q != Percent {
		return 0, q.missing(s)
	}
	u, err := q.find(name, s)
	if err != nil {
		return 0, err
	}
	if fraction && u.name != "in" {
		return 0, fmt.Errorf("%s: a fraction goes with inches only; write a decimal such as \"0.58 %s\"", Quote(s), u.name)
	}
	return v*u.factor + u.shift, nil
}

// split parts a size into its number and the name of its unit.
func split(s string) (v float64, name string, fraction bool, err error) {
	if n := groupsEnd(s); n > 0 {
		return 0, "", false, wrongGroups(s[:n], s[n:])
	}
	end := numberEnd(s)
	if end == 0 {
		return 0, "", false, wrongSize(s)
	}
	if n, w, ok := fractionEnd(s); ok {
		return w, strings.TrimSpace(s[n:]), true, nil
	}
	rest := s[end:]
	if rest != "" && strings.ContainsRune(",._'xX0123456789", rune(rest[0])) {
		return 0, "", false, wrongSize(s)
	}
	v, err = parseNumber(s[:end])
	return v, strings.TrimSpace(rest), false, err
}

// wrongSize says what is wrong with a size whose number cannot be read.
func wrongSize(s string) error {
	num, rest := s, ""
	if i := strings.IndexByte(s, ' '); i > 0 {
		num, rest = s[:i], s[i:]
	}
	if isCommaNumber(num) {
		return fmt.Errorf("%s has a decimal comma; write %s", Quote(s), Quote(strings.Replace(num, ",", ".", 1)+rest))
	}
	if s == "" {
		return fmt.Errorf("is empty; write a number and its unit")
	}
	return wrongNumber(num)
}

// fractionEnd reads the fraction that s starts with, "3/64" or "1 1/2".
func fractionEnd(s string) (end int, v float64, ok bool) {
	whole, i := 0.0, 0
	if n := digits(s); n > 0 && n < 5 && n+1 < len(s) && s[n] == ' ' && digits(s[n+1:]) > 0 {
		whole, _ = strconv.ParseFloat(s[:n], 64)
		i = n + 1
	}
	top := digits(s[i:])
	j := i + top
	if top == 0 || top > 4 || j >= len(s) || s[j] != '/' {
		return 0, 0, false
	}
	bottom := digits(s[j+1:])
	if bottom == 0 || bottom > 4 {
		return 0, 0, false
	}
	a, _ := strconv.ParseFloat(s[i:j], 64)
	b, _ := strconv.ParseFloat(s[j+1:j+1+bottom], 64)
	if b == 0 {
		return 0, 0, false
	}
	return j + 1 + bottom, whole + a/b, true
}

// Bare is the error for a number without a unit. It says what to write: a length
// also in inches, as far as either fits, values being in the program's unit.
func (q Quantity) Bare(number string, fits func(v float64) bool) error {
	own, inches := Quote(number+" "+q.Unit()), Quote(number+" in")
	v, err := Number(number)
	switch {
	case q != Length || err != nil || !fits(v*MMPerInch):
		return fmt.Errorf("%s has no unit; write %s", number, own)
	case !fits(v):
		return fmt.Errorf("%s has no unit; write %s", number, inches)
	}
	return fmt.Errorf("%s has no unit; write %s or %s", number, own, inches)
}

// missing is the error for a size without a unit.
func (q Quantity) missing(s string) error { return q.Bare(s, func(float64) bool { return true }) }

// find looks a unit up by its name.
func (q Quantity) find(name, s string) (one, error) {
	n := plain(name)
	if n == "" {
		return q.units()[0], nil
	}
	for _, u := range q.units() {
		if n == u.name {
			return u, nil
		}
	}
	for _, u := range q.units() {
		if strings.EqualFold(n, u.name) || strings.EqualFold(strings.TrimSuffix(n, "s"), u.name) {
			return one{}, fmt.Errorf("%s: the unit is written %s", Quote(s), u.name)
		}
	}
	for other := Length; other <= Percent; other++ {
		for _, u := range other.units() {
			if n == u.name {
				return one{}, fmt.Errorf("%s is a %s; this needs a %s in %s", Quote(s), other, q, q.list())
			}
		}
	}
	if q == Force && (n == "kg" || n == "lb" || n == "lbs" || n == "g") {
		return one{}, fmt.Errorf("%s: %s is a mass; write %s", Quote(s), n, q.list())
	}
	return one{}, fmt.Errorf("%s has the unknown unit %s; write %s", Quote(s), Quote(name), q.list())
}

// plain turns the ways to write one unit into one: "°C", "N·mm²", the inch mark.
func plain(name string) string {
	switch name {
	case `"`, "″", "”", "inch", "inches":
		return "in"
	case "degC", "°C", "° C":
		return "C"
	case "degF", "°F", "° F":
		return "F"
	case "N/mm2", "N/mm²", "N/mm^2":
		return "MPa"
	}
	if !strings.ContainsAny(name, "²^·* \t") {
		return strings.TrimSpace(name)
	}
	r := strings.NewReplacer("²", "2", "^2", "2", "·", " ", "*", " ")
	return strings.Join(strings.Fields(r.Replace(name)), " ")
}

// list names a quantity's units in a sentence: "mm, cm or in".
func (q Quantity) list() string {
	n := q.Units()
	if len(n) == 1 {
		return n[0]
	}
	return strings.Join(n[:len(n)-1], ", ") + " or " + n[len(n)-1]
}

// Decimal prints a number in the fewest digits that read back as the same
// number; plain digits where they are short, else with an exponent.
func Decimal(v float64) string {
	if a := math.Abs(v); a != 0 && (a < 1e-6 || a >= 1e9) {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
