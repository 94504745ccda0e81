package draw

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func sampleDXF() *DXF {
	d := NewDXF("Heron <22>, mm")
	d.Layer("SLOTS", 1, false)
	d.Layer("OUTLINE", 7, false)
	d.Layer("CENTRE_LINE", 4, true)
	d.Line("SLOTS", Point{35.92043988371614, -22.026628}, Point{35.92043988371614, 22.026628})
	d.Outline("OUTLINE", []Point{{0, -21.5}, {460.5, -28.25}, {460.5, 28.25}, {0, 21.5}})
	d.Line("CENTRE_LINE", Point{0, 0}, Point{640, 0})
	d.Text("SLOTS", Point{36, 24}, 2.5, "1 µ")
	return d
}

// readDXF is what the independent reader found in a DXF.
type readDXF struct {
	Version  string
	Layers   []string
	Entities []struct {
		Type, Layer, Text string
		Closed            bool
		Points            [][2]float64
	}
}

// reopenDXF reads a DXF with dxf-parser of the npm registry, or skips.
func reopenDXF(t *testing.T, data []byte) readDXF {
	t.Helper()
	const home = "testdata/dxfreader"
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed, so no independent reader opens the DXF")
	}
	if _, err := os.Stat(filepath.Join(home, "node_modules", "dxf-parser")); err != nil {
		t.Skipf("dxf-parser is not installed; run npm ci in internal/draw/%s", home)
	}
	c := exec.Command(node, "read.js")
	c.Dir, c.Stdin = home, bytes.NewReader(data)
	var out, errOut bytes.Buffer
	c.Stdout, c.Stderr = &out, &errOut
	if err := c.Run(); err != nil {
		t.Fatalf("the reader: %v: %s", err, errOut.Bytes())
	}
	var d readDXF
	if err := json.Unmarshal(out.Bytes(), &d); err != nil {
		t.Fatal(err)
	}
	return d
}

// TestDXF_reopened: an independent reader finds the release, the layers and
// every place to 1e-6 mm.
func TestDXF_reopened(t *testing.T) {
	d := reopenDXF(t, written(t, sampleDXF().Write))
	if d.Version != "AC1009" || strings.Join(d.Layers, " ") != "SLOTS OUTLINE CENTRE_LINE" || len(d.Entities) != 4 {
		t.Fatalf("%+v", d)
	}
	slot, outline, text := d.Entities[0], d.Entities[1], d.Entities[3]
	if slot.Type != "LINE" || slot.Layer != "SLOTS" || math.Abs(slot.Points[0][0]-35.92043988) > 1e-6 || slot.Points[1][1] != 22.026628 {
		t.Errorf("slot %+v", slot)
	}
	if outline.Type != "POLYLINE" || !outline.Closed || len(outline.Points) != 4 || outline.Points[2] != [2]float64{460.5, 28.25} {
		t.Errorf("outline %+v", outline)
	}
	if text.Text != "1 ?" {
		t.Errorf("text %+v", text)
	}
}

// TestDXF_pairs: every line of a code is followed by its value, a code's number
// fits its kind, and sections and tables close.
func TestDXF_pairs(t *testing.T) {
	got := string(written(t, sampleDXF().Write))
	lines := strings.Split(strings.TrimSuffix(got, "\r\n"), "\r\n")
	if len(lines)%2 != 0 {
		t.Fatalf("%d lines", len(lines))
	}
	open := 0
	for i := 0; i < len(lines); i += 2 {
		if strings.TrimSpace(lines[i]) != "0" {
			continue
		}
		switch lines[i+1] {
		case "SECTION", "TABLE":
			open++
		case "ENDSEC", "ENDTAB":
			open--
		}
	}
	if open != 0 || lines[len(lines)-1] != "EOF" {
		t.Errorf("%d left open, last %q", open, lines[len(lines)-1])
	}
	if again := string(written(t, sampleDXF().Write)); again != got {
		t.Error("the same drawing gives other bytes")
	}
}

func TestDXF_refuses(t *testing.T) {
	d := sampleDXF()
	d.Line("NOWHERE", Point{}, Point{1, 1})
	if err := d.Write(io.Discard); err == nil || !strings.Contains(err.Error(), "NOWHERE") {
		t.Errorf("an unknown layer: %v", err)
	}
	d = sampleDXF()
	d.Line("SLOTS", Point{math.NaN(), 0}, Point{1, 1})
	if err := d.Write(io.Discard); err == nil {
		t.Error("a place that is no number was written")
	}
	if err := sampleDXF().Write(fullDisk{}); err == nil {
		t.Error("a full disk went unnoticed")
	}
}

// TestDXF_anyWords: no text, whatever it holds, breaks the pairs.
func TestDXF_anyWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := NewDXF(rapid.String().Draw(t, "comment"))
		d.Layer("A", 1, false)
		d.Text("A", Point{}, 1, rapid.String().Draw(t, "words"))
		var b bytes.Buffer
		if err := d.Write(&b); err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(b.String(), "\n"); n%2 != 0 || n != strings.Count(b.String(), "\r\n") {
			t.Fatalf("%d lines", n)
		}
	})
}
