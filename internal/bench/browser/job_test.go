package browser

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/reading"
)

// A maker's whole job on a laptop: a new neck from its file, 132 readings typed
// by a gauge, a misread found while the gauge is there and retaken, the plan
// ticked and printed, the neck levelled, its new readings taken in from a file, and
// put in the book.
func TestJob_Desktop(t *testing.T) {
	if testing.Short() {
		t.Skip("two readings of a whole neck; TestJob_Phone reads a lane")
	}
	b := serve(t)
	w := open(t, startChromium(t), b.base, desktop())
	neck := w.takeIn("0412")
	w.beginPass()

	alarms := map[string]string{} // by the crown at which they began
	now := ""
	for _, r := range readings(t, "heron-seated.csv") {
		at := string(draft.NewSite(r.Lane, r.Frets...))
		if said := w.gauge(at, r); (said == "") != (now == "") {
			alarms[at], now = said, said
		}
	}
	if len(alarms) != 1 || !strings.Contains(alarms["9@4"], "0.472") || now == "" {
		t.Errorf("what did not agree: %v", alarms)
	}
	w.press(`.neck a[data-site="9@4"]`)
	w.until(`document.querySelector("#readform").elements.at.value === "9@4"`)
	w.keys("0.372\r")
	w.until(`/again to replace 0.472/.test(document.querySelector("#said").innerText)`)
	w.keys("\r")
	w.until(`/Saved 0.372/.test(document.querySelector("#said").innerText)`)
	w.settled()
	if text := get[string](w, `document.querySelector(".judged").innerText + document.querySelector(".meaning").innerText`); strings.Contains(text, "Read again") || !strings.Contains(text, "132 of 132") {
		t.Errorf("after the retake: %s", text)
	}

	w.plan(neck)
	w.enterInBook(neck, "seated", 1)
	w.nextStage(neck, "levelled")
	w.leave(`.tabs a[href$="/files"]`, "/files$")
	file := filepath.Join(t.TempDir(), "levelled.csv")
	if err := os.WriteFile(file, []byte(plainReadings(readings(t, "heron-levelled.csv"))), 0o600); err != nil {
		t.Fatal(err)
	}
	w.upload("#file", file)
	w.leave(`form[action$="/files"] button`, "^/necks/[^/]+$")
	w.settled()
	if text := get[string](w, `document.querySelector(".verdict").innerText`); !strings.HasPrefix(text, "Level") {
		t.Errorf("levelled: %s", text)
	}
	w.enterInBook(neck, "levelled", 2)
	w.history("0412")
	records, err := b.book.Records(context.Background(), "0412")
	if err != nil || len(records) != 2 || records[0].Stage != "seated" || records[1].Stage != "levelled" {
		t.Errorf("in the book: %+v, %v", records, err)
	}
}

// The same on a phone by touch: the readings come as a file, a lane of the
// levelled neck is typed.
func TestJob_Phone(t *testing.T) {
	b := serve(t)
	w := open(t, startChromium(t), b.base, phone())
	neck := w.takeIn("0413")
	w.leave(`.tabs a[href$="/files"]`, "/files$")
	w.upload("#file", readAgain(t))
	w.leave(`form[action$="/files"] button`, "^/necks/[^/]+$")
	w.settled()
	if text := get[string](w, `document.querySelector("#read").innerText`); !strings.Contains(text, "Not level") || !strings.Contains(text, "treble end not seated") {
		t.Errorf("what the file means: %s", text)
	}
	w.press("#more > summary")
	w.until(`document.querySelector("#more").open`)
	if text := get[string](w, `document.querySelector(".meaning").innerText`); !strings.Contains(text, "treble end not seated") {
		t.Errorf("what the file means, in the drawer: %s", text)
	}
	w.press("#more > summary")
	w.until(`!document.querySelector("#more").open`)
	w.plan(neck)
	w.nextStage(neck, "levelled")
	w.beginPass()
	var typed []reading.Reading
	for _, r := range readings(t, "heron-levelled.csv")[:22] {
		w.gauge(string(draft.NewSite(r.Lane, r.Frets...)), r)
		typed = append(typed, r)
	}
	w.enterInBook(neck, "levelled", 1)
	c := newClient(t, b.base)
	text, _ := c.get(neck + "/readings.csv")
	kept, err := reading.Parse("kept", strings.NewReader(text), reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6})
	if err != nil || len(kept.Readings) != len(typed) {
		t.Fatalf("%d readings kept of %d: %v", len(kept.Readings), len(typed), err)
	}
	for i, r := range typed {
		if k := kept.Readings[i]; k.Lane != r.Lane || !slices.Equal(k.Frets, r.Frets) || k.Value != r.Value {
			t.Errorf("kept %+v, typed %+v", k, r)
		}
	}
}

