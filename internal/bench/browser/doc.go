// Package browser holds no code of its own: its tests drive the bench's pages
// in a real browser, Debian's Chromium without a screen, as a maker would with
// keys, mouse and fingers.
//
// RINGTRUE_TEST_PICTURES names a folder to which TestPictures writes every page
// in three widths, light and dark, to look at. The benchmarks measure how soon
// a page and a reading are there.
package browser
