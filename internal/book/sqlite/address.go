package sqlite

import (
	"net/url"
	"strings"
)

// address is the URI by which SQLite opens a file on a system (a GOOS), with
// what is kept per connection. Source: "Uniform Resource Identifiers", sections 3.1 and 3.2,
// sqlite.org/uri.html.
func address(system, abs string, q url.Values) string {
	if system == "windows" {
		// file:///C:/Users/ines/book.db: without the third slash the drive would
		// be taken for another machine, which SQLite refuses.
		abs = strings.ReplaceAll(abs, `\`, "/")
		if !strings.HasPrefix(abs, "/") {
			abs = "/" + abs
		}
	}
	u := url.URL{Scheme: "file", Path: abs, RawQuery: q.Encode()}
	return u.String()
}
