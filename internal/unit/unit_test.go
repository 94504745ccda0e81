package unit

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func quantities() []Quantity {
	return []Quantity{Length, Force, LinearMass, Stiffness, Stress, Temperature, Percent}
}

// Expected values follow from the exact definitions in doc.go by rational
// arithmetic; NIST Special Publication 811 (2008), appendix B.8, lists the same
// factors (to seven digits, from memory).
func TestParse_Units(t *testing.T) {
	for _, c := range []struct {
		q    Quantity
		text string
		want float64
	}{
		{Length, "0.58 mm", 0.58},
		{Length, "0.010 in", 0.254}, // exact
		{Length, "0.036 in", 0.9144},
		{Length, ".046in", 1.1684},
		{Length, "64.8 cm", 648},
		{Length, `25.5"`, 647.7},
		{Length, "25.5″", 647.7},
		{Length, "3/64 in", 1.190625},
		{Length, "1 1/2 in", 38.1},
		{Length, "+2e1 mm", 20},
		{Length, "  43   mm ", 43},
		{Length, "-12 mm", -12},
		{Force, "72 N", 72},
		{Force, "1 lbf", 4.4482216152605}, // exact
		{Force, "1 kgf", 9.80665},         // exact
		{LinearMass, "0.398 g/m", 0.398},
		{LinearMass, "0.0067 kg/m", 6.7},
		{LinearMass, "1 lb/in", 17857.96732283465},
		{Stiffness, "40.9 N mm2", 40.9},
		{Stiffness, "40.9 N·mm²", 40.9},
		{Stiffness, "40.9 N mm^2", 40.9},
		{Stiffness, "3.26838e-4 N m2", 326.838},
		{Stiffness, "1 lbf in2", 2869.8146573014640},
		{Stress, "120 GPa", 120000},
		{Stress, "590 MPa", 590},
		{Stress, "590 N/mm²", 590},
		{Stress, "1 psi", 0.006894757293168361},
		{Temperature, "21 C", 21},
		{Temperature, "21 °C", 21},
		{Temperature, "70 F", 21.11111111111111},
		{Temperature, "32 F", 0},
		{Temperature, "-40 F", -40},
		{Percent, "7 %", 7},
		{Percent, "7.0", 7},
	} {
		got, err := c.q.Parse(c.text)
		if err != nil || math.Abs(got-c.want) > 1e-13*math.Max(1, math.Abs(c.want)) {
			t.Errorf("%q: %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

func TestParse_Faults(t *testing.T) {
	for _, c := range []struct {
		q          Quantity
		text, want string
	}{
		{Length, "43", `43 has no unit; write "43 mm" or "43 in"`},
		{Force, "43", `43 has no unit; write "43 N"`},
		{Length, "", `is empty; write a number and its unit`},
		{Length, "mm", `"mm" is not a number; write it like 0.58`},
		{Length, "0,58 mm", `"0,58 mm" has a decimal comma; write "0.58 mm"`},
		{Length, "1,234.5 mm", `"1,234.5 mm" has its thousands parted; write "1234.5 mm"`},
		{Length, "1_000 mm", `"1_000" has an underscore; write 1000`},
		{Length, "0x10 mm", `"0x10" is not decimal; write it like 0.58`},
		{Length, "NaN mm", `"NaN" is not a size; write it like 0.58`},
		{Length, "-Inf mm", `"-Inf" is not a size; write it like 0.58`},
		{Length, "1e308 mm", `1e308 is absurdly large`},
		{Length, "1e999 mm", `1e999 is absurdly large`},
		{Length, "1 Mm", `"1 Mm": the unit is written mm`},
		{Length, "1 ins", `"1 ins": the unit is written in`},
		{Length, "1 m", `"1 m" has the unknown unit "m"; write mm, cm or in`},
		{Length, "1 N", `"1 N" is a force; this needs a length in mm, cm or in`},
		{Length, "1 2 mm", `"1 2 mm" has the unknown unit "2 mm"; write mm, cm or in`},
		{Length, "1/2 mm", `"1/2 mm": a fraction goes with inches only; write a decimal such as "0.58 mm"`},
		{Length, "1/0 in", `"1/0 in" has the unknown unit "/0 in"; write mm, cm or in`},
		{Length, "''", `"''" is not a number; write it like 0.58`},
		{Force, "3 kg", `"3 kg": kg is a mass; write N, lbf or kgf`},
		{Temperature, "294 K", `"294 K" has the unknown unit "K"; write C or F`},
		{Stress, "1 gpa", `"1 gpa": the unit is written GPa`},
		{Percent, "7 mm", `"7 mm" is a length; this needs a percentage in %`},
		{Length, strings.Repeat("9", 50) + " mm", `"` + strings.Repeat("9", 50) + `" is too long for a number`},
		{Length, strings.Repeat("9", 100), `"` + strings.Repeat("9", 40) + `…" is too long for a length`},
	} {
		_, err := c.q.Parse(c.text)
		switch {
		case err == nil:
			t.Errorf("%q: accepted; want %s", c.text, c.want)
		case strings.HasPrefix(c.want, `"9999`) && strings.HasSuffix(err.Error(), c.want[len(c.want)-15:]):
		case err.Error() != c.want:
			t.Errorf("%q: %v; want %s", c.text, err, c.want)
		}
	}
}

// What Format prints, Parse reads back as the same number.
func TestFormat_ParsesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.SampledFrom(quantities()).Draw(t, "quantity")
		v := rapid.Float64Range(-1e9, 1e9).Draw(t, "value")
		got, err := q.Parse(q.Format(v))
		if err != nil || got != v {
			t.Errorf("%v printed as %q, read as %v, %v", v, q.Format(v), got, err)
		}
	})
}

// Every unit converts there and back: an amount of the program's unit divided
// by a unit's size is read as that amount again.
func TestParse_EveryUnit(t *testing.T) {
	for _, q := range quantities() {
		for _, name := range q.Units() {
			one, err1 := q.Parse("1 " + name)
			zero, err0 := q.Parse("0 " + name)
			ten, err10 := q.Parse("10 " + name)
			if err1 != nil || err0 != nil || err10 != nil {
				t.Fatal(err1, err0, err10)
			}
			if size := one - zero; size <= 0 || math.Abs(ten-zero-10*size) > 1e-12*math.Abs(ten-zero) {
				t.Errorf("%s: 0, 1, 10 are %v, %v, %v", name, zero, one, ten)
			}
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"0.58 mm", "1 1/2 in", "70 F", "-1e-7 N mm2", "7 %", "1e308 mm", "é", "0,5 mm", "1/", "\"", "+", "1e", "1e+5 mm"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, q := range quantities() {
			v, err := q.Parse(s)
			if err != nil {
				if len(err.Error()) > 500 {
					t.Errorf("a long message: %v", err)
				}
				continue
			}
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("%q is %v", s, v)
			}
			if again, err := q.Parse(q.Format(v)); math.Abs(v) <= largest && (err != nil || again != v) {
				t.Errorf("%q is %v, printed %q, read as %v, %v", s, v, q.Format(v), again, err)
			}
		}
	})
}
