package internal

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"
)

// avoided is a turn that a maker stumbles over.
type avoided struct {
	say  string // in its place
	bad  string // a pattern
	fine string // where bad is right: left out of a text before the search
}

// avoidedWords are turns to avoid. What stays right in its plain sense (a crown stands
// proud, a tang is held, a neck is in hand) has its pattern beside it.
func avoidedWords() []avoided {
	return []avoided{
		{"no such …, or … is not a …", `\b(is|are) none\b`, `\bthere (is|are) none\b`},
		{"… is not a …", `\b(is|are) no [\w%]`, `\b(there|here) (is|are) no\b|\b(is|are) no longer\b`},
		{"is, lies, appears, is used", `\b(stands?|stood|standing)\b`,
			`\bst(ands?|ood|anding)( at least| at most| up to| about)?( %[\d.]*[a-z]| \d[\d.]*)?( mm)?( or more)?( too)? (proud|high|higher|low|lower|square|up|out|for)\b` +
				`|\b(feet|foot|gauge|it|they)( that)? stands?\b( apart)?|^stands? for`},
		{"needs, should be", `\bwanted are\b|\b(is|are) wanted\b|\bwants (an?|the|no|u|two|three|less|more|%|\d)\b`, ``},
		{"has, is in, contains", `\bholds? (no|an?|all|nothing|both|every|its|two|three|more|readings?|letters|of|%[\d.]*[a-z]|\d)\b|\bthat (the \w+|the \w+ NAME) holds\b|\bholds (the|only) \w+ (of|in)\b`,
			`\beach holds\b`},
		{"has, can take", `\b(bears?|carr(y|ies))\b`, `\bbear all along\b|\bcarry on\b`},
		{"again; permanently", `\banew\b|\bonce more\b|\bfor good\b`, ``},
		{"not determined", `\bleft open\b|\bopen crowns?\b|\b(crowns?|places|frets)( are| is)?( still)? open\b`, ``},
		{"how many, N, this far", `\bso many\b|\bso far (behind|off|short|apart|from|that|as|out|under|over)\b|\b(by|only|and) so far\b`, ``},
		{"enough readings, or not", `\b(be|is|are|was|were|been|only|not) told\b|\btells? it\b|\b(cannot|can't|do not|don't) tell\b`, `\b(cannot|can't) tell [^,;.]* apart\b`},
		{"", `\bit is there\b`, ``},
		{"note", `(^|\n)mind:?(\n|$)`, ``},
		{"is, becomes", `\bcomes? to be\b`, ``},
		{"start, in progress", `\b(into|in) work\b`, ``},
		{"is shown", `\bis heard\b`, `\b(note|string|sound|buzz|fret|what|%s|%d) is heard\b`},
		{"calculate", `\breckon(s|ed|ing)?\b`, ``},
		{"or, otherwise", `\belse\b`, `\b(no|any|every|some)(thing| one|one|body|where) else\b`},
		{"apart from", `\bbut for\b|\bsave for\b`, ``},
		{"rather", `\b(would|'d) sooner\b`, ``},
		{"intact, undamaged", `\b(is|are|was|were|be|all|not|out|stays?) whole\b`, `\bwhole (number|neck|fret)`},
		{"operator, person, who reads", `\b(these|other|another|each|every|which|any|one|two|several|changing|different|no|same|%s) hands?\b|\bhands (differ|read|may|in general|are)\b|\bhand (and|against) hand\b|\bgauge and hands?\b`,
			`\bone hand on\b`},
		{"one per row", `\b(an?|one)( \w+)? an? (row|line|lane|fret|column|crown|pass|neck|string|file)\b`, ``},
		{"read again", `\btak(e|en|es|ing)\b( \S+){0,5} again\b|\bretakes?\b`, `\btak(e|en|es|ing)\b( \S+)* off\b`},
		{"save, saved", `\bput(s|ting)?( \S+){0,5} in(to)? (the|an?|any) book\b|\bput it in\b|\bnot kept\b|\b(last kept|kept before|kept here)\b|\bnothing was kept\b|\bkept, but\b|\btaken? down\b|^keep it in the book`, ``},
		{"take off", `\b(comes?|come) off\b|\bremovals?\b`, ``},
		{"shift", `\bsteps? of the level\b|\ba step at neck\b`, ``},
		{"comment", `\bremarks?\b`, ``},
		{"you", `\bthe maker\b|\bsomebody\b|\bwho would\b`, ``},
		{"computer", `\bthis machine\b`, ``},
		{"the caution of text/cautions.go", `\bnickel dust\b|\bfilings and (nickel )?dust\b|\bdust of hardwoods\b`, ``},
		{"about", `\bnear enough\b`, `\bnear enough to\b`},
		{"another pass, a new pass", `\ba pass of its own\b`, ``},
		{"per …", `(%s|\bmm|%%) an? (fret|string|lane|neck|row|note)\b`, ``},
		{"you, a pluck, anyone", `\b(a|the) hand (can|could|was|were|from|of \S+ times|\S+ times)\b`, ``},
		{"if the columns don't say", `\bleaves? it open\b`, ``},
		{"not level, in doubt …", `—`, ``},
	}
}

