package sqlite

import (
	"net/url"
	"testing"
)

// TestAddress_EachSystem: sqlite.org/uri.html, section 3.2, has the forms of a
// drive and of another machine's share.
func TestAddress_EachSystem(t *testing.T) {
	for _, c := range []struct{ system, path, want string }{
		{"linux", "/home/ines/book.db", "file:///home/ines/book.db?mode=rw"},
		{"linux", "/home/ines/a?b #1 50%/böok.db", "file:///home/ines/a%3Fb%20%231%2050%25/b%C3%B6ok.db?mode=rw"},
		{"linux", `/home/ines/back\slash.db`, "file:///home/ines/back%5Cslash.db?mode=rw"},
		{"darwin", "/Users/ines/Library/Application Support/ringtrue/book.db", "file:///Users/ines/Library/Application%20Support/ringtrue/book.db?mode=rw"},
		{"windows", `C:\Users\ines\AppData\Local\ringtrue\book.db`, "file:///C:/Users/ines/AppData/Local/ringtrue/book.db?mode=rw"},
		{"windows", `D:\Inês 50%\book.db`, "file:///D:/In%C3%AAs%2050%25/book.db?mode=rw"},
		{"windows", `\\bench\shop\book.db`, "file:////bench/shop/book.db?mode=rw"},
	} {
		if got := address(c.system, c.path, url.Values{"mode": {"rw"}}); got != c.want {
			t.Errorf("%s %s:\n got %s\nwant %s", c.system, c.path, got, c.want)
		}
	}
}
