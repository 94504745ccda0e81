package demo

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"time"

	"ringtrue/internal/book"
)

// stepMM is the step of the shop's dials.
const stepMM = 0.002

// statedMM is the uncertainty that the shop's readings state.
const statedMM = 0.003

// crownMM is the height of a new crown.
const crownMM = 1.2

// read takes a neck's readings: a beam along every lane, one set-up a pass; at
// service also the height of the first crowns.
func (n *invented) read(stage string, on time.Time, passes int, note string) *book.Entry {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s, neck %s, %s. Invented readings.\n", "ringtrue book demo", n.serial, stage)
	b.WriteString("method,lane,fret,reading,unit,pass,u,state,by,gauge,date,temperature,humidity\n")
	damp := season(on)
	once := fmt.Sprintf("slack,%s,beam 2,%s,%.0f C,%.0f", n.by.name, on.Format(time.DateOnly), 20+2*damp, 46+9*damp)
	bow := n.driedMM
	if n.tags["wood"] == "rosewood" {
		bow += seasonMM * damp
	}
	for l := range n.lanes {
		lane := float64(l + 1)
		shape := n.layout.Shape(lane, n.frets)
		for pass := range passes {
			offset, tilt := 0.4+0.1*n.normal(), 2e-4*n.normal()
			rest := once
			for i, f := range n.frets {
				z := n.z[i][l] + shape[i] + bow*n.layout.Bow(f, n.layout.LastFret(), lane)
				v := offset + tilt*n.layout.LaneX(f, lane) + z + n.by.readMM*n.normal()
				fmt.Fprintf(&b, "beam,%d,%d,%s,mm,%c,%g,%s\n", l+1, f, onStep(v, stepMM, 3), 'a'+pass, statedMM, rest)
				rest = ",,,,,"
			}
		}
	}
	if stage == "serviced" {
		n.heights(&b)
	}
	minutes := time.Duration(n.r.IntN(480)) * time.Minute
	return &book.Entry{Serial: n.serial, Stage: stage, Added: on.Add(9*time.Hour + minutes), By: n.by.name, Note: note, Tags: maps.Clone(n.tags),
		Files: book.Files{
			Neck:     book.File{Name: "heron.toml", Bytes: []byte(n.toml)},
			Readings: book.File{Name: n.serial + "-" + stage + ".csv", Bytes: []byte(b.String())},
		}}
}

// heights reads the crowns of the first frets over the board.
func (n *invented) heights(b *strings.Builder) {
	const frets, stepMM = 7, 0.01
	for i, f := range n.frets[:frets] {
		for l := range n.lanes {
			fmt.Fprintf(b, "height,%d,%d,%s,mm,,%g,,,,,,\n", l+1, f, onStep(crownMM-n.filed[i][l]+0.004*n.normal(), stepMM, 2), stepMM/2)
		}
	}
}

// onStep is a value as its dial shows it.
func onStep(v, step float64, digits int) string {
	return strconv.FormatFloat(math.Round(v/step)*step+0, 'f', digits, 64)
}

// misread makes one reading of a file a slip of the dial's small hand.
func misread(r *rand.Rand, file []byte) []byte {
	lines := strings.Split(string(file), "\n")
	i := 3 + r.IntN(len(lines)-6)
	cells := strings.Split(lines[i], ",")
	v, err := strconv.ParseFloat(cells[3], 64)
	if err != nil {
		panic(err) // a line that read wrote
	}
	cells[3] = strconv.FormatFloat(v+0.1, 'f', 3, 64)
	lines[i] = strings.Join(cells, ",")
	return []byte(strings.Join(lines, "\n"))
}
