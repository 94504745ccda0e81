package text

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Sentences and tables are written in mm, as the program calculates and JSON has
// them. For an inch shop they are turned into inches where they are shown: all in
// one place, so that no answer mixes the two.

// mmPerInch is exact by definition: the international yard and pound, 1959.
const mmPerInch = 25.4

// belowThou is the length in mm below which thousandths are said: 12 thou, not
// 0.012 in.
const belowThou = 1.0

// Inches turns every length of a sentence into inches, or thousandths where it is
// under a millimetre: one number, or several before their unit as in "0.012 ± 0.003
// mm" and "between 0.010 and 0.020 mm". A volume becomes thousandths of a cubic
// inch. What has other units stays as it is.
func Inches(words string) string {
	if !strings.Contains(words, "mm") && !strings.Contains(words, "µm") && !strings.Contains(words, "um") {
		return words // as most are
	}
	var b strings.Builder
	done := 0
	for _, m := range inMM().FindAllStringSubmatchIndex(words, -1) {
		start, unit, end := done+chain(words[done:m[3]]), words[m[4]:m[5]], m[5]
		switch {
		case strings.HasPrefix(words[end:], "³"):
			unit, end = "mm3", end+len("³")
		case strings.HasPrefix(words[end:], "²"):
			continue
		}
		b.WriteString(words[done:start])
		b.WriteString(inInches(words[start:m[3]], unit))
		done = end
	}
	return asSold(b.String() + words[done:])
}

// InchColumn turns a table's column into inches: header ends in its unit, as "zone
// mm". ok is false where it does not; name is the header's new unit's.
func InchColumn(header string, cells []string) (inHeader string, inCells []string, ok bool) {
	m := headed().FindStringSubmatch(header)
	if m == nil {
		return header, cells, false
	}
	u := inchUnitFor(m[2], cells...)
	finer := slices.ContainsFunc(cells, func(c string) bool { return unsigned(c) == c && u.lost(c) })
	for _, c := range cells {
		said := u.write(c, finer)
		if bare := unsigned(said); bare != "" && nothing(bare) { // a height may read as 0
			said = bare
		}
		inCells = append(inCells, said)
	}
	return m[1] + u.name + m[3], inCells, true
}

func inMM() *regexp.Regexp { return regexp.MustCompile(`(\d)[  ]?(mm3|mm|µm|um)\b`) }

func headed() *regexp.Regexp { return regexp.MustCompile(`^(|.*[  (])(mm3|mm|µm|um)\)?( a year)?$`) }

func numbers() *regexp.Regexp { return regexp.MustCompile(`\d+(?:\.\d+)?`) }

// chain is where the numbers begin that end a text and share the unit after it.
// Numbers joined by "and", "or" or a comma do so where they have the same decimals:
// "frets 7 and 0.30 mm" is no pair.
func chain(words string) int {
	start := numberStart(words)
	decimals := decimalsOf(words[start:])
	for {
		joint := ""
		for _, j := range [...]string{" ± ", "± ", "±", " to ", " and ", " or ", ", ", " by ", " × ", " - ", " – ", "–", "-", "/"} {
			if strings.HasSuffix(words[:start], j) {
				joint = j
				break
			}
		}
		rest := words[:start-len(joint)]
		from := numberStart(rest)
		if joint == "" || from == len(rest) {
			return signed(words, start)
		}
		if (joint == " and " || joint == " or " || joint == ", ") && (decimals == 0 || decimalsOf(rest[from:]) != decimals) {
			return signed(words, start)
		}
		start = from
	}
}

// numberStart is where the digits of the number begin that ends a text.
func numberStart(words string) int {
	return len(words) - len(words[len(strings.TrimRight(words, "0123456789.")):])
}

// signed goes back over a sign, which a fret before a hyphen has not.
func signed(words string, start int) int {
	for _, sign := range [...]string{"+", "−", "-"} {
		if rest, found := strings.CutSuffix(words[:start], sign); found {
			return len(rest)
		}
	}
	return start
}

func decimalsOf(number string) int {
	_, part, _ := strings.Cut(number, ".")
	return len(part)
}

// inchUnit writes numbers in a unit of an inch shop.
type inchUnit struct {
	name  string
	per   float64 // so many of it in one of the numbers' own unit
	small int     // decimals that the numbers' own unit adds to a mm's
	each  []int   // decimals to write for 0, 1 … decimals of a mm
}

// inchUnitFor is the unit that goes with numbers in mm, µm or mm3.
func inchUnitFor(unit string, of ...string) inchUnit {
	u := inchUnit{name: "in", per: 1 / mmPerInch, each: []int{2, 3, 4, 4}}
	perMM := 1.0
	switch unit {
	case "mm3":
		return inchUnit{name: "1/1000 in3", per: 1000 / (mmPerInch * mmPerInch * mmPerInch), each: []int{1, 2, 3}}
	case "µm", "um":
		perMM, u.small = 1000, 3
	}
	most := 0.0
	for _, words := range of {
		for _, n := range numbers().FindAllString(words, -1) {
			v, _ := strconv.ParseFloat(n, 64) // it matched as one
			most = math.Max(most, v/perMM)
		}
	}
	if most < belowThou {
		u = inchUnit{name: "thou", per: 1000 / mmPerInch, small: u.small, each: []int{0, 0, 1, 1, 2}}
	}
	u.per /= perMM
	return u
}

// lost reports whether a number of a text would read as nothing.
func (u inchUnit) lost(words string) bool {
	said := numbers().FindAllString(u.write(words, false), -1)
	for i, n := range numbers().FindAllString(words, -1) {
		if nothing(said[i]) && !nothing(n) {
			return true
		}
	}
	return false
}

func unsigned(cell string) string { return strings.TrimLeft(cell, "+-") }

func nothing(number string) bool { return strings.Trim(number, "0.") == "" }

// write turns the numbers of a text, with a decimal more where finer.
func (u inchUnit) write(words string, finer bool) string {
	digits := 0
	for _, n := range numbers().FindAllString(words, -1) {
		digits = max(digits, decimalsOf(n))
	}
	digits = u.each[min(digits+u.small, len(u.each)-1)]
	if finer {
		digits++
	}
	return numbers().ReplaceAllStringFunc(words, func(n string) string {
		v, _ := strconv.ParseFloat(n, 64)
		if v == 0 && decimalsOf(n) == 0 {
			return n
		}
		return strconv.FormatFloat(v*u.per, 'f', digits, 64)
	})
}

func inInches(words, unit string) string {
	u := inchUnitFor(unit, words)
	return u.write(words, u.lost(words)) + " " + u.name
}
