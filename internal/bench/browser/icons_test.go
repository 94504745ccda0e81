package browser

import (
	"bytes"
	"encoding/base64"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "draw the icons for phones again from icon.svg")

// An icon for phones: the mark on its own ground. A mask may cut a maskable one down
// to a circle of 80 % (W3C, Web Application Manifest), so the mark is smaller there.
type icon struct {
	file   string
	size   int
	scale  float64
	filled bool // the ground reaches the corners: the phone rounds them itself
}

func icons() []icon {
	return []icon{{"icon-192.png", 192, 1, false}, {"icon-maskable-512.png", 512, .8, true}, {"apple-touch-icon.png", 180, 1, true}}
}

// The icons are icon.svg, drawn by a browser. Where it was drawn otherwise since,
// -update draws them again.
func TestIcons_AreTheMark(t *testing.T) {
	b := serve(t)
	w := open(t, startChromium(t), b.base, desktop())
	w.visit("/")
	for _, i := range icons() {
		name := filepath.Join("..", "static", i.file)
		drawn := w.drawIcon(i)
		if *update {
			var out bytes.Buffer
			if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, drawn); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(name, out.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		kept, err := png.Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatalf("%s: %v (go test ./internal/bench/browser -run Icons -update)", i.file, err)
		}
		if kept.Bounds() != drawn.Bounds() || len(data) > 20_000 {
			t.Errorf("%s: %v, %d bytes", i.file, kept.Bounds(), len(data))
			continue
		}
		if far := differ(kept, drawn); far > .002 { // another browser rounds edges otherwise
			t.Errorf("%s is not icon.svg: they differ by %.4f (go test ./internal/bench/browser -run Icons -update)", i.file, far)
		}
		_, _, _, corner := kept.At(0, 0).RGBA()
		if opaque := corner == 0xffff; opaque != i.filled {
			t.Errorf("%s: its corner has opacity %d", i.file, corner)
		}
	}
	other := image.NewNRGBA(image.Rect(0, 0, 180, 180))
	if differ(w.drawIcon(icons()[2]), other) < .1 {
		t.Error("the comparison is broken")
	}
}

// drawIcon draws the mark as the browser sees it.
func (w *window) drawIcon(i icon) *image.NRGBA {
	w.t.Helper()
	url := get[string](w, fmt.Sprintf(`(async () => {
		const mark = new Image();
		mark.src = document.querySelector("link[rel=icon]").href;
		await mark.decode();
		const c = document.createElement("canvas"), n = %d, s = n * %g;
		c.width = c.height = n;
		const g = c.getContext("2d");
		g.drawImage(mark, 0, 0, n, n);
		if (%t) {
			const [r, gr, b, a] = g.getImageData(n / 2, Math.round(n * .03), 1, 1).data;
			if (a !== 255) throw new Error("the mark has no ground of its own at the top of its middle");
			g.fillStyle = "rgb(" + r + " " + gr + " " + b + ")";
			g.fillRect(0, 0, n, n);
			g.drawImage(mark, (n - s) / 2, (n - s) / 2, s, s);
		}
		return c.toDataURL("image/png");
	})()`, i.size, i.scale, i.filled))
	data, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(url, "data:image/png;base64,"))
	if err != nil {
		w.t.Fatal(err)
	}
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		w.t.Fatal(err)
	}
	out := image.NewNRGBA(m.Bounds())
	for y := range i.size {
		for x := range i.size {
			out.Set(x, y, m.At(x, y))
		}
	}
	return out
}

// differ is how far two pictures of one size are from each other, 0 to 1.
func differ(a, b image.Image) float64 {
	var sum, n float64
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			p, q := color.RGBAModel.Convert(a.At(x, y)).(color.RGBA), color.RGBAModel.Convert(b.At(x, y)).(color.RGBA)
			for _, d := range []int{int(p.R) - int(q.R), int(p.G) - int(q.G), int(p.B) - int(q.B), int(p.A) - int(q.A)} {
				sum += float64(max(d, -d)) / 255
				n++
			}
		}
	}
	return sum / n
}
