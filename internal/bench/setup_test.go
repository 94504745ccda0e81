package bench

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
)

// measuredQuery is a form filled in for every string.
func measuredQuery(first, action string) string {
	q := url.Values{"unit": {"mm"}}
	for i := 1; i <= 6; i++ {
		q.Set(fmt.Sprintf("first%d", i), first)
		q.Set(fmt.Sprintf("action%d", i), action)
	}
	return "?" + q.Encode()
}

// The page asks for what was measured, the bass left; sent, it says what to take off,
// keeps what was typed, and gives the sheet to print.
func TestSetup_Sheet(t *testing.T) {
	casetest.OneByOne(t)
	b := newTry(t, nil)
	path := b.open()
	empty := b.sees(path+"/setup", "Set-up sheet", "What you measured, mm", `name="held6"`, "taken as perfect")
	if strings.Index(empty, `name="first6"`) > strings.Index(empty, `name="first1"`) {
		t.Error("the form has the treble left")
	}
	if strings.Contains(empty, "verdict") {
		t.Error("an empty form has a verdict")
	}
	query := measuredQuery("0,70", "2.4")
	said := b.sees(path+"/setup"+query, "Take saddle and nut down", "Set up like this, at touch &#34;firm&#34;, perfect crowns:", "is not clear at the wanted", `value="0,70"`, "Check the rod again", `<th scope="row">nut slot</th>`)
	first := said[strings.Index(said, `id="setup-first"`):]
	if i, j := strings.Index(first, "6 E2"), strings.Index(first, "1 E4"); i < 0 || i > j {
		t.Error("the sheet has the treble left")
	}
	b.sees(path+"/setup"+query+"&lowest=1", "Set up like this, at touch &#34;firm&#34;, perfect crowns: 138 clear", "Set as low as every note is clear")
	for _, paper := range []string{"", "&paper=letter"} {
		if w := b.get(path + "/setup.pdf" + query + paper); w.Code != http.StatusOK || !strings.HasPrefix(w.Body.String(), "%PDF-") {
			t.Errorf("%q: %d, %.20s", paper, w.Code, w.Body)
		}
	}
	for name, want := range map[string]string{
		"/setup" + measuredQuery("x", "2"):                                                      "String 6, over fret 1: x is not a valid size.",
		"/setup" + measuredQuery("0.6", "-2"):                                                   "-2 is not a valid size",
		"/setup" + measuredQuery("0.6", "20"):                                                   "Every string over fret 12: 20 mm? It is 6 mm at most on any neck. Type it again.",
		"/setup" + strings.Replace(measuredQuery("0.6", "2.1"), "action1=2.1", "action1=20", 1): "String 1 over fret 12: 20 mm? The others have 2.1 mm. Type it again.",
		"/setup.pdf" + measuredQuery("4", "2"):                                                  "Every string over fret 1: 4 mm?",
		"/setup" + strings.Replace(measuredQuery("0.02", "0.8"), "unit=mm", "unit=in", 1):       "Every string over fret 12: 0.8 in? It is 0.2362 in at most",
		"/setup?unit=mm&action6=2":                                                              "string 6: neither first_gap nor held_gap",
		"/setup?unit=mm&shows6=2":                                                               "Nothing measured yet",
		"/setup.pdf?unit=mm":                                                                    "Nothing measured yet",
		"/setup.pdf" + measuredQuery("0.6", "2") + "&paper=x":                                   "paper",
	} {
		if w := b.get(path + name); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), want) {
			t.Errorf("%s: %d, without %q", name, w.Code, want)
		}
	}
}

// The frets read go into the sheet: of a neck that is not level they come first.
func TestSetup_Readings(t *testing.T) {
	b := newTry(t, nil)
	path := b.readNeck()
	said := b.sees(path+"/setup"+measuredQuery("0.6", "2.4"), "Frets first, then the set-up", "Level the frets first")
	if strings.Contains(said, "setup-first") {
		t.Error("says what to cut before the frets are level")
	}
}
