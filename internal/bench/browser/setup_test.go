package browser

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// On a phone every box of six strings is on the screen without scrolling sideways,
// and large enough for a finger.
func TestSetup_Phone(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	neck := c.begin("0412")
	w := open(t, startChromium(t), b.base, desktop())
	query := ""
	for i := 1; i <= 6; i++ {
		query += fmt.Sprintf("&first%d=0.7&action%d=2.4", i, i)
	}
	for _, width := range []int64{360, 320} {
		w.resize(size{"phone", width, 740, true})
		w.visit(neck + "/setup?unit=mm" + query)
		boxes := get[[]struct{ Left, Right, Width, Height float64 }](w, `[...document.querySelectorAll('.typed input')].map(e => { const r = e.getBoundingClientRect(); return {Left: r.left, Right: r.right, Width: r.width, Height: r.height} })`)
		if len(boxes) != 24 {
			t.Fatalf("%d boxes", len(boxes))
		}
		for _, x := range boxes {
			if x.Left < 0 || x.Right > float64(width) || x.Width < 44 || x.Height < 44 {
				t.Errorf("at %d: %+v", width, x)
			}
		}
		wider := get[int](w, `[...document.querySelectorAll(innerWidth < 360 ? '.turn' : '.strings')].filter(e => e.parentNode.scrollWidth > e.parentNode.clientWidth + 1).length`)
		w.unfold()
		if dir := os.Getenv("RINGTRUE_TEST_PICTURES"); dir != "" {
			_ = os.WriteFile(filepath.Join(dir, fmt.Sprintf("setup-%d.png", width)), ask(w, chromedp.FullScreenshot(100)), 0o600)
		}
		if wider > 0 {
			t.Errorf("at %d: %d tables are cut", width, wider)
		}
	}
}
