package material

import (
	"embed"
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"ringtrue/internal/table"
)

//go:embed data/*.csv
var tables embed.FS

// row is one line of a table by its column names.
type row map[string]string

// embedded reads an embedded table. The tables are part of the program, so a
// broken one is a fault of the build and panics; TestTables reads every one.
func embedded(name string) []row {
	data, err := tables.ReadFile("data/" + name + ".csv")
	if err != nil {
		panic(fmt.Sprintf("material: %v", err))
	}
	read, err := table.Rows(data)
	if err != nil {
		panic(fmt.Sprintf("material: table %s: %v", name, err))
	}
	list := make([]row, len(read))
	for i, r := range read {
		list[i] = r
	}
	return list
}

// Range is a figure as printed: from Low to High, equal where one value was
// printed, both 0 where none was. A minimum or maximum stands as both.
type Range struct{ Low, High float64 }

// MarshalJSON writes [low, high], or null where the source prints none.
func (r Range) MarshalJSON() ([]byte, error) {
	if !r.Given() {
		return []byte("null"), nil
	}
	return json.Marshal([2]float64{r.Low, r.High})
}

// Given reports whether the source prints the figure at all.
func (r Range) Given() bool { return r.Low != 0 || r.High != 0 }

// Mid is the middle of the range.
func (r Range) Mid() float64 { return (r.Low + r.High) / 2 }

// Times is the range in another unit.
func (r Range) Times(factor float64) Range { return Range{r.Low * factor, r.High * factor} }

// figure matches a printed figure: "12.6", "420-525", "(160)", "370 min (…)".
var figure = regexp.MustCompile(`^\(?([0-9]+(?:\.[0-9]+)?)(?:-([0-9]+(?:\.[0-9]+)?))?\)?(?:\s|$)`)

// parseRange reads a figure as the tables print it; an empty cell gives the
// empty range, anything else that is no figure an error.
func parseRange(s string) (Range, error) {
	s = strings.TrimSpace(s)
	if s == "" {
		return Range{}, nil
	}
	m := figure.FindStringSubmatch(s)
	if m == nil {
		return Range{}, fmt.Errorf("%q is not a number", s)
	}
	low, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return Range{}, err
	}
	high := low
	if m[2] != "" {
		if high, err = strconv.ParseFloat(m[2], 64); err != nil {
			return Range{}, err
		}
	}
	if high < low {
		return Range{}, fmt.Errorf("%q runs downwards", s)
	}
	return Range{low, high}, nil
}

// number reads a cell of a table as a range; see table on panics.
func (r row) number(column string) Range {
	v, err := parseRange(r[column])
	if err != nil {
		panic(fmt.Sprintf("material: %s: %v", column, err))
	}
	return v
}
