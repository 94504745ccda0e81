package neck

// Key is the definition of one key of the neck file.
type Key struct {
	Table    string // "board"; empty above all tables
	Name     string // "radius"
	Value    string // what is written: "length or pair of lengths"
	Unit     string // the program's own unit, empty where there is none
	Range    string // what passes as sane: "30 to 20000 mm"
	Required bool
	Default  string // in TOML, or in words; empty for a required key
	Meaning  string
	Parts    []Key // the keys of a value that is a table, or a list of them
}

// Keys is the neck file's definition: every key in the order of the tables.
// Sizes take any unit of their quantity.
func Keys() []Key { return keysOf(tables()) }

func keysOf[T any](all []table[T]) []Key {
	var keys []Key
	for _, t := range all {
		keys = append(keys, describe(t.name, t.fields)...)
	}
	return keys
}

// describe turns the fields of a table into their definitions.
func describe[T any](table string, fields []field[T]) []Key {
	var keys []Key
	for _, f := range fields {
		k := Key{Table: table, Name: f.name, Value: f.value, Unit: f.unit, Range: f.bounds,
			Required: f.required, Default: f.def, Meaning: f.meaning, Parts: f.parts}
		if f.none != "" {
			k.Default = f.none
		}
		keys = append(keys, k)
	}
	return keys
}

// tables is the file's definition, in the order in which it is read: what a
// later field's reader needs of the model, an earlier one has set.
func tables() []table[Model] {
	return []table[Model]{
		{fields: []field[Model]{text("name", "your name for this neck",
			func(m *Model) *string { return &m.Name }).orElse("the file's name")}},
		{name: "scale", required: true, needs: "length (or bass and treble) and frets", fields: scaleFields()},
		{name: "board", required: true, needs: "radius and width", fields: boardFields()},
		{name: "neck", fields: bodyFields()},
		{name: "strings", required: true, needs: "spread and set", fields: stringsFields()},
		{name: "wire", fields: wireFields()},
		{name: "slot", fields: slotFields()},
		{name: "level", required: true, needs: "zone", fields: levelFields()},
		{name: "setup", fields: setupFields()},
		{name: "minutes", fields: minutesFields()},
	}
}