// readAgain is a file of the example's readings, the misread one taken again.
func readAgain(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile(example(t, "heron-seated.csv"))
	if err != nil {
		t.Fatal(err)
	}
	const misread, again = "beam,4,9,0.472,", "beam,4,9,0.372,"
	if bytes.Count(data, []byte(misread)) != 1 {
		t.Fatal("the example's misread is gone")
	}
	file := filepath.Join(t.TempDir(), "seated.csv")
	if err := os.WriteFile(file, bytes.Replace(data, []byte(misread), []byte(again), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// A gauge may type faster than the answers come: all are kept in order.
func TestJob_FasterThanTheAnswers(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	neck := c.begin("0414")
	w := open(t, startChromium(t), b.base, desktop())
	w.visit(neck)
	all := readings(t, "heron-levelled.csv")[:30]
	var burst strings.Builder
	for _, r := range all {
		fmt.Fprintf(&burst, "%.3f\r", r.Value)
	}
	w.keys(burst.String())
	w.until(`document.querySelector("#readform").elements.at.value === "9@2"`)
	text, _ := c.get(neck + "/readings.csv")
	kept, err := reading.Parse("kept", strings.NewReader(text), reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6})
	if err != nil || len(kept.Readings) != len(all) {
		t.Fatalf("%d of %d kept: %v", len(kept.Readings), len(all), err)
	}
	for i, k := range kept.Readings {
		if k.Value != all[i].Value || k.Lane != all[i].Lane || !slices.Equal(k.Frets, all[i].Frets) {
			t.Errorf("kept %+v, typed %+v", k, all[i])
		}
	}
}

// takeIn starts a neck from the Heron's file, and gives its path.
func (w *window) takeIn(serial string) string {
	w.t.Helper()
	w.visit("/")
	w.upload("#f-file", example(w.t, "heron.toml"))
	w.write("#f-serial", serial)
	w.leave(`form:has(#f-file) button`, "/pass$")
	return strings.TrimSuffix(w.path(), "/pass")
}

// beginPass begins a beam pass with what is asked once a pass.
func (w *window) beginPass() {
	w.t.Helper()
	if !strings.HasSuffix(w.path(), "/pass") {
		w.leave(`.tabs a[href$="/pass"]`, "/pass$")
	}
	w.press(".change > summary")
	for field, text := range map[string]string{"temperature": "21,5", "humidity": "48"} {
		at := `.passform [name="` + field + `"]`
		w.press(at)
		get[bool](w, fmt.Sprintf(`document.querySelector(%q).select() === undefined`, at))
		w.keys(text)
	}
	w.leave(`.passform > button`, "^/necks/[^/]+$")
	w.until(`document.activeElement?.id === "reading"`)
}

// gauge types one reading as a gauge does, and waits until the page stands at
// the next crown; it gives what the page warns of. The caret stays in the field.
func (w *window) gauge(at string, r reading.Reading) (alarm string) {
	w.t.Helper()
	if here := get[string](w, `document.querySelector("#readform").elements.at.value`); here != at {
		w.t.Fatalf("%s: the page leads to %s, not to %s", w.size.name, here, at)
	}
	w.keys(fmt.Sprintf("%.3f\r", r.Value))
	w.until(fmt.Sprintf(`/fret %d, lane %v\./.test(document.querySelector("#said").innerText) && document.querySelector(".neck .here")?.dataset.site !== %q`, r.Frets[0], r.Lane, at) +
		` || /complete/.test(document.querySelector("#said").innerText)`)
	type now struct {
		Focus, Field, Alarm, Kind string
		Ended                     bool
	}
	n := get[now](w, fmt.Sprintf(`({
		Focus: document.activeElement?.id || "",
		Field: document.querySelector("#reading").value,
		Ended: document.querySelector("#read").classList.contains("ended"),
		Alarm: document.querySelector(".alarm")?.innerText || "",
		Kind: document.querySelector('.neck [data-site=%q]').getAttribute("class")
	})`, at))
	if n.Focus != "reading" && !n.Ended || n.Field != "" {
		w.t.Fatalf("%s: after Enter at %s the focus is on %q and the field holds %q", w.size.name, at, n.Focus, n.Field)
	}
	if strings.Contains(n.Kind, "unread") {
		w.t.Errorf("%s: the picture shows %s as %s", w.size.name, at, n.Kind)
	}
	return n.Alarm
}

// settled waits until the page shows what its newest reading means.
func (w *window) settled() {
	w.t.Helper()
	w.until(`(async () => {
		const id = document.querySelector("#read").dataset.id;
		const a = await (await fetch("/necks/" + id + "/state?seen=0", { headers: { Accept: "application/json" } })).json();
		const text = (html) => { const d = document.createElement("div"); d.innerHTML = html; return d.textContent; };
		return a.known === a.seen && text(a.parts.meaning).trim() === document.querySelector("[data-part=meaning]").textContent.trim();
	})()`)
}

// plan looks at the plan, says which frets sit already, ticks a box that stays ticked, and prints the card
// by the bench and by the browser.
func (w *window) plan(neck string) {
	w.t.Helper()
	w.leave(`.tabs a[href$="/plan"]`, "/plan$")
	if text := get[string](w, `document.querySelector("main").innerText`); !strings.Contains(text, "Fret 7") || !strings.Contains(text, "Nothing to take off.") {
		w.t.Errorf("the plan: %s", text)
	}
	// The high frets are to be pressed first; they sit already, so they are filed.
	if n := get[int](w, `(() => { const all = document.querySelectorAll("#plan-seated input[name=seated]"); all.forEach((b) => b.click()); return all.length; })()`); n != 2 {
		w.t.Fatalf("%d frets may sit already", n)
	}
	w.leave(`#plan-seated button`, "/plan$")
	boxes := get[int](w, `document.querySelectorAll("#ticks input[name=on]").length`)
	if boxes < 5 {
		w.t.Fatalf("%d boxes on the card", boxes)
	}
	if get[int](w, `document.querySelectorAll("#moves + ol li").length`) == 0 {
		w.t.Error("the plan is not said as moves")
	}
	w.press(".plancard details > summary") // the crowns are below the moves
	if !get[bool](w, `document.querySelector("#ticks [data-plain]").offsetParent === null`) {
		w.t.Error("the key to keep the ticks is shown, though each tick is kept at once")
	}
	said := get[string](w, `document.querySelector("#ticked").innerText`)
	w.press("#ticks label.tick")
	w.until(fmt.Sprintf(`document.querySelector("#ticked").innerText !== %q && !document.querySelector("#ticks input[name=on]").disabled`, said))
	w.visit(neck + "/plan?seated=7,14")
	if !get[bool](w, `document.querySelector("#ticks input[name=on]").checked`) {
		w.t.Error("the tick is not kept")
	}
	row := "14"
	for _, words := range get[[]string](w, `[...document.querySelectorAll('#ticks tr[data-fret="14"] .tick span')].map((s) => s.innerText)`) {
		row += `\s+` + regexp.QuoteMeta(words)
	}
	for _, paper := range []string{"a4", "letter"} {
		href := get[string](w, fmt.Sprintf(`document.querySelector("#plan-%s").getAttribute("href")`, paper))
		data, kind := newClient(w.t, w.base).get(href)
		if kind != "application/pdf" {
			w.t.Errorf("%s is %s", href, kind)
		}
		w.card([]byte(data), paper, row)
	}
	w.card(ask(w, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4))), "browser", row)
}

