// Package draw puts marks and text on a page of given size and writes the page
// as SVG, PDF or PNG, or writes a picture that stretches into a page of a browser
// (Screen). It knows nothing of necks.
//
// Places and sizes are in mm, x to the right and y down from the page's top left
// corner; type sizes are in points. SVG and DXF are written here, PDF by
// codeberg.org/go-pdf/fpdf, PNG by the rasteriser of golang.org/x/image.
//
// The same calls give the same bytes: no clock, no order of a map, places
// rounded to 0.01 mm. (PDF and PNG are compressed by the Go release's own
// library and may differ between releases; SVG does not.)
//
// Letters are those of the Go fonts (Bigelow & Holmes, BSD licence), which share
// the widths of Helvetica and Arial: digits are 0.556 em in all of them. The PDF
// holds the subset it uses, the PNG its pixels. The SVG holds no font, which
// would be 198 kB of it, and no outlines, which can be neither searched nor
// read aloud: it holds the text, anchored where it was anchored, in a family
// list of that width. A reader without any of these shows its own sans-serif;
// DejaVu Sans, the widest usual one, is 13 % wider in words and 24 % in short
// numbers, so leave that much room.
package draw
