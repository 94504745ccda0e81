package neck

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/unit"
)

// MaxTools is how many beams, files or blocks a shop file may list.
const MaxTools = 12

// Shop is a shop file, checked, with every default filled in: what holds for all
// necks of a shop. A neck file goes before it. Lengths are in mm.
type Shop struct {
	Inches  bool // answers are wanted in inches
	Tools   Tools
	Minutes ShopMinutes
	Glue    ShopGlue
	Air     ShopAir
	Assumed []string // keys that the file leaves to their defaults, such as tools.beams
}

// Tools is [tools]: what lies on the bench for levelling.
type Tools struct {
	Beams       []float64 // lengths, longest first
	StraightTo  float64   // the zone that every beam keeps over its length
	Paper       string    // grit and kind, as the maker calls it
	Files       []float64 // lengths of files for one fret, longest first
	BlockRadius []float64 // none: no radius block
	BlockLength float64
}

// ShopMinutes is [minutes] of a shop file: what the steps take, in minutes. Reseat and
// File are as in Minutes, 0 where not given.
type ShopMinutes struct {
	Reseat, File        float64
	Press, Replace      float64 // a fret pressed again; one replaced
	Spot                float64 // one fret filed alone
	Stroke, Look, Ink   float64 // a double stroke of a beam, a look at the flats, mask and ink once
	Crown, Polish, Ends float64 // a fret: rounded again, polished; the ends of all frets
	Pass, Reading       float64 // a pass of a gauge set up, one reading
}

// ParseShop reads a shop file; file is its name, for messages. An empty file is a
// shop with every default. All faults come back as a fileerr.List in file order.
func ParseShop(file string, data []byte) (Shop, error) {
	if len(data) > MaxBytes {
		return Shop{}, fileerr.List{{File: file, Msg: fmt.Sprintf("is larger than %d MB, too large for a shop file", MaxBytes>>20)}}
	}
	if len(bytes.TrimSpace(data)) == 0 {
		data = []byte("# empty\n[tools]")
	}
	d, root := decode(file, data, ShopKeys())
	var s Shop
	if d.whole || len(root.keys) > 0 {
		readTables(d, root, shopTables(), &s)
	}
	if err := d.faults.Err(); err != nil {
		return Shop{}, err
	}
	s.Assumed = d.assumed
	return s, nil
}

// UsualShop is a shop without a file.
func UsualShop() Shop {
	s, err := ParseShop("", nil)
	if err != nil {
		panic("neck: the shop's defaults: " + err.Error())
	}
	return s
}

// ShopKeys is the shop file's definition, as Keys is the neck file's.
func ShopKeys() []Key { return keysOf(shopTables()) }

func shopTables() []table[Shop] {
	return []table[Shop]{
		{fields: []field[Shop]{choice("units", "mm", "in", "unit of answers: mm, or in for inches and thousandths",
			func(s *Shop) *bool { return &s.Inches }).or(`"mm"`)}},
		{name: "tools", fields: toolFields()},
		{name: "minutes", fields: shopMinutesFields()},
		{name: "glue", fields: shopGlueFields()},
		{name: "air", fields: shopAirFields()},
	}
}

// Usual lengths of beams and files are from memory.
func toolFields() []field[Shop] {
	return []field[Shop]{
		lengthList("beams", span{20, 1500}, "lengths of the straight beams to level with",
			func(s *Shop) *[]float64 { return &s.Tools.Beams }).or(`["450 mm", "300 mm", "150 mm"]`),
		length("straight_to", span{0.0005, 0.5}, "zone that each beam's face keeps over its length",
			func(s *Shop) *float64 { return &s.Tools.StraightTo }).or(`"0.010 mm"`),
		text("paper", "paper on the beam, as you call it",
			func(s *Shop) *string { return &s.Tools.Paper }).or(`"P400"`),
		lengthList("files", span{20, 500}, "lengths of the files for one fret; [] for none",
			func(s *Shop) *[]float64 { return &s.Tools.Files }).or(`["150 mm"]`),
		lengthList("block_radius", span{30, 20000}, "radii of the radius blocks; [] for none",
			func(s *Shop) *[]float64 { return &s.Tools.BlockRadius }).or(`[]`),
		length("block_length", span{20, 1500}, "length of a radius block",
			func(s *Shop) *float64 { return &s.Tools.BlockLength }).or(`"200 mm"`),
	}
}

// lengthList is a field of some lengths, none included; they come longest first.
func lengthList(name string, s span, meaning string, at func(*Shop) *[]float64) field[Shop] {
	return field[Shop]{name: name, value: "list of lengths", unit: "mm", bounds: s.text("mm"), meaning: meaning,
		read: func(d *decoder, n *node, key string, to *Shop) {
			items := n.items
			if n.form != arrayForm {
				items = []*node{n}
			}
			if len(items) > MaxTools {
				d.fault(n.line, key, "has %d values; write at most %d", len(items), MaxTools)
				return
			}
			out := []float64{}
			for _, item := range items {
				v, ok := d.size(item, key, unit.Length, s)
				if !ok {
					return
				}
				out = append(out, v)
			}
			slices.SortFunc(out, func(a, b float64) int { return cmp.Compare(b, a) })
			*at(to) = out
		}}
}

// Usual minutes are those of a careful hand, from memory.
func shopMinutesFields() []field[Shop] {
	s := span{0, 10000}
	minutes := func(name, def, meaning string, at func(*ShopMinutes) *float64) field[Shop] {
		f := number(name, "min", s, meaning, func(s *Shop) *float64 { return at(&s.Minutes) })
		if def == "" {
			return f.orElse("as in the neck file")
		}
		return f.or(def)
	}
	return []field[Shop]{
		minutes("reseat", "", "lift and refit one fret", func(m *ShopMinutes) *float64 { return &m.Reseat }),
		minutes("file", "", "level, crown and polish one fret", func(m *ShopMinutes) *float64 { return &m.File }),
		minutes("press", "7.5", "press one fret again and glue it", func(m *ShopMinutes) *float64 { return &m.Press }),
		minutes("replace", "20", "replace one fret", func(m *ShopMinutes) *float64 { return &m.Replace }),
		minutes("spot", "2.25", "file one fret alone", func(m *ShopMinutes) *float64 { return &m.Spot }),
		minutes("stroke", "0.025", "one double stroke of a beam", func(m *ShopMinutes) *float64 { return &m.Stroke }),
		minutes("look", "0.25", "one look at the flats", func(m *ShopMinutes) *float64 { return &m.Look }),
		minutes("ink", "6", "mask the board and ink the crowns", func(m *ShopMinutes) *float64 { return &m.Ink }),
		minutes("crown", "2", "round one crown again", func(m *ShopMinutes) *float64 { return &m.Crown }),
		minutes("polish", "1", "polish one fret through all grits", func(m *ShopMinutes) *float64 { return &m.Polish }),
		minutes("ends", "30", "make the ends of all frets flush and bevel them", func(m *ShopMinutes) *float64 { return &m.Ends }),
		minutes("pass", "0.33", "set a gauge up for one pass", func(m *ShopMinutes) *float64 { return &m.Pass }),
		minutes("reading", "0.13", "take one reading", func(m *ShopMinutes) *float64 { return &m.Reading }),
	}
}
