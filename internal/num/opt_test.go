package num

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// What a pointer writes and reads, Opt does too.
func TestOpt_AsAPointer(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.Float64().Draw(rt, "v")
		type pointers struct {
			A *float64 `json:"a"`
			B *float64 `json:"b,omitempty"`
		}
		type opts struct {
			A Opt `json:"a"`
			B Opt `json:"b,omitzero"`
		}
		p, o := pointers{}, opts{}
		if rapid.Bool().Draw(rt, "known") {
			p, o = pointers{&v, &v}, opts{Some(v), Some(v)}
		}
		want, err1 := json.Marshal(p)
		got, err2 := json.Marshal(o)
		if err1 != nil || err2 != nil || string(want) != string(got) {
			rt.Fatalf("%s, want %s (%v, %v)", got, want, err1, err2)
		}
		var back opts
		if err := json.Unmarshal(got, &back); err != nil || back != o {
			rt.Fatalf("read back %v, want %v (%v)", back, o, err)
		}
	})
}

func TestOpt_Missing(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if o := Some(v); o.Known() || !o.IsZero() || o.Or(3) != 3 || !math.IsNaN(o.OrNaN()) {
			t.Errorf("%v is there: %v", v, o)
		}
	}
	if v, known := Some(0).Get(); v != 0 || !known {
		t.Error("0 is missing")
	}
	var o Opt
	if json.Unmarshal([]byte(`"x"`), &o) == nil {
		t.Error("a text was taken")
	}
}
