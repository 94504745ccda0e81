package serialgauge

import (
	"errors"
	"fmt"
	"regexp"
	"regexp/syntax"
	"slices"
	"strings"
)

// Reading is what a line says: a plain decimal number with a point, without a
// plus and without idle zeros, and its unit as one of Units, empty where the
// line names none.
type Reading struct{ Number, Unit string }

// Units are the units that a line may be in.
func Units() []string { return []string{"mm", "in", "um"} }

// Pattern finds a reading in a line.
type Pattern struct {
	forms  []*regexp.Regexp
	number []string // the group of each form that is the number
}

// plainForms are the lines that fit where no pattern is given: a number with a
// decimal point or comma, perhaps with its sign and its unit; in front of the
// sign perhaps two digits and a letter, which name the line's channel. A number
// without a decimal mark fits none: it may be a fault's code.
const (
	plainNumber  = `[-+−]?[ \t]*[0-9]*[.,][0-9]+`
	signedNumber = `[-+][0-9]*[.,][0-9]+`
	plainUnit    = `[ \t]*(?P<unit>[A-Za-zµμ"″]+)?`
)

// longestPattern is how long a pattern may be, in bytes.
const longestPattern = 500

// NewPattern reads a pattern: a regular expression (RE2) of the whole line, the
// blanks around it left out. Its group "number", or else its first one without a
// name, is the number; its group "unit" the unit. A group named mm, in or um is
// a number in that unit. Empty: the plain forms. Errors say what to write.
func NewPattern(pattern string) (Pattern, error) {
	if pattern == "" {
		return Pattern{forms: []*regexp.Regexp{
			regexp.MustCompile(`^(?P<number>` + plainNumber + `)` + plainUnit + `$`),
			regexp.MustCompile(`^[0-9]{2}[A-Z](?P<number>` + signedNumber + `)` + plainUnit + `$`),
		}, number: []string{"number", "number"}}, nil
	}
	if len(pattern) > longestPattern {
		return Pattern{}, fmt.Errorf("the pattern is longer than %d characters", longestPattern)
	}
	form, err := regexp.Compile(`^(?:` + pattern + `)$`)
	if err != nil {
		return Pattern{}, fmt.Errorf(`not a regular expression: %s; use one like "H=(?P<mm>[-+]\S+);"`, reason(err))
	}
	number, err := numberGroup(form.SubexpNames())
	if err != nil {
		return Pattern{}, err
	}
	return Pattern{forms: []*regexp.Regexp{form}, number: []string{number}}, nil
}

// reason is what a pattern's parser says, without quoting all of the pattern.
func reason(err error) string {
	var parse *syntax.Error
	if errors.As(err, &parse) {
		return string(parse.Code)
	}
	return err.Error()
}

// numberGroup is the name of the group that is the number, empty for the first
// one without a name.
func numberGroup(names []string) (string, error) {
	var found []string
	unnamed := false
	for _, n := range names[1:] {
		switch {
		case n == "number", slices.Contains(Units(), n):
			found = append(found, n)
		case n == "":
			unnamed = true
		case n != "unit":
			return "", fmt.Errorf("unknown group %q; use number, unit, or %s", n, strings.Join(Units(), ", "))
		}
	}
	switch {
	case len(found) > 1:
		return "", fmt.Errorf("two groups are the number, %s and %s; keep one", found[0], found[1])
	case len(found) == 1 && found[0] != "number" && slices.Contains(names, "unit"):
		return "", fmt.Errorf("the unit is fixed by the group %q; leave out the group unit", found[0])
	case len(found) == 1:
		return found[0], nil
	case unnamed:
		return "", nil
	}
	return "", errors.New(`it has no group for the number; put ( ) around it`)
}

// ErrUnfit marks a line that no reading can be taken from.
var ErrUnfit = errors.New("the line does not match the pattern")

// Read finds the reading in a line. ErrUnfit.
func (p Pattern) Read(line string) (Reading, error) {
	line = strings.TrimFunc(line, blank)
	for i, form := range p.forms {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		return p.reading(i, m)
	}
	return Reading{}, ErrUnfit
}

// blank is what may stand around a line: blanks, and the marks that some gauges
// send to begin and end one.
func blank(r rune) bool { return r <= ' ' || r == 0x7f }

func (p Pattern) reading(form int, groups []string) (Reading, error) {
	var r Reading
	var number, unit string
	unnamed := false
	for i, name := range p.forms[form].SubexpNames() {
		switch {
		case i == 0:
		case name == "unit":
			unit = groups[i]
		case name != "" && name == p.number[form], name == "" && p.number[form] == "" && !unnamed:
			number, unnamed = groups[i], true
		}
	}
	var ok bool
	if r.Number, ok = plain(number); !ok {
		return Reading{}, ErrUnfit
	}
	if slices.Contains(Units(), p.number[form]) {
		unit = p.number[form]
	}
	if r.Unit, ok = unitOf(unit); !ok {
		return Reading{}, ErrUnfit
	}
	return r, nil
}

// unitOf is a unit by one of its spellings.
func unitOf(said string) (string, bool) {
	switch strings.ToLower(said) {
	case "":
		return "", true
	case "mm":
		return "mm", true
	case "in", "inch", `"`, "″":
		return "in", true
	case "um", "µm", "μm":
		return "um", true
	}
	return "", false
}

// mostDigits is how many digits a number may have: no gauge shows more.
const mostDigits = 12

// plain makes a number of what a line says: a point for a comma, no plus, no
// idle zeros.
func plain(said string) (string, bool) {
	said = strings.TrimSpace(strings.Replace(said, "−", "-", 1))
	minus := strings.HasPrefix(said, "-")
	if minus || strings.HasPrefix(said, "+") {
		said = strings.TrimLeft(said[1:], " \t")
	}
	whole, part, marked := strings.Cut(strings.Replace(said, ",", ".", 1), ".")
	digits := func(s string) bool { return strings.Trim(s, "0123456789") == "" }
	if !digits(whole) || !digits(part) || whole+part == "" || marked && part == "" || len(whole)+len(part) > mostDigits {
		return "", false
	}
	n := strings.TrimLeft(whole, "0")
	if n == "" {
		n = "0"
	}
	if marked {
		n += "." + part
	}
	if minus && strings.Trim(n, "0.") != "" {
		n = "-" + n
	}
	return n, true
}
