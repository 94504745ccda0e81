package postgres

import (
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"strings"
	"syscall"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"ringtrue/internal/book"
)

// parse reads an address. Of one that can't be read nothing is said: any part of
// it may be a part of the password.
func parse(address string) (*pgx.ConnConfig, error) {
	if torn(address) {
		return nil, fmt.Errorf("--book: %w: @ / ? or # out of place; in a password write %%40 for @, %%2F for /, %%3F for ?, %%23 for #", book.ErrNotABook)
	}
	cfg, err := pgx.ParseConfig(address)
	var file *fs.PathError
	switch {
	case errors.As(err, &file):
		return nil, fmt.Errorf("--book: %w: a file that the address names can't be read: %w", book.ErrNotABook, file)
	case err != nil:
		return nil, fmt.Errorf("--book: %w: the address can't be read; use postgres://NAME@HOST/DATABASE", book.ErrNotABook)
	}
	return cfg, nil
}

// torn reports an address whose password is cut by a letter that ends the part it
// is in (RFC 3986, section 3.2): what follows would pass for host, port and
// database, and be printed as such.
func torn(address string) bool {
	_, rest, _ := strings.Cut(address, "://")
	if strings.Count(rest, "@") > 1 {
		return true
	}
	end := strings.IndexAny(rest, "/?#")
	return end >= 0 && strings.Contains(rest[:end], ":") && strings.Contains(rest[end:], "@")
}

// unreached says why no connection came about; nil where it did.
func unreached(err error) error {
	var connect *pgconn.ConnectError
	if !errors.As(err, &connect) {
		return nil
	}
	place := net.JoinHostPort(connect.Config.Host, fmt.Sprint(connect.Config.Port))
	var name *net.DNSError
	var certificate *tls.CertificateVerificationError
	var wrongHost x509.HostnameError
	var reply tls.RecordHeaderError
	switch {
	case errors.As(err, &wrongHost), errors.As(err, &certificate):
		return fmt.Errorf("%w: the server's certificate isn't the one expected; check sslrootcert and the host's name", book.ErrNoTLS)
	case strings.Contains(err.Error(), "server refused TLS connection"): // the driver has no other sign
		return fmt.Errorf("%w: the server has no TLS; turn it on there, or add ?sslmode=disable on a network you trust", book.ErrNoTLS)
	case errors.As(err, &reply):
		return fmt.Errorf("%w: what answers at %s is not a PostgreSQL server", book.ErrLost, place)
	case errors.As(err, &name) && name.IsNotFound:
		return fmt.Errorf("%w: no computer is called %s here; check the host in the address", book.ErrLost, connect.Config.Host)
	case errors.Is(err, syscall.ECONNREFUSED):
		return fmt.Errorf("%w: nothing listens at %s; start the server, or check host and port", book.ErrLost, place)
	case strings.HasPrefix(connect.Config.Host, "/") && errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%w: no server listens in the folder %s; start it, or check host and port", book.ErrLost, connect.Config.Host)
	case errors.Is(err, syscall.ENETUNREACH), errors.Is(err, syscall.EHOSTUNREACH):
		return fmt.Errorf("%w: no way to %s; is this computer in its network?", book.ErrLost, connect.Config.Host)
	case pgconn.Timeout(err):
		return fmt.Errorf("%w: %s is silent; is that computer on, and this one in its network?", book.ErrLost, place)
	}
	return book.ErrLost
}

// refused says what a server's no to a newcomer means; nil for any other.
func refused(err error, pg *pgconn.PgError) error {
	var connect *pgconn.ConnectError
	switch {
	case errors.As(err, &connect) && (pg.Code == "42704" || pg.Code == "22023"): // its words hold a piece of the address
		return fmt.Errorf("%w: the server doesn't know a parameter of the address; in a password write %%26 for &", book.ErrNotABook)
	case pg.Code == "53300":
		return fmt.Errorf("%w: %s; close a bench, or let the server take more (max_connections)", book.ErrCrowded, pg.Message)
	case pg.Code == "28000" && strings.Contains(pg.Message, "no encryption"):
		return fmt.Errorf("%w: the server lets nobody in without TLS; take sslmode=disable out of the address", book.ErrNoTLS)
	case pg.Code == "28000" && strings.Contains(pg.Message, "pg_hba.conf"):
		return fmt.Errorf("%w: it lets nobody of that name in from here; its pg_hba.conf needs a line (%s)", book.ErrRefused, pg.Message)
	}
	return nil
}
