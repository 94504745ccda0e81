package trial

import (
	"fmt"
	"strings"

	"ringtrue/internal/reading"
)

// Class is a kind of neck, with what is wrong with it and how it is read.
type Class struct {
	Name  string
	About string
	// Main tells the classes of the table in docs/trust.md from the further ones.
	Main bool
	// Slow classes are run on a tenth of the necks asked for.
	Slow bool

	blank  func() blank
	falls  bool // a quarter of the necks ask for a fall-away
	faults func(*maker)
	read   func(*maker)
}

// ClassOf is the class of that name. The error lists those there are.
func ClassOf(name string) (Class, error) {
	var known []string
	for _, c := range Classes() {
		if c.Name == name {
			return c, nil
		}
		known = append(known, c.Name)
	}
	return Class{}, fmt.Errorf("no such class %q; use one of %s", name, strings.Join(known, ", "))
}

// Classes are all classes: those of the table first.
func Classes() []Class {
	main := mainClasses()
	for i := range main {
		main[i].Main = true
	}
	return append(main, furtherClasses()...)
}

func mainClasses() []Class {
	beams := func(m *maker) { m.beams() }
	withSlips := func(m *maker) { m.beams(); m.misread(m.noise.IntN(5)) }
	return []Class{
		{Name: "new", About: "frets put in well; two beam passes", blank: heron, falls: true, faults: (*maker).sound, read: beams},
		{Name: "odd", About: "one to three frets or ends off, misreads", blank: heron, falls: true,
			faults: func(m *maker) { m.sound(); m.odd(3) }, read: withSlips},
		{Name: "played", About: "grooves under several strings, frets 1 to 9", blank: heron, falls: true,
			faults: (*maker).playedNeck, read: beams},
		{Name: "humped", About: "a hump of 20 to 80 µm, some with a bad fret", blank: heron, falls: true,
			faults: func(m *maker) { m.sound(); m.hump(); m.perhaps(0.4, m.badFret) }, read: beams},
		{Name: "twisted", About: "a twisted neck; beam and sticks", blank: heron, falls: true,
			faults: func(m *maker) { m.sound(); m.twisted() }, read: func(m *maker) { m.beams(); m.sticks() }},
		{Name: "radius", About: "all frets off radius; beam and arch gauge", blank: heron,
			faults: func(m *maker) { m.sound(); m.wrongRadius() }, read: func(m *maker) { m.beams(); m.arches() }},
		{Name: "loose", About: "an end that gives up to 0.13 mm, misreads", blank: heron, falls: true,
			faults: func(m *maker) { m.sound(); m.loose(); m.perhaps(0.5, m.badFret) }, read: withSlips},
		{Name: "mixed", About: "beam in some lanes, bridge in all, edge along the outer two; any fault", blank: heron, falls: true,
			faults: (*maker).anyFault, read: (*maker).mixedGauges},
		{Name: "feelers", About: "a straightedge and leaves: sound, hollow or with faults", blank: heron, falls: true,
			faults: (*maker).feelersNeck, read: func(m *maker) { m.edges(leaves(int(m.Seed) % leafSets)) }},
		{Name: string(reading.Bridge), About: "a bridge alone: sound, or two frets off", blank: heron, falls: true,
			faults: (*maker).bridgeNeck, read: func(m *maker) { m.bridges() }},
		{Name: "probe", About: "a machine's five touches a crown: any fault", blank: heron, falls: true,
			faults: (*maker).anyFault, read: func(m *maker) { m.probes() }},
		{Name: "slanted", About: "slanted frets; any fault", blank: slanted, falls: true, faults: (*maker).anyFault, read: withSlips},
		{Name: "bass", About: "four strings, 864 mm, 20 frets; any fault", blank: bass, falls: true, faults: (*maker).anyFault, read: withSlips},
	}
}