// card reads a printed card's words with a program that is not ours: the neck,
// the unit, and a row of boxes as the page shows it.
func (w *window) card(data []byte, name, row string) {
	w.t.Helper()
	if !bytes.HasPrefix(data, []byte("%PDF-")) {
		w.t.Fatalf("%s: no PDF", name)
	}
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		return // its start is checked above; the words are where the tool is
	}
	file := filepath.Join(w.t.TempDir(), name+".pdf")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		w.t.Fatal(err)
	}
	text, err := exec.Command(tool, "-layout", file, "-").Output()
	if err != nil {
		w.t.Fatalf("%s: %v", name, err)
	}
	for _, want := range []string{`Heron`, `(?i)fret`, `[µm]m`, row} {
		if !regexp.MustCompile(want).Match(text) {
			w.t.Errorf("%s: the card lacks %s:\n%s", name, want, text)
		}
	}
}

// nextStage ends the stage in work.
func (w *window) nextStage(neck, word string) {
	w.t.Helper()
	w.leave(`.tabs a[href$="/files"]`, "/files$")
	w.write("#word", word)
	w.leave(`form[action$="/stage"] button`, "/pass$")
	if !strings.HasPrefix(w.path(), neck+"/") {
		w.t.Errorf("the next stage is at %s", w.path())
	}
}

// enterInBook puts the stage in work in the book.
func (w *window) enterInBook(neck, stage string, record int) {
	w.t.Helper()
	w.leave(`.tabs a[href$="/files"]`, "/files$")
	w.write("#by", "Ines")
	w.write("#tags", "wire=lot7")
	w.leave(`form[action$="/book"] button`, "/files$")
	want := fmt.Sprintf("%s is record %d", stage, record)
	if text := get[string](w, `document.querySelector("main").innerText`); !strings.Contains(text, want) {
		w.t.Errorf("%s: the book's entry is not told: %s", neck, text)
	}
}

// history looks a neck up in the book and compares its two stages.
func (w *window) history(serial string) {
	w.t.Helper()
	w.leave(`.top a[href="/book"]`, "^/book$")
	w.leave(`#booknecks a`, "^/book/neck$")
	if n := get[int](w, `document.querySelectorAll(".records [data-record]").length`); n != 2 {
		w.t.Errorf("%s has %d records in the book", serial, n)
	}
	w.leave(`#compareform button`, "^/book/neck$")
	text := get[string](w, `document.querySelector("main").innerText`)
	for _, want := range []string{serial, "seated", "levelled", "Ines", "wire lot7", "Fret 7"} {
		if !strings.Contains(text, want) {
			w.t.Errorf("the history of %s lacks %s:\n%s", serial, want, text)
		}
	}
	if crowns := get[int](w, `[...document.querySelectorAll(".crownmap td")].filter((c) => c.getBoundingClientRect().width > 15 && /\d/.test(c.innerText)).length`); crowns != 132 {
		w.t.Errorf("the picture of the two stages shows %d crowns", crowns)
	}
}
