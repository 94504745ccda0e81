package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"
	"rsc.io/qr"

	"ringtrue/internal/bench"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/book"
	"ringtrue/internal/book/postgres"
)

// benchOptions are the flags of `bench`.
type benchOptions struct {
	listen, book, keep string
	cert, key          string
	share              bool
	gauge              gaugeLine
}

func newBenchCommand(s *streams) *cobra.Command {
	var o benchOptions
	c := &cobra.Command{
		Use:   "bench",
		Short: "Serve the pages for reading a neck at the bench",
		Long: `bench serves pages for a tablet, a phone or an old laptop. They lead from crown to
crown, take what you or the gauge types, and show at once what it means. Every
reading is on disk before the page says so.

A gauge that types like a keyboard needs no option. --gauge reads one on a serial
line, also through USB: its readings are saved at the crown that the page shows.

Only this computer can connect. With --share, other screens on your network can too:
each pairs itself with a code that works once. The page "Phone and other screens"
shows the code for a phone to scan. What goes over the network is not encrypted, so
share only on one you trust.

With --cert and --key the bench speaks https with your own certificate. Then a page
can also keep a phone's screen awake. docs/phone.md says how to make one.`,
		Example: `  ringtrue bench
  ringtrue bench --share --listen 0.0.0.0:8021
  ringtrue bench --share --listen 0.0.0.0:8021 --cert bench.pem --key bench-key.pem
  ringtrue bench --gauge /dev/ttyUSB0 --gauge-speed 4800,7e2
  ringtrue bench --gauge COM3 --gauge-line "H=(?P<mm>[-+]\S+);"`,
		Args: exactly(0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error { return runBench(c.Context(), s, o) },
	}
	f := c.Flags()
	f.StringVar(&o.listen, "listen", "127.0.0.1:8021", "`ADDRESS` and port; port 0 picks a free one")
	f.BoolVar(&o.share, "share", false, "let other screens in, each paired with a one-time code")
	f.StringVar(&o.keep, "keep", "", "`FOLDER` for the necks in progress (default: bench, beside the book)")
	o.gauge.flags(f)
	f.StringVar(&o.cert, "cert", "", "speak https with the certificate in `FILE` (PEM); needs --key")
	f.StringVar(&o.key, "key", "", "the certificate's private key, a `FILE` (PEM)")
	bookFlag(f, &o.book)
	return c
}

func runBench(ctx context.Context, s *streams, o benchOptions) (err error) {
	s.edge.seesToItsEnd()
	gauge, err := o.gauge.open()
	if err != nil {
		return err
	}
	cert, err := benchCertificate(o.cert, o.key, time.Now())
	if err != nil {
		return err
	}
	l, err := listen(ctx, o)
	if err != nil {
		return err
	}
	defer l.Close() // Serve has closed it where it came that far
	addresses := ownAddresses(l.Addr())
	if err := cert.fits(o.cert, addresses); err != nil {
		return err
	}
	shop, _, err := s.shopFile(o.book)
	if err != nil {
		return err
	}
	store, why, err := s.benchBook(ctx, o.book)
	if err != nil {
		return err
	}
	if store != nil {
		defer func() {
			if closeErr := store.Close(); err == nil && closeErr != nil {
				err = failuref("%s: %w", store.Where(), closeErr)
			}
		}()
	}
	folder, err := s.benchFolder(o)
	if err != nil {
		return err
	}
	defer func() {
		if closeErr := folder.Close(); err == nil && closeErr != nil {
			err = failuref("%w", closeErr)
		}
	}()
	names := benchNames(o.share, cert)
	calls := benchCalls(l.Addr(), addresses, names, cert)
	show := benchTalk{s: s, at: calls[0]}
	if err := show.address(); err != nil {
		return err
	}
	server, err := bench.New(bench.Config{
		Folder: folder, Book: store, NoBook: why, Shop: shop, Inches: s.inches, Program: Version(), Now: time.Now, Log: s.errOut,
		Share: o.share, Addresses: addresses, Names: names, Calls: calls, Secure: cert != nil, Code: show.code, Screens: folder.Path("screens.json"), Gauge: gauge,
	})
	if err != nil {
		return err
	}
	if err := server.Serve(ctx, cert.over(l)); err != nil {
		return failuref("%w", err)
	}
	return nil
}

// listen opens the port. Beyond this machine only where that was asked for.
func listen(ctx context.Context, o benchOptions) (net.Listener, error) {
	host, port, err := net.SplitHostPort(o.listen)
	if err != nil {
		return nil, inputErrorf("--listen: %s is not an address; write it like 127.0.0.1:8021", o.listen)
	}
	if _, err := net.DefaultResolver.LookupPort(ctx, "tcp", port); err != nil {
		return nil, inputErrorf("--listen: %q is not a port; use 0 (any free one) to 65535, as in 127.0.0.1:8021", port)
	}
	if !o.share && !isLoopback(host) {
		return nil, inputErrorf("--listen: %s is open to other machines; add --share", o.listen)
	}
	var c net.ListenConfig
	l, err := c.Listen(ctx, "tcp", o.listen)
	if err != nil {
		return nil, listenError(o.listen, err)
	}
	return l, nil
}

// listenError says in plain words why nothing can listen at an address.
func listenError(at string, err error) error {
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return failuref("--listen: another program uses %s; end it, or use another port: %w", at, syscall.EADDRINUSE)
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return failuref("--listen: %s is not an address of this computer; use one that is: %w", at, syscall.EADDRNOTAVAIL)
	case errors.Is(err, syscall.EACCES):
		return failuref("--listen: %s is not allowed; use a port over 1023: %w", at, syscall.EACCES)
	}
	return failuref("--listen: can't listen at %s: %w", at, err)
}

