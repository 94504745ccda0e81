package postgres

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"math/big"
	"net"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgproto3"
	"pgregory.net/rapid"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// testNoRights opens a book as one who may not even read it, and as one who may
// begin none.
func testNoRights(t *testing.T, server *booktest.Server) {
	ctx := context.Background()
	address := server.Database(t)
	s := newBook(t, address, time.Now)
	if _, err := s.DB.Exec(`CREATE ROLE "new hand" LOGIN`); err != nil {
		t.Fatal(err)
	}
	as := func(address string) string { return strings.Replace(address, "bench@", "new%20hand@", 1) }
	for _, step := range []struct {
		grant string
		want  error
	}{
		{"SELECT 1", book.ErrNoRights},
		{`GRANT USAGE ON SCHEMA ringtrue TO "new hand"`, book.ErrNoRights},
		{`GRANT SELECT ON ALL TABLES IN SCHEMA ringtrue TO "new hand"`, nil},
	} {
		if _, err := s.DB.Exec(step.grant); err != nil {
			t.Fatal(err)
		}
		for _, create := range []bool{false, true} {
			guest, err := Open(ctx, as(address), Options{Create: create, Now: time.Now})
			if !errors.Is(err, step.want) || book.IsCall(err) || err != nil && !strings.Contains(err.Error(), `GRANT USAGE ON SCHEMA ringtrue TO "new hand"`) {
				t.Errorf("after %s: %v; want %v", step.grant, err, step.want)
			}
			if err == nil {
				guest.Close()
			}
		}
	}
	_, err := Open(ctx, as(server.Database(t)), Options{Create: true, Now: time.Now})
	if !errors.Is(err, book.ErrReadOnly) || !strings.Contains(err.Error(), `grants CREATE on it to "new hand"`) {
		t.Errorf("beginning a book without the right to: %v", err)
	}
}

// testCrowded takes the only connection that a role may have.
func testCrowded(t *testing.T, server *booktest.Server) {
	address := server.Database(t)
	newBook(t, address, time.Now)
	server.Exec(t, "CREATE ROLE single LOGIN SUPERUSER CONNECTION LIMIT 0; ALTER ROLE single NOSUPERUSER")
	_, err := Open(context.Background(), strings.Replace(address, "bench@", "single@", 1), Options{Now: time.Now, Patience: 50 * time.Millisecond})
	if !errors.Is(err, book.ErrCrowded) || book.IsCall(err) || !strings.Contains(err.Error(), "close a bench") {
		t.Errorf("%v; want %v", err, book.ErrCrowded)
	}
}

// answering is a server of one sentence: it gives each caller that, and hangs up.
func answering(t *testing.T, talk func(net.Conn)) (host string) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go func() { defer c.Close(); talk(c) }()
		}
	}()
	return l.Addr().String()
}

// startup reads the first message of a caller (PostgreSQL manual, "Message
// Formats": its length comes first).
func startup(c net.Conn) {
	size := make([]byte, 4)
	if _, err := io.ReadFull(c, size); err == nil {
		_, _ = io.CopyN(io.Discard, c, new(big.Int).SetBytes(size).Int64()-4)
	}
}

// says answers with an error of the server.
func says(code, message string) func(net.Conn) {
	return func(c net.Conn) {
		startup(c)
		text, err := (&pgproto3.ErrorResponse{Severity: "FATAL", Code: code, Message: message}).Encode(nil)
		if err == nil {
			_, _ = c.Write(text)
		}
	}
}

func withoutTLS(c net.Conn) { startup(c); _, _ = c.Write([]byte("N")) }

func selfSigned(t *testing.T) func(net.Conn) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	like := &x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: time.Unix(0, 0), NotAfter: time.Now().AddDate(1, 0, 0), DNSNames: []string{"bench"}}
	der, err := x509.CreateCertificate(rand.Reader, like, like, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	return func(c net.Conn) {
		startup(c)
		_, _ = c.Write([]byte("S"))
		_ = tls.Server(c, &tls.Config{Certificates: []tls.Certificate{{Certificate: [][]byte{der}, PrivateKey: key}}}).Handshake()
	}
}

