package cli

import (
	"net"
	"net/netip"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// hostNames are the names by which other machines may find this one: its own, and
// the one that many networks know without a server of names (RFC 6762).
func hostNames() []string {
	name, err := os.Hostname()
	name = strings.ToLower(strings.TrimSuffix(name, "."))
	if err != nil || name == "localhost" || !regexp.MustCompile(`^[a-z0-9]([a-z0-9.-]*[a-z0-9])?$`).MatchString(name) {
		return nil
	}
	if strings.Contains(name, ".") {
		return []string{name}
	}
	return []string{name + ".local", name}
}

// benchNames are the names that the bench answers to beside its addresses.
func benchNames(share bool, c *certificate) (names []string) {
	if share {
		names = hostNames()
	}
	if c != nil {
		for _, n := range c.names {
			if !slices.Contains(names, strings.ToLower(n)) {
				names = append(names, strings.ToLower(n))
			}
		}
	}
	return names
}

// benchCalls are the addresses to open, the best first: by number, which needs
// nothing of the network, then by name, which outlives a change of number. Where
// there is a certificate, those that it is for.
func benchCalls(at net.Addr, own []netip.Addr, names []string, c *certificate) []string {
	p, err := netip.ParseAddrPort(at.String())
	if err != nil {
		return []string{"http://" + at.String()}
	}
	scheme, port := "http://", strconv.Itoa(int(p.Port()))
	if c != nil {
		scheme = "https://"
	}
	first := callable(p.Addr().Unmap(), own)
	var calls []string
	add := func(host string) {
		if call := scheme + net.JoinHostPort(host, port); c.covers(host) && !slices.Contains(calls, call) {
			calls = append(calls, call)
		}
	}
	add(first.String())
	for _, a := range own {
		if a.Is4() && !a.IsLoopback() {
			add(a.String())
		}
	}
	if !first.IsLoopback() || c != nil {
		for _, n := range names {
			if c != nil || strings.Contains(n, ".") { // a name alone is rarely known on a phone
				add(n)
			}
		}
	}
	if len(calls) == 0 { // a certificate for none: fits has said so
		calls = []string{scheme + net.JoinHostPort(first.String(), port)}
	}
	return calls
}

// callable is the address to open: the first that other machines can call, else
// loopback.
func callable(a netip.Addr, own []netip.Addr) netip.Addr {
	if !a.IsUnspecified() {
		return a
	}
	a = netip.AddrFrom4([4]byte{127, 0, 0, 1})
	for _, o := range own {
		if !o.IsLoopback() && (!a.Is4() || a.IsLoopback()) {
			a = o
		}
	}
	return a
}
