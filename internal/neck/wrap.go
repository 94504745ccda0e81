package neck

// The wires that a wound string may be wound with.
const (
	NickelPlatedSteel = "nickel-plated steel"
	Nickel            = "nickel"
	StainlessSteel    = "stainless steel"
	PhosphorBronze    = "phosphor bronze"
	Bronze8020        = "80/20"
)

// Wraps lists them.
func Wraps() []string {
	return []string{NickelPlatedSteel, Nickel, StainlessSteel, PhosphorBronze, Bronze8020}
}
