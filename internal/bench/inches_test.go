package bench

import (
	"html"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
)

// inInches makes a bench of an inch shop.
func inInches(c *Config) { c.Inches = true }

// metric finds a length that is not in inches.
func metric() *regexp.Regexp {
	return regexp.MustCompile(`(?i)(^|[^\p{L}])(mm[³3²]?|µm|um)([^\p{L}]|$)|micromet|millimet`)
}

// read is what is read of a page or heard of it, an element or attribute a line; not
// what stands in it as in a file.
func read(page string) []string {
	for _, kept := range []string{`(?s)<textarea.*?</textarea>`, `(?s)<(code|pre).*?</(code|pre)>`, `(?s)<(p|label|span|option)[^>]* translate="no".*?</(p|label|span|option)>`} {
		page = regexp.MustCompile(kept).ReplaceAllString(page, "")
	}
	var all []string
	for _, m := range regexp.MustCompile(`(?s)>([^<]+)<|(?:aria-label|alt|title)="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		if words := strings.TrimSpace(html.UnescapeString(m[1] + m[2])); words != "" {
			all = append(all, words)
		}
	}
	return all
}

// everyPage gives a bench's pages and pictures by their addresses, with all that can
// stand on them.
func everyPage(t *testing.T, b *try) map[string]string {
	t.Helper()
	path, seated := b.open(), b.readNeck()
	for _, p := range []string{path, seated} {
		b.post(p+"/pass", "method", "beam", "unit", "in", "from", "1", "to", "22", "every", "1", "lane", "1")
		b.post(p+"/read", "pass", "2", "at", "7@1", "seen", "9", "reading", "0.0302")
	}
	refitted, arches := b.refittedNeck(), b.open()
	b.send(arches+"/files", "board.csv", example(t, "heron-board.csv"))
	pages := map[string]string{}
	for _, p := range []string{"/", path, path + "?pass=2&at=8@1", path + "/pass", path + "/files", path + "/plan", path + "/play", path + "/gauge",
		"/book", "/neckfile", "/neckfile?like=bass", path + "/neck", path + "/board",
		seated, seated + "?pass=2&at=8@1", seated + "/plan", seated + "/plan?seated=7", seated + "/play?state=read", seated + "/play?state=planned&raise=0.25", seated + "/board", b.bareBoard(arches), refitted + "/plan?seated=19",
		"/book/neck?serial=0412", "/book/neck?serial=0412&from=seated&to=levelled", "/book/compare.svg?serial=0412&from=seated&to=levelled",
		"/book/drift?of=zone&stage=seated", "/book/drift.svg?of=zone&stage=seated", "/book/drift?of=pattern&stage=seated", "/book/drift.svg?of=pattern&stage=seated"} {
		w := b.get(p)
		if pages[p] = body(w); w.Code != http.StatusOK {
			t.Errorf("%s: %d", p, w.Code)
		}
	}
	form := formOf(pages["/neckfile?like=bass"])
	for k, v := range map[string]string{"air.temperature": "20 °C", "air.humidity": "45 %", "air.driest": "30 %", "air.dampest": "65 %"} {
		form.Set(k, v)
	}
	_, pages["neckfile looked at"] = b.send2(form, "look")
	return pages
}

// No page and no picture of an inch shop says a length in mm.
func TestInches_NoMixture(t *testing.T) {
	casetest.OneByOne(t)
	for p, page := range everyPage(t, withBook(t, inInches)) {
		words := read(page)
		if len(words) < 5 {
			t.Errorf("%s: %d words", p, len(words))
		}
		for _, w := range words {
			if metric().MatchString(w) {
				t.Errorf("%s: %q", p, w)
			}
		}
	}
}

// pageOf is a page of a neck; "copy" is the form with its file.
func pageOf(path, page string) string {
	if page == "copy" {
		return "/neckfile?from=" + idOf(path)
	}
	return path + page
}

// What pages say is what they say in mm over 25.4: totals, limits, tables, advice,
// hints, what a slider writes, a picture's axis.
func TestInches_Numbers(t *testing.T) {
	casetest.OneByOne(t)
	inches, mm := withBook(t, inInches), withBook(t)
	in, metric := inches.refittedNeck(), mm.refittedNeck()
	for _, c := range []struct{ page, inches, mm string }{
		{"/plan?seated=19", "38 crowns, 1.5 thou at most, 11.5 thou in all", "38 crowns, 37 µm at most, 0.291 mm in all"},
		{"/plan?seated=19", "Amounts in thou", "Amounts in µm"},
		{"/plan?seated=19", `aria-label="fret 19, lane 6: take off 1.2 thou"`, `aria-label="fret 19, lane 6: take off 30 µm"`},
		{"/plan?seated=19", "<td>0.0457 in</td>", "<td>1.16 mm</td>"},
		{"/play?raise=0.25&state=read", "+9.8 thou", "+0.25 mm"},
		{"/play?raise=0.25&state=read", `value="0.25"`, `value="0.25"`}, // what is sent stays
		{"/play?raise=0.25&state=read", `data-unit="thou" data-per="39.37007874015748" data-digits="1"`, `data-unit="mm" data-per="1" data-digits="2"`},
		{"/play?raise=0.25&state=read", "first string 0.0650 in, last string 0.0807 in", "first string 1.65 mm, last string 2.05 mm"},
		{"", "each within 1.2 thou", "each within 30 µm"},
		{"copy", `value="640 mm"`, `value="640 mm"`}, // a file's sizes stay
		{"copy", "5.91 to 78.74 in", "150 to 2000 mm"},
		{"copy", `default &#34;0.0118 in&#34;`, `default &#34;0.30 mm&#34;`},
		{"/gauge", `value="in" checked`, `value="mm" checked`},
	} {
		if page := strings.ReplaceAll(inches.sees(pageOf(in, c.page)), "&#43;", "+"); !strings.Contains(page, c.inches) {
			t.Errorf("%s in inches does not say %q", c.page, c.inches)
		}
		if page := strings.ReplaceAll(mm.sees(pageOf(metric, c.page)), "&#43;", "+"); !strings.Contains(page, c.mm) {
			t.Errorf("%s in mm does not say %q", c.page, c.mm)
		}
	}
	inches.sees("/book/drift.svg?of=zone&stage=seated", "value, thou")
	mm.sees("/book/drift.svg?of=zone&stage=seated", "value, mm")
	fresh := newTry(t, inInches) // no pass was asked for yet
	begun := fresh.send("/necks", "heron.toml", example(t, "heron.toml"), "from", "file", "serial", "0413").Header().Get("Location")
	fresh.sees(begun, `value="in" checked`, "Begin: beam, all lanes, inch")
	pdf := [2]string{body(inches.get(in + "/plan.pdf?seated=19")), body(mm.get(metric + "/plan.pdf?seated=19"))}
	if pdf[0] == pdf[1] || !strings.HasPrefix(pdf[0], "%PDF") {
		t.Error("the printed plan is the same in both units")
	}
}

