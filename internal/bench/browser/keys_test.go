package browser

import (
	"fmt"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
)

// places are where the focus may be when a gauge types: keys, lists, boxes,
// crowns, links, the page itself.
const places = `(() => {
	const shown = (selector) => [...document.querySelectorAll(selector)].filter((el) => el.checkVisibility());
	window.places = [document.body, ...shown("#readform button, select, [data-aloud], [data-huge], [data-follow], .goto button, .tabs a, .passes a, summary, #main"), ...shown(".neck a.unread")].slice(0, 44);
	return window.places.length;
})()`

// A gauge's number reaches the field wherever the focus is, ended by Enter or by
// Tab, and no two are taken for one.
func TestKeys_WhereverTheFocusIs(t *testing.T) {
	t.Parallel()
	b := serve(t)
	c := newClient(t, b.base)
	neck := c.begin("0412")
	w := open(t, startChromium(t), b.base, desktop())
	w.visit(neck)
	n := get[int](w, places)
	if n < 40 {
		t.Fatalf("%d places", n)
	}
	all := casetest.Many(122, n+1) // each place, by Enter and by Tab in turn
	for k := range all {
		w.until(fmt.Sprintf(`(() => { const el = window.places[%d]; document.activeElement?.blur(); el.focus(); return el === document.body || document.activeElement === el || !el.isConnected; })()`, k%n))
		w.keys(fmt.Sprintf("0.%03d", 300+k) + []string{"\r", "\t"}[(k+k/n)%2])
		w.until(fmt.Sprintf(`/Saved 0.%03d mm/.test(document.querySelector("#said").innerText)`, 300+k))
	}
	for k := range 10 { // one after the other, without a pause
		w.keys(fmt.Sprintf("0.5%02d\t", k))
	}
	w.until(`/Saved 0.509 mm/.test(document.querySelector("#said").innerText)`)
	text, _ := c.get(neck + "/readings.csv")
	for k := range all {
		if !strings.Contains(text, fmt.Sprintf(",0.%03d,mm", 300+k)) {
			t.Errorf("lost: 0.%03d", 300+k)
		}
	}
	if strings.Count(text, "\n") != all+11 {
		t.Errorf("of %d readings:\n%s", all+10, text)
	}
}

// What is typed behind a number that is refused is neither kept at its place nor
// glued to it: it is named. A Tab leaves what came back as it is.
func TestKeys_BehindARefusedNumber(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	neck := c.begin("0412")
	w := open(t, startChromium(t), b.base, desktop())
	w.visit(neck)
	w.keys("0.401\r0.402\r")
	w.at("3@1")
	w.press(`.neck a[data-site="1@1"]`)
	w.at("1@1")
	// The answer comes while the third is being typed.
	get[bool](w, `(() => { const real = window.fetch; window.fetch = async (...a) => { const r = await real(...a); if (/read$/.test(a[0])) await new Promise((ok) => { window.answer = ok; }); return r; }; return true; })()`)
	w.keys("0.501\r0.502\r0.50")
	w.until(`window.answer`)
	get[bool](w, `(window.answer(), true)`)
	w.until(`document.querySelector("#reading").value === "0.501"`)
	w.keys("3\r")
	w.until(`/again to replace 0.401 mm.*Not saved after it: 0.502, 0.503/.test(document.querySelector("#said").innerText)`)
	w.keys("\t")
	w.until(`document.activeElement !== document.querySelector("#reading")`)
	text, _ := c.get(neck + "/readings.csv")
	if strings.Count(text, "\n") != 3 || strings.Contains(text, "0.50") {
		t.Errorf("kept:\n%s", text)
	}
}

// slowly has the bench's answers take their time, as over a weak net.
const slowly = `(() => { const real = window.fetch; window.fetch = async (...a) => { const r = await real(...a); if (/read$|leads=yes/.test(a[0])) await new Promise((ok) => setTimeout(ok, 700)); return r; }; return true; })()`

// A tap on a crown holds however slow the answers are: what is typed before it is of
// the crowns before, what is typed after it of that crown and those that follow.
func TestKeys_TapBetweenSlowAnswers(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	neck := c.begin("0412")
	w := open(t, startChromium(t), b.base, desktop())
	w.visit(neck)
	w.keys("0.401\r")
	w.at("2@1")
	get[bool](w, slowly)
	w.press(`.neck a[data-site="20@2"]`)
	w.keys("0.391\r0.392\r")
	w.until(`document.querySelector("#readform").elements.at.value === "22@2"`)
	w.press(`.neck a[data-site="8@3"]`)
	w.at("8@3")
	w.keys("0.341\r")
	w.press(`.neck a[data-site="15@4"]`)
	w.keys("0.377\r")
	w.until(`document.querySelector("#readform").elements.at.value === "16@4" && document.querySelector(".latest").innerText.includes("0.377")`)
	w.keys("0.378\r")
	w.press(`.neck a[data-site="1@5"]`) // and nothing typed after it
	w.at("1@5")
	text, _ := c.get(neck + "/readings.csv")
	for _, row := range []string{"beam,1,1,0.401,", "beam,2,20,0.391,", "beam,2,21,0.392,", "beam,3,8,0.341,", "beam,4,15,0.377,", "beam,4,16,0.378,"} {
		if !strings.Contains(text, row) {
			t.Errorf("no %s in\n%s", row, text)
		}
	}
	if strings.Count(text, "\n") != 7 {
		t.Errorf("kept:\n%s", text)
	}
}

// Typing with the drawer open closes it; an empty Enter answers no question.
func TestKeys_DrawerAndEmptyEnter(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	neck := c.begin("0412")
	w := open(t, startChromium(t), b.base, phone())
	w.visit(neck)
	for _, mm := range []string{"0.371", "0.372", "0.373", "0.374"} {
		w.keys(mm + "\r")
		w.until(`document.querySelector(".latest").innerText.includes("` + mm + `")`)
	}
	w.press("#more > summary")
	w.until(`document.querySelector("#more").open`)
	w.keys("3.72\r")
	w.until(`!document.querySelector("#more").open && document.querySelector(".alarm")`)
	w.keys("\r")
	w.until(`/Answer the question/.test(document.querySelector("#said").innerText) && document.querySelector(".alarm")`)
	w.press(`[value="undo"]`)
	w.until(`document.querySelector(".latest").innerText.includes("0.374") && !document.querySelector(".alarm")`)
}
