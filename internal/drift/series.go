package drift

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"
)

// Errors of a series. What they wrap says more.
var (
	ErrTooFew    = errors.New("too few values")
	ErrNotFinite = errors.New("a value is not a finite number")
	ErrCount     = errors.New("a count is not a whole number within its limits")
)

// Point is one value of a series, with what is known of it.
type Point struct {
	Value float64
	OutOf int    // how many were looked at; 0 where the value is no count of faulty ones
	Group string // its rational subgroup; equal ones stand together
	Label string // what a person calls it, such as a neck's serial
	Date  time.Time
	Tags  map[string]string // wire lot, press, hand, ...
}

// Name is what the point is called: its own label, or its group's.
func (p *Point) Name(grouped bool) string {
	if grouped {
		return p.Group
	}
	return p.Label
}

// Series is a measured figure in order of time. Name says what it is ("zone"),
// Unit what its values are in; both may be empty.
type Series struct {
	Name, Unit    string
	Points        []Point
	NeverNegative bool // no value can be under 0, such as a zone: a lower limit there says nothing
}

// Scaled is the series in another unit: each value times per.
func (s Series) Scaled(unit string, per float64) Series {
	s.Unit, s.Points = unit, slices.Clone(s.Points)
	for i := range s.Points {
		s.Points[i].Value *= per
	}
	return s
}

// Values returns the values alone, in order.
func (s Series) Values() []float64 {
	v := make([]float64, len(s.Points))
	for i, p := range s.Points {
		v[i] = p.Value
	}
	return v
}

// Grouped says whether the points are gathered in rational subgroups.
func (s Series) Grouped() bool {
	for _, p := range s.Points {
		if p.Group != "" {
			return true
		}
	}
	return false
}

// Groups returns the values of each run of equal groups, and the index (from
// 0) of each run's first point.
func (s Series) Groups() (values [][]float64, first []int) {
	for i, p := range s.Points {
		if i == 0 || p.Group != s.Points[i-1].Group {
			values = append(values, nil)
			first = append(first, i)
		}
		last := len(values) - 1
		values[last] = append(values[last], p.Value)
	}
	return values, first
}

// Part is the points of a series that share one value of a tag.
type Part struct {
	Tag    string // the value they share; empty for points without the tag
	Series Series
}

// By splits a series by the values of a tag, in order of their first
// appearance. The points of a part keep their order.
func (s Series) By(tag string) []Part {
	var parts []Part
	at := map[string]int{}
	for _, p := range s.Points {
		v := p.Tags[tag]
		i, seen := at[v]
		if !seen {
			i = len(parts)
			at[v] = i
			parts = append(parts, Part{Tag: v, Series: Series{Name: s.Name, Unit: s.Unit, NeverNegative: s.NeverNegative}})
		}
		parts[i].Series.Points = append(parts[i].Series.Points, p)
	}
	return parts
}

// checkFinite refuses a series with fewer than least values, or with one that
// is no finite number.
func checkFinite(values []float64, least int) error {
	if len(values) < least {
		return fmt.Errorf("%w: %d of at least %d", ErrTooFew, len(values), least)
	}
	for i, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: the %s", ErrNotFinite, ordinal(i+1))
		}
	}
	return nil
}

func ordinal(n int) string {
	suffix := "th"
	switch {
	case n%100 >= 11 && n%100 <= 13:
	case n%10 == 1:
		suffix = "st"
	case n%10 == 2:
		suffix = "nd"
	case n%10 == 3:
		suffix = "rd"
	}
	return fmt.Sprintf("%d%s", n, suffix)
}
