package browser

import (
	"strings"
	"testing"
)

// goAway has the page's requests to the bench fail, as without a net; back lets
// them pass again.
func (w *window) goAway() {
	w.t.Helper()
	get[bool](w, `(() => { window.real ??= window.fetch; window.away = true; window.fetch = (...a) => window.away ? Promise.reject(new TypeError("away")) : window.real(...a); return true; })()`)
}

func (w *window) back() {
	w.t.Helper()
	get[bool](w, `(window.away = false, true)`)
}

const waits = `JSON.parse(localStorage.getItem("waiting") || "[]").length`

// The bench away: what is typed waits in the browser, counted, while the page leads
// on; it is sent in order when the bench is back, also after the tab was left. What
// another screen has read meanwhile is named, and replaces nothing.
func TestAwait_BenchAway(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	neck := c.begin("0412")
	w := open(t, startChromium(t), b.base, desktop())
	w.visit(neck)
	w.goAway()
	w.keys("0.401\r0.402\r0.403\r")
	w.until(`/3 waiting/.test(document.querySelector("#said").innerText) && /Fret\s4/.test(document.querySelector(".where .big").innerText)`)
	w.back()
	w.until(waits + ` === 0 && document.querySelector("#waiting").hidden`)
	w.at("4@1")
	sees := func(what string, rows ...string) {
		t.Helper()
		text, _ := c.get(neck + "/readings.csv")
		for _, r := range rows {
			if !strings.Contains(text, "beam,1,"+r+",mm") {
				t.Errorf("%s: no %s in\n%s", what, r, text)
			}
		}
		if strings.Count(text, "\n") != len(rows)+1 {
			t.Errorf("%s:\n%s", what, text)
		}
	}
	sees("back", "1,0.401", "2,0.402", "3,0.403")

	w.goAway()
	w.keys("0.404\r0.405\r")
	w.until(waits + ` === 2`)
	w.visit(neck) // loaded again, as after a closed tab
	w.until(waits + ` === 0`)
	w.at("6@1")
	sees("loaded again", "1,0.401", "2,0.402", "3,0.403", "4,0.404", "5,0.405")

	w.goAway()
	w.keys("0.406\r0.407\r")
	w.until(waits + ` === 2`)
	if _, err := c.read(neck, stands{Pass: 1, Seen: 99, At: "6@1"}, "0.466"); err != nil {
		t.Fatal(err)
	}
	w.visit("/") // as a screen comes back that was paired again
	w.until(waits + ` === 1 && /Not saved: 0.406 . 6@1.*0.466 mm/.test(document.querySelector("#waiting").innerText)`)
	sees("from another page", "1,0.401", "2,0.402", "3,0.403", "4,0.404", "5,0.405", "6,0.466", "7,0.407")
	w.press("#waiting button")
	w.until(waits + ` === 0 && document.querySelector("#waiting").hidden`)
}
