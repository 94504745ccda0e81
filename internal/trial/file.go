package trial

import (
	"fmt"
	"strings"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

// blank is what a neck's file says before anything goes wrong with it.
type blank struct {
	name                 string
	bassMM, trebleMM     float64
	squareAt             int
	frets, joint         int
	radius, width        [2]float64
	spread               [2]float64
	strings              int
	zoneMM               float64
	fallFrom             int     // 0: no fall-away
	fallMM               float64 // at the last fret
	crownWidth, crownTop float64 // of the wire: width, height
	tellsRadius          bool    // the file gives the crowns' radius
}

// crownRadiusMM is the radius of the tops of all crowns.
const crownRadiusMM = 1.2

// heron is the usual neck: a board whose cone follows the strings, so that a
// lane on it is straight to a micrometre.
func heron() blank {
	return blank{
		name: "Heron 22", bassMM: 640, trebleMM: 640, frets: 22, joint: 16,
		radius: [2]float64{300, 400}, width: [2]float64{43, 56.5}, spread: [2]float64{35, 51}, strings: 6,
		zoneMM: 0.03, crownWidth: 2.4, crownTop: 1.2,
	}
}

// slanted has a longer scale on the bass side.
func slanted() blank {
	b := heron()
	b.name, b.bassMM, b.trebleMM, b.squareAt = "Heron slanted", 686, 648, 7
	return b
}

// bass has four strings on a long scale, and a wider zone.
func bass() blank {
	return blank{
		name: "Heron bass", bassMM: 864, trebleMM: 864, frets: 20, joint: 16,
		radius: [2]float64{300, 460}, width: [2]float64{42, 62}, spread: [2]float64{32, 57}, strings: 4,
		zoneMM: 0.05, crownWidth: 2.8, crownTop: 1.3,
	}
}

// large has twelve strings and as many frets as a neck will hold.
func large() blank {
	b := heron()
	b.name, b.frets, b.strings, b.joint = "Heron 36", 36, 12, 20
	b.bassMM, b.trebleMM = 660, 660
	b.radius, b.width, b.spread = [2]float64{350, 500}, [2]float64{50, 70}, [2]float64{43, 64}
	return b
}

// text is the neck file.
func (b blank) text() string {
	var s strings.Builder
	line := func(format string, v ...any) { fmt.Fprintf(&s, format+"\n", v...) }
	line("# Invented for a trial.\nname = %q\n\n[scale]", b.name)
	if b.bassMM == b.trebleMM {
		line(`length = "%g mm"`, b.bassMM)
	} else {
		line("bass = \"%g mm\"\ntreble = \"%g mm\"\nsquare_at = %d", b.bassMM, b.trebleMM, b.squareAt)
	}
	line("frets = %d\n\n[board]\nradius = [\"%g mm\", \"%g mm\"]", b.frets, b.radius[0], b.radius[1])
	line("width = [\"%g mm\", \"%g mm\"]\nwood = \"ebony\"\n\n[neck]\njoint = %d\n", b.width[0], b.width[1], b.joint)
	line("[strings]\nspread = [\"%g mm\", \"%g mm\"]\nset = [", b.spread[0], b.spread[1])
	for i := range b.strings {
		line("  { pitch = %q, gauge = \"%.3f in\" },", pitches(b.strings)[i], 0.010+0.003*float64(i))
	}
	line("]\n\n[wire]\ncrown_width = \"%g mm\"\ncrown_height = \"%g mm\"", b.crownWidth, b.crownTop)
	if b.tellsRadius {
		line(`crown_radius = "%g mm"`, crownRadiusMM)
	}
	line("\n[level]\nzone = \"%g mm\"\nleast_crown = \"0.8 mm\"", b.zoneMM)
	if b.fallFrom > 0 {
		line(`fall_away = { from = %d, depth = "%g mm" }`, b.fallFrom, b.fallMM)
	}
	return s.String()
}

// pitches are the strings' pitches from the treble side.
func pitches(strings int) []string {
	all := []string{"E4", "B3", "G3", "D3", "A2", "E2", "B1", "E1", "A4", "D4", "G2", "C2"}
	if strings == 4 {
		return []string{"G2", "D2", "A1", "E1"}
	}
	return all[:strings]
}

// laid is the neck's model and layout, from its own file.
func (b blank) laid() (neck.Model, *geometry.Layout, error) {
	m, err := neck.Parse("trial.toml", []byte(b.text()))
	if err != nil {
		return m, nil, err
	}
	l, err := geometry.New(m)
	return m, l, err
}