// turn is a turn to avoid, ready for the search.
type turn struct {
	say       string
	bad, fine *regexp.Regexp
}

var turns = sync.OnceValue(func() (all []turn) {
	for _, a := range avoidedWords() {
		all = append(all, turn{a.say, regexp.MustCompile(`(?i)` + a.bad), regexp.MustCompile(`(?i)` + a.fine)})
	}
	return all
})

// longest is how long a phrase of a kind may be, in letters; what is put in for verbs
// does not count.
func longest() map[kind]int {
	return map[kind]int{fault: 100, summary: 60, option: 70, heading: 45}
}

// What the program says is plain, and short enough to be read at the bench.
func TestWords_PlainAndShort(t *testing.T) {
	all := phrases(t)
	count := map[kind]int{}
	for _, p := range all {
		count[p.kind]++
		if exempt(p) {
			continue
		}
		for _, f := range faultsOf(p.kind, p.text) {
			t.Errorf("%s/%s: %s: %q", p.room, p.where, f, p.text)
		}
	}
	for k, least := range map[kind]int{sentence: 3000, fault: 900, summary: 40, option: 230, message: 500, heading: 90, button: 40} {
		if count[k] < least {
			t.Errorf("%d phrases of kind %d found: the search is broken", count[k], k)
		}
	}
}

// exempt are phrases that no person reads as a sentence.
func exempt(p phrase) bool {
	switch {
	case p.room == "book/booktest", p.room == "casetest": // faults of a test
		return true
	case strings.Contains(p.text, "-src '"), strings.Contains(p.text, `="`) && strings.Contains(p.text, "%"): // a policy, a drawing's code
		return true
	}
	return regexp.MustCompile(`^(SELECT|INSERT|UPDATE|DELETE|CREATE|ALTER) `).MatchString(p.text)
}

// faultsOf says what is wrong with a phrase.
func faultsOf(k kind, text string) (faults []string) {
	for _, t := range turns() {
		rest := text
		if t.fine.String() != "(?i)" {
			rest = t.fine.ReplaceAllString(text, "…")
		}
		if found := t.bad.FindString(rest); found != "" {
			faults = append(faults, fmt.Sprintf("has %q; use: %s", found, t.say))
		}
	}
	bare := regexp.MustCompile(`%[-+# 0]*[\d.*]*(\[\d\])?[a-zA-Z]`).ReplaceAllString(strings.ReplaceAll(text, "%%", "%"), "")
	bare = strings.TrimSpace(bare)
	if most, ok := longest()[k]; ok && utf8.RuneCountInString(bare) > most {
		faults = append(faults, fmt.Sprintf("has %d letters, at most %d", utf8.RuneCountInString(bare), most))
	}
	switch k {
	case summary, option, heading:
		if strings.HasSuffix(text, ".") || k == summary && strings.HasSuffix(text, "?") {
			faults = append(faults, "ends in a full stop")
		}
	case fault:
		if strings.HasSuffix(text, ".") || regexp.MustCompile(`^[A-Z]([a-z]+)?\b`).MatchString(text) {
			faults = append(faults, "is not lower case without a full stop")
		}
	case message:
		if len(regexp.MustCompile(`[a-z)][.?!]( |$)`).FindAllString(bare, -1)) > 2 {
			faults = append(faults, "has more than two sentences")
		}
	case sentence:
		if n := len(strings.Fields(bare)); n > 8 && bare == strings.ToUpper(bare) && bare != strings.ToLower(bare) {
			faults = append(faults, fmt.Sprintf("is a headline of %d words, at most 8", n))
		}
	case button:
		if n := len(strings.Fields(bare)); n > 3 {
			faults = append(faults, fmt.Sprintf("has %d words, at most 3", n))
		}
	}
	if k == summary && regexp.MustCompile(`^(are|is|can|will|does|what|every|numbers)\b`).MatchString(strings.ToLower(text)) {
		faults = append(faults, "does not start with a verb")
	}
	for _, s := range regexp.MustCompile(`[.:;?!]\s|\n\n|\n  `).Split(text, -1) {
		if n := len(strings.Fields(s)); n > 28 || n > 24 && k != sentence {
			faults = append(faults, fmt.Sprintf("has a sentence of %d words, most have 20 at most", n))
		}
	}
	messages := []string{text}
	if k == sentence { // it may be a page of help
		messages = regexp.MustCompile(`[.:]\s|\n\n`).Split(text, -1)
	}
	for _, m := range messages {
		if strings.Count(strings.TrimPrefix(m, "; "), "; ") > 1 {
			faults = append(faults, "has more than one semicolon")
		}
	}
	return faults
}
