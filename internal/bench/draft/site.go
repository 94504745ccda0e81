package draft

import (
	"fmt"
	"strconv"
	"strings"

	"ringtrue/internal/unit"
)

// Site is where a gauge stands for one reading: a lane and the frets it
// touches, one of them, or three for bridge and rocker.
type Site string

// NewSite names a site: "7@1", "6-7-8@3.5".
func NewSite(lane float64, frets ...int) Site {
	var b strings.Builder
	for i, f := range frets {
		if i > 0 {
			b.WriteByte('-')
		}
		b.WriteString(strconv.Itoa(f))
	}
	return Site(b.String() + "@" + unit.Decimal(lane))
}

// longestSite is the longest name of a site that is looked at.
const longestSite = 40

// ParseSite reads a site's name; a name that NewSite would not write is an error.
func ParseSite(text string) (Site, error) {
	names, lane, ok := strings.Cut(text, "@")
	wrong := fmt.Errorf("%s is not a place on a neck; write it like 7@1", unit.Quote(text))
	if !ok || len(text) > longestSite {
		return "", wrong
	}
	l, err := strconv.ParseFloat(lane, 64)
	if err != nil {
		return "", wrong
	}
	var frets []int
	for part := range strings.SplitSeq(names, "-") {
		f, err := strconv.Atoi(part)
		if err != nil || f < 0 {
			return "", wrong
		}
		frets = append(frets, f)
	}
	if s := NewSite(l, frets...); string(s) != text {
		return "", wrong
	}
	return Site(text), nil
}

// Lane is the site's lane, 0 where the site has none.
func (s Site) Lane() float64 {
	_, lane, _ := strings.Cut(string(s), "@")
	v, _ := strconv.ParseFloat(lane, 64)
	return v
}

// Frets are the frets that the gauge touches.
func (s Site) Frets() []int {
	names, _, _ := strings.Cut(string(s), "@")
	var frets []int
	for part := range strings.SplitSeq(names, "-") {
		f, _ := strconv.Atoi(part)
		frets = append(frets, f)
	}
	return frets
}

// Named is the site's frets as a readings file has them: "7", "6-7-8".
func (s Site) Named() string {
	names, _, _ := strings.Cut(string(s), "@")
	return names
}

// Fret is the crown that a reading there is told of: the middle one of three.
func (s Site) Fret() int {
	f := s.Frets()
	return f[len(f)/2]
}
