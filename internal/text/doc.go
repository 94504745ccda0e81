// Package text is the catalogue: every sentence that answers a question, in one
// place. Verdicts' words, findings, advice, reasons, cautions, notes. What the
// domain gives as a code with its numbers becomes a sentence here and nowhere
// else; error strings stay beside the fault.
//
// A file an area. Functions take codes and numbers and return sentences, so that
// the compiler sees a missing word and vet a verb that does not fit; it works
// nothing out. The texts of the pages, which templates look up by key, are
// en/pages.toml.
package text
