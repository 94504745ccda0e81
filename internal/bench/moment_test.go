package bench

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/drift"
)

// A time says that it is in UTC, and gives the script the moment to turn.
func TestMoment(t *testing.T) {
	at := time.Date(2026, 3, 4, 1, 6, 7, 0, time.FixedZone("", 2*3600))
	if got := string(moment(at)); got != `<time datetime="2026-03-03T23:06:07Z" data-form="moment">2026-03-03 23:06 UTC</time>` {
		t.Error(got)
	}
	if got := string(day(at)); got != `<time datetime="2026-03-03T23:06:07Z" data-form="day">2026-03-03</time>` {
		t.Error(got)
	}
	b := newTry(t, nil)
	b.open()
	b.sees("/", `<time datetime="2026-03-04T05:06:07Z" data-form="moment">2026-03-04 05:06 UTC</time>`)
}

// The first page lists what fits; how many more there are is the link to them.
func TestHome_MoreIsALink(t *testing.T) {
	b := newTry(t, nil)
	const necks = 2*maxListed + 10
	for n := range necks {
		if _, err := b.folder.Begin("heron.toml", example(t, "heron.toml"), fmt.Sprintf("N%03d", n), ""); err != nil {
			t.Fatal(err)
		}
	}
	seen := map[string]bool{}
	for page, left := range map[string]string{"/": `<a class="button" href="/?find=&amp;from=40">50 more</a>`, "/?from=40": `<a class="button" href="/?find=&amp;from=80">10 more</a>`, "/?from=80": "", "/?from=x": "50 more", "/?from=-3": "50 more"} {
		text := b.sees(page, left)
		if left == "" && strings.Contains(text, "more</a>") {
			t.Errorf("%s leads on", page)
		}
		for n := range necks {
			if s := fmt.Sprintf("<strong>N%03d</strong>", n); strings.Contains(text, s) {
				seen[s] = true
			}
		}
		if n := strings.Count(text, `class="neckrow"`); n == 0 || n > maxListed {
			t.Errorf("%s lists %d", page, n)
		}
	}
	if len(seen) != necks {
		t.Errorf("%d necks are to be found", len(seen))
	}
}

// Signals beyond the first are a link too.
func TestDrift_MoreIsALink(t *testing.T) {
	b := newTry(t, nil)
	const rest = `<a href="/book/drift?by=&amp;fret=&amp;of=zone&amp;stage=seated&amp;all=yes">and 12 more</a>`
	for all, listed := range map[bool]int{false: maxAdvice, true: maxAdvice + 12} {
		d := driftBody{driftAsked: driftAsked{Of: "zone", Stage: "seated"}, Chart: &answer.DriftAnswer{}}
		d.tell(make([]drift.Signal, maxAdvice+12), all)
		text, err := b.part("drift", "main", d)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(text, rest) == all || strings.Count(text, "<li>Neck ") != listed {
			t.Errorf("all %t: %d listed: %s", all, strings.Count(text, "<li>Neck "), text)
		}
	}
}
