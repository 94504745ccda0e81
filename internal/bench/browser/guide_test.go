package browser

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestPictures_Guide writes the two pictures of docs/first-neck.md: the page for
// reading after 80 of 132 readings, and the plan once the frets were refitted.
func TestPictures_Guide(t *testing.T) {
	dir := os.Getenv("RINGTRUE_TEST_PICTURES")
	if dir == "" {
		t.Skip("set RINGTRUE_TEST_PICTURES to a folder to have the guide's pictures written there")
	}
	b := serve(t)
	c := newClient(t, b.base)
	w := open(t, startChromium(t), b.base, desktop())
	shoot := func(name, path string, s size) {
		w.resize(s)
		w.visit(path)
		data := ask(w, chromedp.CaptureScreenshot())
		if len(data) == 0 {
			t.Fatal(path)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	w.scheme("light")
	neck := c.begin("0412")
	at := stands{Pass: 1, At: "1@1"}
	for _, r := range readings(t, "heron-seated.csv")[:80] {
		next, err := c.read(neck, at, fmt.Sprintf("%.3f", r.Value))
		if err != nil {
			t.Fatal(err)
		}
		at = next
	}
	shoot("bench-read.png", neck, size{"read", 1280, 900, false})
	whole := c.begin("0412")
	c.take(whole, "heron-refitted.csv")
	shoot("bench-plan.png", whole+"/plan?seated=19", size{"plan", 900, 860, false})
}
