package bench

import (
	"net/http"
	"strconv"
)

// listed is the piece of a long list that a page shows, and the link to the rest.
type listed struct {
	From, To int
	Left     int
	More     string // empty: this is the end
}

// listedOf takes the piece that a request asks for: at most so many of n.
func listedOf(r *http.Request, path string, n, most int) listed {
	from, err := strconv.Atoi(r.FormValue("from"))
	if err != nil || from < 0 || from >= n {
		from = 0
	}
	l := listed{From: from, To: min(n, from+most)}
	if l.Left = n - l.To; l.Left > 0 {
		l.More = path + "?from=" + strconv.Itoa(l.To)
	}
	return l
}
