package bench

import (
	"net/http"
	"net/netip"
	"time"
)

// tries slows down the addresses that send wrong codes, each by itself.
type tries struct{ by map[netip.Prefix]tried }

type tried struct {
	wrong int
	until time.Time // it may try again then
}

// freeTries are wrong codes without a wait: a hand mistypes.
const freeTries = 5

// longest wait, and for how many addresses waits are remembered.
const (
	longestWait = time.Minute
	maxTried    = 4096
)

// network is what one sender has: of IPv6 a whole network of addresses.
func network(a netip.Addr) netip.Prefix {
	if a.Is4() {
		return netip.PrefixFrom(a, 32)
	}
	p, _ := a.WithZone("").Prefix(64)
	return p
}

// wait is how long an address has to wait before its next try.
func (t *tries) wait(from netip.Addr, now time.Time) time.Duration {
	return t.by[network(from)].until.Sub(now)
}

// wrong notes a wrong code. From the sixth on each wait is twice the last, up to
// a minute.
func (t *tries) wrong(from netip.Addr, now time.Time) {
	if len(t.by) >= maxTried {
		for n, d := range t.by {
			if now.Sub(d.until) > longestWait {
				delete(t.by, n)
			}
		}
	}
	if t.by == nil || len(t.by) >= maxTried {
		t.by = map[netip.Prefix]tried{}
	}
	d := t.by[network(from)]
	d.wrong++
	d.until = now
	if over := d.wrong - freeTries; over >= 0 {
		d.until = now.Add(min(longestWait, time.Second<<min(over, 6)))
	}
	t.by[network(from)] = d
}

func (t *tries) right(from netip.Addr) { delete(t.by, network(from)) }

// caller is the address that sent a request.
func caller(r *http.Request) netip.Addr {
	p, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return netip.IPv6Unspecified()
	}
	return p.Addr().Unmap()
}
