package draw

import (
	"bytes"
	"io"
	"testing"
)

// TestWritePDFPages: as many pages as given, the fonts held once, the same
// bytes twice.
func TestWritePDFPages(t *testing.T) {
	pages := func() []*Page {
		p := samplePage(t)
		q := p.Next(100, 50)
		q.Text(10, 10, "second 123", Type{SizePt: 9, Bold: true})
		return []*Page{p, q}
	}
	write := func(w io.Writer) error { return WritePDFPages(w, pages()) }
	got := written(t, write)
	if n := bytes.Count(got, []byte("/Type /Page\n")); n != 2 {
		t.Errorf("%d pages, want 2", n)
	}
	if n := bytes.Count(got, []byte("/FontFile2 ")); n != 2 { // regular and bold
		t.Errorf("%d fonts, want 2", n)
	}
	if !bytes.Equal(got, written(t, write)) {
		t.Error("the same pages give other bytes")
	}
	if err := WritePDFPages(io.Discard, nil); err == nil {
		t.Error("a document without a page was written")
	}
	if err := WritePDFPages(fullDisk{}, pages()); err == nil {
		t.Error("a full disk went unnoticed")
	}
}
