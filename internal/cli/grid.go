package cli

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/reading"
	"ringtrue/internal/spreadsheet"
	"ringtrue/internal/unit"
)

// gridOptions are the flags that say of a grid of readings what its comment lines
// leave out.
type gridOptions struct{ said reading.Said }

func (o *gridOptions) add(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.said.Method, "method", "", "gauge of a grid without a # method line: "+gridGauges())
	f.StringVar(&o.said.Unit, "unit", "", "unit of a grid without a # unit line: mm or in")
	f.StringVar(&o.said.Pass, "pass", "", "`PASS` of a grid without a # pass line")
}

// gridFlags are the flags' names.
func gridFlags() []string { return []string{"method", "unit", "pass"} }

func gridGauges() string { return reading.Join(reading.Gridded(), " or ") }

// gridGauge is a gauge whose readings come as a grid, named by a flag.
func gridGauge(flag, name string) (reading.Method, error) {
	switch s := reading.Method(strings.ToLower(strings.TrimSpace(name))).Spec(); {
	case s.Method == "":
		return "", inputErrorf("--%s: no such gauge %s; use %s", flag, unit.Quote(name), gridGauges())
	case !s.Grid():
		return "", inputErrorf("--%s: %s readings can't come as a grid; use %s", flag, s.Method, gridGauges())
	default:
		return s.Method, nil
	}
}

// gridUnit is mm or in, named by a flag.
func gridUnit(flag, name string) (string, error) {
	low := strings.ToLower(strings.TrimSpace(name))
	if low != "mm" && low != "in" {
		return "", inputErrorf("--%s: no such unit %s; use mm or in", flag, unit.Quote(name))
	}
	return low, nil
}

// given says whether any of the flags says something.
func (o gridOptions) given() bool { return o.said != reading.Said{} }

// words are the flags again, for the next call.
func (o gridOptions) words() (w []string) {
	for i, text := range []string{o.said.Method, o.said.Unit, o.said.Pass} {
		if text != "" {
			w = append(w, "--"+gridFlags()[i], text)
		}
	}
	return w
}

// unused refuses the flags where no readings are given.
func (o gridOptions) unused() error {
	if !o.given() {
		return nil
	}
	return inputErrorf("%s goes with a readings file", o.words()[0])
}

// complete adds to a grid what the flags say. File is its name, for messages.
func (o gridOptions) complete(file string, data []byte) ([]byte, error) {
	if !o.given() {
		return data, nil
	}
	if o.said.Method != "" {
		if _, err := gridGauge("method", o.said.Method); err != nil {
			return nil, err
		}
	}
	if o.said.Unit != "" {
		if _, err := gridUnit("unit", o.said.Unit); err != nil {
			return nil, err
		}
	}
	if !reading.IsGrid(data) {
		return nil, inputErrorf("%s: %s is only for a grid; the rows of this file say it", file, o.words()[0])
	}
	return reading.Complete(file, data, o.said)
}

// readReadings reads a readings file, of a workbook the sheet with the readings as
// text, and adds what the flags say.
func (s *streams) readReadings(path string, grid gridOptions) ([]byte, error) {
	data, err := s.readFile(path, "readings", maxReadingsBytes)
	if err != nil {
		return nil, err
	}
	if spreadsheet.Is(data) {
		t, err := spreadsheet.Read(shown(path), data)
		if err != nil {
			return nil, err
		}
		if s.workbooks = append(s.workbooks, t); len(t.Others) > 0 {
			fmt.Fprintf(s.errOut, "ringtrue: %s: read sheet %s; ignored %s\n", t.File, t.Sheet, strings.Join(t.Others, ", "))
		}
		data = t.Text
	}
	return grid.complete(shown(path), data)
}

// placed names the faults of workbooks by sheet and cell.
func (s *streams) placed(err error) error {
	var faults fileerr.List
	if errors.As(err, &faults) {
		for _, t := range s.workbooks {
			t.Place(faults)
		}
	}
	return err
}