// Every way in which no connection comes about is said, with what to do.
func TestUnreached(t *testing.T) {
	noEncryption := says("28000", `no pg_hba.conf entry for host "127.0.0.1", user "ines", database "necks", no encryption`)
	closed := answering(t, withoutTLS)
	for _, c := range []struct {
		what, address string
		want          error
		words         string
	}{
		{"no TLS there", answering(t, withoutTLS) + "/necks?sslmode=require", book.ErrNoTLS, "add ?sslmode=disable on a network you trust"},
		{"TLS wanted there", answering(t, noEncryption) + "/necks?sslmode=disable", book.ErrNoTLS, "take sslmode=disable out"},
		{"an unknown certificate", answering(t, selfSigned(t)) + "/necks?sslmode=verify-full", book.ErrNoTLS, "check sslrootcert"},
		{"no line for this computer", answering(t, says("28000", `no pg_hba.conf entry for host "127.0.0.1"`)) + "/necks?sslmode=disable", book.ErrRefused, "pg_hba.conf needs a line"},
		{"a wrong password", answering(t, says("28P01", `password authentication failed for user "ines"`)) + "/necks?sslmode=disable", book.ErrRefused, "password authentication failed"},
		{"too many benches", answering(t, says("53300", "sorry, too many clients already")) + "/necks?sslmode=disable", book.ErrCrowded, "sorry, too many clients already; close a bench"},
		{"an ampersand in a password", answering(t, says("42704", `unrecognized configuration parameter "QX"`)) + "/necks?sslmode=disable&QX=1", book.ErrNotABook, "write %26 for &"},
		{"a wrong host", "no-such-host.invalid/necks", book.ErrLost, "no computer is called no-such-host.invalid"},
		{"a wrong port", "127.0.0.1:1/necks", book.ErrLost, "nothing listens at 127.0.0.1:1"},
		{"no socket", "/necks?host=" + t.TempDir(), book.ErrLost, "no server listens in the folder"},
		{"a missing certificate", closed + "/necks?sslmode=verify-ca&sslrootcert=/no/such.pem", book.ErrNotABook, "/no/such.pem"},
	} {
		_, err := Open(context.Background(), "postgres://ines:QXZ@"+c.address, Options{Now: time.Now, Patience: 10 * time.Millisecond})
		if !errors.Is(err, c.want) || !strings.Contains(fmt.Sprint(err), c.words) {
			t.Errorf("%s: %v; want %v, %q", c.what, err, c.want, c.words)
		}
		if strings.ContainsAny(fmt.Sprint(err), "QXZ") {
			t.Errorf("%s: the password is shown: %v", c.what, err)
		}
	}
}

// A server whose disk is full says so with its own code.
func TestWrap_ServersDisk(t *testing.T) {
	s := &Store{where: "postgres://ines@bench/necks"}
	err := s.wrap(&pgconn.PgError{Code: "53100", Message: "could not extend file"})
	if !errors.Is(err, book.ErrFull) || book.IsCall(err) || !strings.HasPrefix(err.Error(), s.where+": the disk is full") {
		t.Error(err)
	}
}

// Whatever a password is made of, and however its address is torn, no piece of it
// is ever shown.
func TestParse_NothingOfThePassword(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringOfN(rapid.SampledFrom([]rune("QXZ789@/?#:%[]&=;, \\'\"\n")), 1, 12, -1).Draw(t, "password")
		at := rapid.SampledFrom([]string{
			"postgres://ines:%s@bench/necks", "postgres://ines:%s@bench:5432/necks?sslmode=disable", "postgresql://:%s@/necks?host=/tmp",
			"postgres://ines@bench/necks?password=%s", "postgres://ines@bench/necks?password=%s&sslmode=disable", "postgres://ines:%s@bench",
		}).Draw(t, "address")
		cfg, err := parse(fmt.Sprintf(at, word))
		said := fmt.Sprint(err)
		if err == nil {
			said = nameOf(cfg)
		}
		if strings.ContainsAny(said, "QXZ789") {
			t.Errorf("%q shows %s", word, said)
		}
	})
}