// A slider's answer is in inches too.
func TestInches_Tried(t *testing.T) {
	casetest.OneByOne(t)
	b := newTry(t, inInches)
	r := httptest.NewRequest(http.MethodGet, b.readNeck()+"/play/try?raise=0.25&state=read", nil)
	r.Header.Set("Accept", "application/json")
	if got := body(b.do(r)); !strings.Contains(got, `"actions":"first string 0.0650 in, last string 0.0807 in"`) || metric().MatchString(got) || !strings.Contains(got, " thou left") {
		t.Error(got)
	}
}

// What was typed on a gauge in mm is said in mm again, to be held against the gauge;
// what follows from it is in inches.
func TestInches_AsTyped(t *testing.T) {
	b := newTry(t, inInches)
	path := b.open()
	r := posted(path+"/read", "do", "keep", "pass", "1", "at", "7@1", "seen", "9", "reading", "0,442")
	r.Header.Set("Accept", "application/json")
	if said := body(b.do(r)); !strings.Contains(said, `"said":"Saved 0.442 mm at fret 7`) || strings.Contains(said, typedMark) {
		t.Error(said)
	}
	text := b.sees(path+"?pass=1&at=7@1", "reading: 0.442 mm", "0.442 mm at fret 7")
	if strings.Contains(text, typedMark) || strings.Contains(text, "µm") {
		t.Error(text)
	}
}
