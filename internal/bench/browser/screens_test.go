package browser

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/casetest"
)

// at waits until a screen shows a crown to read.
func (w *window) at(site draft.Site) {
	w.t.Helper()
	w.until(fmt.Sprintf(`document.querySelector("#readform").elements.at.value === %q && document.querySelector(".neck .here")?.dataset.site === %[1]q`, site))
}

// Two screens on one pass, a third on the wall: each goes on when another has
// read its crown, so that what is typed in turn all stays. A number that is
// half typed keeps its crown, and replaces nothing unasked.
func TestScreens_InTurn(t *testing.T) {
	b := serve(t)
	neck := newClient(t, b.base).begin("0412")
	browser := startChromium(t)
	screens := []*window{open(t, browser, b.base, desktop()), open(t, browser, b.base, phone())}
	for _, w := range screens {
		w.visit(neck)
		w.until(`document.activeElement?.id === "reading"`)
	}
	const n = 10
	for k := range n {
		for _, w := range screens {
			w.at(draft.NewSite(1, k+1))
		}
		screens[k%2].keys(fmt.Sprintf("0.4%02d\r", k))
	}
	one, two := screens[0], screens[1]
	two.at(draft.NewSite(1, n+1))
	two.keys("0.4")
	one.at(draft.NewSite(1, n+1))
	one.keys("0.44\r")
	two.until(`/Another screen/.test(document.querySelector("#said").innerText)`)
	two.keys("1\r")
	two.until(`/again to replace 0.44 mm/.test(document.querySelector("#said").innerText)`)
	if at := get[string](two, `document.querySelector("#readform").elements.at.value + " " + document.querySelector("#reading").value`); at != "11@1 0.41" {
		t.Errorf("the number that was begun is at %s", at)
	}
	two.keys("0.42\r") // a gauge types the next one: it is asked of too
	two.until(`/again to replace 0.44 mm/.test(document.querySelector("#said").innerText) && document.querySelector("#reading").value === "0.42"`)
	two.keys("\r")
	two.at(draft.NewSite(1, n+2))
	text, _ := newClient(t, b.base).get(neck + "/readings.csv")
	if strings.Count(text, "\n") != n+2 || !strings.Contains(text, "beam,1,11,0.42,") {
		t.Errorf("of %d readings typed in turn:\n%s", n+1, text)
	}

	wall := open(t, browser, b.base, desktop())
	wall.visit(neck)
	wall.press("[data-follow]")
	one.press(`.neck a[data-site="7@4"]`)
	wall.at("7@4")
	one.keys("0.398\r")
	wall.at("8@4")
	wall.press(`.neck a[data-site="3@2"]`) // whoever goes elsewhere leads
	wall.at("3@2")
	if get[bool](wall, `document.querySelector("[data-follow]").checked`) {
		t.Error("a screen that went elsewhere still follows")
	}
}

// Forty-four readings, two hundred in a long run, typed in turn on two screens, over the
// ends of lanes: none is lost, and each is at the crown that its screen showed.
func TestScreens_ManyInTurn(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("many readings; TestScreens_InTurn types ten")
	}
	b := serve(t)
	twelve, err := os.ReadFile(example(t, "heron-twelve.toml"))
	if err != nil {
		t.Fatal(err)
	}
	c := newClient(t, b.base)
	neck := c.beginFile("twelve.toml", twelve, 12, 20)
	browser := startChromium(t)
	screens := []*window{open(t, browser, b.base, desktop()), open(t, browser, b.base, phone())}
	for _, w := range screens {
		w.visit(neck)
		w.until(`document.activeElement?.id === "reading"`)
	}
	var want []string
	n := casetest.Many(200, 44)
	for k := range n {
		at := draft.NewSite(float64(k/20+1), k%20+1)
		w := screens[k%2]
		w.until(fmt.Sprintf(`document.querySelector("#readform").elements.at.value === %q`, at))
		w.keys(fmt.Sprintf("0.%03d\r", 301+k))
		want = append(want, fmt.Sprintf("beam,%d,%d,%.3f,mm", k/20+1, k%20+1, float64(301+k)/1000))
	}
	screens[0].until(fmt.Sprintf(`/%d of 240/.test(document.querySelector(".count").innerText)`, n))
	text, _ := c.get(neck + "/readings.csv")
	for _, row := range want {
		if !strings.Contains(text, row) {
			t.Errorf("lost: %s", row)
		}
	}
	if lines := strings.Count(text, "\n"); lines != n+1 {
		t.Errorf("%d lines", lines)
	}
}
