package browser

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestLook writes the page for reading at the six sizes, in the states that it
// takes, for someone to look at.
func TestLook(t *testing.T) {
	dir := os.Getenv("RINGTRUE_TEST_LOOK")
	if dir == "" {
		t.Skip("set RINGTRUE_TEST_LOOK to a folder to have the page for reading written there at six sizes")
	}
	b := serve(t)
	c := newClient(t, b.base)
	all := readings(t, "heron-seated.csv")
	neck := c.begin("0412")
	w := open(t, startChromium(t), b.base, desktop())
	w.visit(neck)
	shoot := func(state string) {
		for _, s := range sizes() {
			w.resize(s)
			for _, scheme := range []string{"light", "dark"} {
				if scheme == "dark" && s.width != 1024 {
					continue
				}
				w.scheme(scheme)
				get[bool](w, `new Promise((ok) => setTimeout(() => ok(true), 200))`)
				data := ask(w, chromedp.CaptureScreenshot())
				file := filepath.Join(dir, fmt.Sprintf("%s_%s_%s.png", state, s.name, scheme))
				if err := os.WriteFile(file, data, 0o600); err != nil {
					t.Fatal(err)
				}
			}
		}
		w.resize(desktop())
	}
	for i, r := range all {
		w.keys(fmt.Sprintf("%.3f\r", r.Value))
		if i == 58 {
			w.settled()
			shoot("reading")
			get[bool](w, `(document.querySelector("[data-huge]").click(), true)`)
			shoot("huge")
			get[bool](w, `(document.querySelector("[data-huge]").click(), true)`)
		}
		if i == 84 {
			w.settled()
			shoot("alarm")
		}
	}
	w.settled()
	shoot("ended")
}