func isLoopback(host string) bool {
	if strings.EqualFold(host, "localhost") {
		return true
	}
	a, err := netip.ParseAddr(host)
	return err == nil && a.IsLoopback()
}

// benchBook opens the book. One that does not answer is no reason not to read:
// the bench then goes without, and says why.
func (s *streams) benchBook(ctx context.Context, where string) (store book.Store, why string, err error) {
	store, err = s.openBook(ctx, where, true)
	var in inputError
	switch {
	case err == nil:
		return store, "", nil
	case errors.As(err, &in), errors.Is(err, context.Canceled):
		return nil, "", err
	}
	fmt.Fprintf(s.errOut, "ringtrue: the book can't be opened, so the bench runs without it: %s\n", withoutSecrets(err.Error()))
	return nil, "it could not be opened when the bench was started", nil
}

// benchFolder opens the folder of the necks in work.
func (s *streams) benchFolder(o benchOptions) (*draft.Folder, error) {
	dir, err := benchFolderPath(o)
	if err != nil {
		return nil, err
	}
	f, notes, err := draft.Open(dir, time.Now)
	if errors.Is(err, draft.ErrHeld) {
		return nil, inputErrorf("%s: %w; use that one, or another folder with --keep", dir, draft.ErrHeld)
	}
	if err != nil {
		return nil, diskError(dir, err)
	}
	for _, n := range notes {
		fmt.Fprintf(s.errOut, "ringtrue: %s\n", n)
	}
	return f, nil
}

func benchFolderPath(o benchOptions) (string, error) {
	if o.keep != "" {
		return o.keep, nil
	}
	where := o.book
	if where == "" {
		where = os.Getenv(bookVariable)
	}
	if where == "" || postgres.IsAddress(where) {
		own, err := ownBook(runtime.GOOS, os.Getenv, os.UserHomeDir)
		if err != nil {
			return "", err
		}
		where = own
	}
	return filepath.Join(filepath.Dir(where), "bench"), nil
}

// ownAddresses are the addresses by which this machine may be called at a
// listener's: its own, or where it listens at all of them, all of them.
func ownAddresses(at net.Addr) []netip.Addr {
	own := addressOf(at)
	if own.IsValid() && !own.IsUnspecified() {
		return []netip.Addr{own}
	}
	var all []netip.Addr
	found, _ := net.InterfaceAddrs() // none found: it is called localhost
	for _, a := range found {
		if p, err := netip.ParsePrefix(a.String()); err == nil && !p.Addr().IsLinkLocalUnicast() {
			all = append(all, p.Addr().Unmap())
		}
	}
	return all
}

func addressOf(a net.Addr) netip.Addr {
	p, err := netip.ParseAddrPort(a.String())
	if err != nil {
		return netip.Addr{}
	}
	return p.Addr().Unmap()
}

// benchTalk prints the bench's address and the codes for other screens.
type benchTalk struct {
	s  *streams
	at string
}

// address prints the address, the first line of all, at once.
func (t benchTalk) address() error {
	if _, err := fmt.Fprintln(t.s.out, t.at); err != nil {
		return outputError(err)
	}
	return t.flush()
}

// flush sends what was printed: a bench runs on, nobody waits for its end.
func (t benchTalk) flush() error {
	if f, ok := t.s.out.(interface{ Flush() error }); ok {
		if err := f.Flush(); err != nil {
			return outputError(err)
		}
	}
	return nil
}

// code prints a pairing code, as words and as a picture to scan.
func (t benchTalk) code(code string) {
	fmt.Fprintf(t.s.out, "\nTo pair a screen: scan this, or open %s and type %s (it works once)\n", t.at, bench.Spaced(code))
	if c, err := qr.Encode(bench.PairLink(t.at, code), qr.L); err == nil {
		printQR(t.s.out, c)
	}
	_ = t.flush() // what cannot be printed is not a reason to stop serving
}

// printQR prints a code in half blocks, two dots a letter, light on dark: the
// quiet zone around it is light too, so that a dark terminal is no hindrance.
func printQR(w io.Writer, c *qr.Code) {
	const quiet = 4
	light := func(x, y int) bool { return !c.Black(x, y) }
	for y := -quiet; y < c.Size+quiet; y += 2 {
		for x := -quiet; x < c.Size+quiet; x++ {
			below := y+1 < c.Size+quiet && light(x, y+1)
			switch {
			case light(x, y) && below:
				fmt.Fprint(w, "█")
			case light(x, y):
				fmt.Fprint(w, "▀")
			case below:
				fmt.Fprint(w, "▄")
			default:
				fmt.Fprint(w, " ")
			}
		}
		fmt.Fprintln(w)
	}
}
