package neck

import (
	"fmt"

	"ringtrue/internal/fileerr"
)

// ParseSet reads a set of strings to be tried on a neck: a file with a
// [strings] table that holds set and, where wanted, damping, as in a neck file.
// A string that gives neither gauge nor tension nor mass is left without: it is
// the neck's own, tuned anew. damping is nil where not given. All faults come
// back as a fileerr.List in file order.
func ParseSet(file string, data []byte) (set []String, damping *Damping, err error) {
	if len(data) > MaxBytes {
		return nil, nil, fileerr.List{{File: file, Msg: fmt.Sprintf("is larger than %d MB, too large for a set of strings", MaxBytes>>20)}}
	}
	d, root := decode(file, data, Keys())
	var m Model
	fields := []field[Model]{setField().must(`[{ pitch = "D4" }, { pitch = "B3" }]`), commonDamping()}
	d.unknownKeys("", root, []string{"name", "strings"})
	readTable(d, table[Model]{name: "strings", required: true, needs: "set", fields: fields}, root.child("strings"), &m)
	if err := d.faults.Err(); err != nil {
		return nil, nil, err
	}
	for i, n := range root.child("strings").child("set").items {
		if n.child("gauge") == nil && m.Strings.Set[i].Tension == 0 && m.Strings.Set[i].Mass == 0 {
			m.Strings.Set[i].Gauge = 0 // not the example's
		}
	}
	if root.child("strings").child("damping") != nil {
		damping = &m.Strings.Damping
	}
	return m.Strings.Set, damping, nil
}
