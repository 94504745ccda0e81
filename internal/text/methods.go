package text

import (
	"fmt"

	"ringtrue/internal/reading"
)

// Method is what is said of a way to read.
type Method struct {
	Name, Hint string   // on the bench's pages
	Stand      string   // where the gauge stands, of frets; of those that the bench leads
	Example    string   // the first rows of a file; of those that come by file
	How        string   // how it reads, to one who writes files
	Tool, Says string   // what it is, and what a row's reading is, in a few words
	Also, Keys []string // what benches call it too; the columns that are its own
	Word       string   // its meaning in the glossary
}

// Stands says at which frets the gauge stands.
func (m Method) Stands(frets string) string { return fmt.Sprintf(m.Stand, frets) }

// OfMethod is what is said of a method; nothing of one that is none.
func OfMethod(m reading.Method) Method {
	return map[reading.Method]Method{
		reading.Beam: {
			Name: "beam", Hint: "an indicator rides a straight beam along a lane", Stand: "beam on fret %s",
			How:  "an indicator riding a straight beam along a lane: the crown above an unknown line; each pass has its own offset and tilt",
			Tool: "a dial riding a straight beam along a lane", Says: "the dial; each pass may sit and tilt as it likes",
			Also: []string{"levelling beam with a dial", "straight bar"}, Keys: []string{"column turned"}, Word: "a straight bar along a lane that an indicator rides",
		},
		reading.Bridge: {
			Name: "bridge gauge", Hint: "two feet on the outer frets, a plunger on the middle one", Stand: "feet and plunger on frets %s",
			How:  "two feet on the outer frets, a plunger on the middle one: middle crown above the line of the outer two",
			Tool: "two feet and a plunger over three frets, `6-7-8`", Says: "middle crown above the line of the outer two",
			Also: []string{"three-point gauge"}, Word: "two feet on the outer of three frets, a plunger on the middle one",
		},
		reading.Rocker: {
			Name: "rocker", Hint: "a short edge over three crowns: does it rock, or a feeler under its end", Stand: "short edge on frets %s",
			How:  "a short straight edge held down on the first two of three crowns: the feeler gap over the third, or rocks, still",
			Tool: "a short straight edge held on the first two of three crowns", Says: "the feeler gap over the third, or `rocks`, `still`",
			Also: []string{"fret rocker", "short straight edge"}, Word: "a short edge over three crowns: it rocks where the middle one is high",
		},
		reading.Edge: {
			Name: "straight edge", Hint: "a long edge along a lane, feelers over each crown", Stand: "feeler over fret %s",
			How:  "a long straight edge on whatever crowns hold it up: the feeler gap over each crown, 0 where it touches",
			Tool: "a long straight edge on whatever crowns hold it up", Says: "the feeler gap over each crown",
			Also: []string{"straight edge", "straightedge", "notched straight edge on the board"}, Word: "a long straight edge with feelers under it",
		},
		reading.Probe: {
			Name: "probe", Hint: "a machine's touches near each crown: x along the neck from the nut, y across with the treble side positive, z up; three or more across a crown",
			Example: "method,x,y,z,unit\nprobe,35.92,-18.40,1.191,mm\nprobe,36.20,-18.40,1.204,mm\nprobe,36.48,-18.40,1.190,mm",
			How:     "a machine's touch near a crown, in a frame of its own; three or more touches across a crown give its top",
			Tool:    "a measuring machine's touches", Says: "`x`, `y`, `z` instead",
			Also: []string{"touch probe", "measuring machine"}, Keys: []string{"column x", "column y", "column z"}, Word: "a machine that gives a touch's place in space",
		},
		reading.Arch: {
			Name: "arch gauge", Hint: "a depth gauge on two feet across the board or a fret: span is how far the feet stand apart; the lane may stay empty",
			Example: "method,lane,fret,reading,unit,span\narch,,5,0.338,mm,30\narch,,12,0.312,mm,30",
			How:     "a depth gauge on two feet across the board: the height of the board, or of a fret's crowns, between them",
			Tool:    "a depth gauge on two feet across the frets, `span` apart", Says: "the height between the feet",
			Also: []string{"radius gauge", "depth gauge across the board"}, Keys: []string{"column span"}, Word: "a depth gauge on two feet across the board",
		},
		reading.Sticks: {
			Name: "sticks", Hint: "a straight stick on each of two frets: how far the second's treble end is above its bass end, seen against the first, over span",
			Example: "method,lane,fret,reading,unit,span\nsticks,,1-12,0.04,mm,46\nsticks,,1-22,0.07,mm,46",
			How:     "two straight sticks across two frets: how far the second's treble end is above its bass end, seen against the first",
			Tool:    "two straight sticks across frets `1-12`", Says: "how far the second's treble end is above its bass end, over `span`",
			Also: []string{"winding sticks"}, Word: "two straight sticks that show twist",
		},
		reading.Height: {
			Name: "crown height", Hint: "the crown above the board", Stand: "crown over the board at fret %s",
			How:  "the crown's height above the board",
			Tool: "the crown's height above the board", Says: "that height",
			Also: []string{"fret height"}, Word: "a crown's height above the board",
		},
	}[m]
}
