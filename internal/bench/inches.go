package bench

import (
	"bytes"
	"math"
	"regexp"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/sheet"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// Pages are made in mm and turned into inches as a whole, where the shop works in
// them: all that is read or heard, nothing that is typed or kept.

// shown is a page, or a part of one, in the shop's unit.
func (l *renderer) shown(page []byte) []byte {
	if !l.inches {
		return page
	}
	var out bytes.Buffer
	for rest := string(page); rest != ""; {
		words, tag, after := cutTag(rest)
		out.WriteString(text.Inches(words))
		out.WriteString(l.shownTag(tag))
		rest = after
		if name := tagName(tag); asWritten(name, tag) {
			inner := elementEnd(rest, name)
			out.WriteString(rest[:inner])
			rest = rest[inner:]
		}
	}
	return bytes.ReplaceAll(out.Bytes(), []byte(typedMark), nil)
}

// said are words outside a page, in the shop's unit.
func (l *renderer) said(words string) string {
	if l.inches {
		return strings.ReplaceAll(text.Inches(words), typedMark, "")
	}
	return words
}

// typedMark keeps a length as it is until the page is made: a word joiner, which no
// word has.
const typedMark = "\u2060"

// asTyped keeps lengths as the gauge showed them and a hand typed them, so that they
// can be held against it: what was typed in mm is said in mm.
func (l *renderer) asTyped(words string) string {
	if !l.inches {
		return words
	}
	return strings.ReplaceAll(words, " mm", " "+typedMark+"mm")
}

// cutTag cuts HTML at its first tag: words before it, the tag, what comes after.
func cutTag(html string) (words, tag, rest string) {
	from := strings.IndexByte(html, '<')
	if from < 0 {
		return html, "", ""
	}
	quoted := false
	for i := from; i < len(html); i++ {
		switch {
		case html[i] == '"':
			quoted = !quoted
		case html[i] == '>' && !quoted:
			return html[:from], html[from : i+1], html[i+1:]
		}
	}
	return html, "", ""
}

// tagName is the name of the element that a tag opens; "" of any other tag.
func tagName(tag string) string {
	if len(tag) < 3 || tag[1] == '/' || tag[1] == '!' {
		return ""
	}
	return tag[1 : 1+strings.IndexAny(tag[1:], " \n\t/>")]
}

// asWritten tells an element whose words are those of a file, or a unit's own.
func asWritten(name, tag string) bool {
	switch name {
	case "":
		return false
	case "textarea", "code", "pre", "script", "style":
		return true
	}
	return strings.Contains(tag, ` translate="no"`)
}

// elementEnd is where an element's end tag begins in what comes after its tag;
// elements of its own name stand in none of those that stay as written.
func elementEnd(html, name string) int {
	if end := strings.Index(html, "</"+name); end >= 0 {
		return end
	}
	return len(html)
}

// spokenAttribute finds what a tag says aloud.
func spokenAttribute() *regexp.Regexp { return regexp.MustCompile(` (aria-label|alt|title)="[^"]*"`) }

func (l *renderer) shownTag(tag string) string {
	if !strings.Contains(tag, "mm") && !strings.Contains(tag, "µm") {
		return tag
	}
	return l.spoken.ReplaceAllStringFunc(tag, text.Inches)
}

// heightsIn is the unit of heights that goes with a pass's gauge, or the shop's.
func (l *renderer) heightsIn(p *draft.Pass) heightUnit {
	if l.inches || p != nil && p.Unit == "in" {
		return heightUnit{"thou", 1000 / unit.MMPerInch, 1}
	}
	return heightUnit{"µm", 1000, 0}
}

// sheetUnits is the unit of pictures that go with no pass.
func (l *renderer) sheetUnits() sheet.Units {
	if l.inches {
		return sheet.Thousandths
	}
	return sheet.Micrometres
}

// sizes is the unit of the lengths of a table whose heading names it: small ones in
// thousandths.
func (l *renderer) sizes(small bool) sizeUnit {
	switch {
	case !l.inches:
		return sizeUnit{"mm", 1, 0}
	case small:
		return sizeUnit{"thou", 1000 / unit.MMPerInch, -1}
	}
	return sizeUnit{"inches", 1 / unit.MMPerInch, 1}
}

// sizeUnit is a unit of lengths: so many of it in a mm, and how many more decimals
// than a number of mm its numbers have.
type sizeUnit struct {
	Name  string
	PerMM float64
	more  int
}

// Digits are the decimals of a number that has so many in mm.
func (u sizeUnit) Digits(inMM int) int { return max(0, inMM+u.more) }

// typed writes lengths as a neck file takes them: in inches, never thousandths.
func (l *renderer) typed(words string) string {
	if !l.inches {
		return words
	}
	return regexp.MustCompile(`[\d.]+ thou\b`).ReplaceAllStringFunc(text.Inches(words), func(s string) string {
		v, err := unit.Number(strings.TrimSuffix(s, " thou"))
		if err != nil {
			return s
		}
		return unit.Decimal(math.Round(v*1e3)/1e6) + " in"
	})
}
