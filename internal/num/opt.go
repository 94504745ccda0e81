package num

import (
	"encoding/json"
	"math"
)

// Opt is a number that may be missing. The zero value is missing. JSON has null
// for it; with omitzero the field is left out.
type Opt struct {
	value float64
	known bool
}

// Some is a number that is there. One that is not finite counts as missing:
// JSON has no word for it, and nobody can work with it.
func Some(v float64) Opt {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Opt{}
	}
	return Opt{v, true}
}

// Get gives the number, and whether it is there.
func (o Opt) Get() (v float64, known bool) { return o.value, o.known }

// Known says whether the number is there.
func (o Opt) Known() bool { return o.known }

// IsZero says that the number is missing, for omitzero.
func (o Opt) IsZero() bool { return !o.known }

// Or gives the number, or another where it is missing.
func (o Opt) Or(other float64) float64 {
	if o.known {
		return o.value
	}
	return other
}

// OrNaN gives the number, or NaN where it is missing.
func (o Opt) OrNaN() float64 { return o.Or(math.NaN()) }

// MarshalJSON writes the number as encoding/json does, or null.
func (o Opt) MarshalJSON() ([]byte, error) {
	if !o.known {
		return []byte("null"), nil
	}
	return json.Marshal(o.value)
}

// UnmarshalJSON reads what MarshalJSON writes. Errors: those of encoding/json.
func (o *Opt) UnmarshalJSON(b []byte) error {
	var v *float64
	if err := json.Unmarshal(b, &v); err != nil {
		return err
	}
	*o = Opt{}
	if v != nil {
		*o = Some(*v)
	}
	return nil
}