func furtherClasses() []Class {
	beams := func(m *maker) { m.beams() }
	withSlips := func(m *maker) { m.beams(); m.misread(m.noise.IntN(5)) }
	heronOf := func(name, about string, faults, read func(*maker)) Class {
		return Class{Name: name, About: about, blank: heron, faults: func(m *maker) { m.sound(); faults(m) }, read: read}
	}
	return []Class{
		heronOf("grooves", "three to eight single grooves, misreads", func(m *maker) { m.lone(3+m.r.IntN(6), 20*µ, 150*µ) }, withSlips),
		heronOf("each", "every crown off by itself, up to 30 µm", func(m *maker) { m.eachByItself(30 * µ) }, beams),
		heronOf("allworn", "all lanes worn 0 to 120 µm, frets 1 to 14", func(m *maker) { m.worn(len(m.t), 14, 120*µ) }, beams),
		heronOf("burrs", "burrs on one crown in twenty", func(m *maker) { m.burrs(0.05) }, beams),
		heronOf("lane", "one lane worn all along", (*maker).wornLane, beams),
		heronOf("kinked", "frets kinked within the neck's width", (*maker).kinked, beams),
		heronOf("rough", "lanes 1 to 4 worn 0 to 20 µm, frets 1 to 12", func(m *maker) { m.worn(4, 12, 20*µ) }, beams),
		heronOf("shallow", "one groove of 5 to 20 µm", func(m *maker) { m.lone(1, 5*µ, 20*µ) }, beams),
		heronOf("slips", "sound, one reading in thirty misread", func(*maker) {}, func(m *maker) { m.beams(); m.misreadShare(0.03) }),
		heronOf("pass", "one pass knocked, short of a crown or with two swapped; odd frets", func(m *maker) { m.odd(3) },
			func(m *maker) { m.beams(); m.spoil() }),
		heronOf("bridgededges", "bridge, and an edge along the outer lanes; grooves as played", (*maker).played,
			func(m *maker) { m.bridges(); m.outerEdges(1) }),
		{Name: "large", About: "twelve strings, 36 frets; any fault", Slow: true, blank: large, faults: (*maker).anyFault, read: withSlips},
	}
}

// perhaps does it with probability p.
func (m *maker) perhaps(p float64, do func()) {
	if m.chance(p) {
		do()
	}
}

// playedNeck is sound but for its wear, and sometimes a fret.
func (m *maker) playedNeck() {
	m.sound()
	m.played()
	m.perhaps(0.3, m.badFret)
}

// anyFault draws a neck of any kind.
func (m *maker) anyFault() {
	m.sound()
	switch m.r.IntN(4) {
	case 1:
		m.odd(3)
	case 2:
		m.played()
	case 3:
		m.lone(1+m.r.IntN(4), 30*µ, 120*µ)
		m.perhaps(0.5, m.badFret)
	}
}

// feelersNeck is sound, hollow, or has frets off.
func (m *maker) feelersNeck() {
	m.sound()
	switch m.r.IntN(5) {
	case 0:
		m.hollow(25*µ, 60*µ)
	case 1, 2:
		m.odd(3)
	}
}

// bridgeNeck is sound every other time, else two frets are off.
func (m *maker) bridgeNeck() {
	m.sound()
	if m.Seed%2 == 1 {
		m.badFret()
		m.badFret()
	}
}

// mixedGauges reads two to four lanes by beam, all by bridge, the outer two by
// edge.
func (m *maker) mixedGauges() {
	lanes := m.noise.Perm(len(m.Truth.Lanes))[:2+m.noise.IntN(3)]
	for p := range m.o.passes() {
		for _, k := range lanes {
			m.beam(k, passName(p))
		}
	}
	for k := range m.Truth.Lanes {
		m.bridge(k, 1, string(reading.Bridge))
	}
	m.outerEdges(1 + 2*m.noise.IntN(2))
}

// outerEdges lays an edge along the first and the last lane, over every step-th
// crown.
func (m *maker) outerEdges(step int) {
	set := leaves(m.noise.IntN(2))
	for _, k := range []int{0, len(m.Truth.Lanes) - 1} {
		m.edge(k, step, set, "edge")
	}
}
