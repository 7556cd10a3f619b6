package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

// A loud buffer may be written and read at once.
type loud struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *loud) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *loud) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// A served book runs until stop is called, which returns its exit code.
type served struct {
	out  string // what it said when it was ready
	err  *loud
	stop func() int
}

func serving(t *testing.T, args ...string) served {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	r, w := io.Pipe()
	s := served{err: &loud{}}
	ended := make(chan int, 1)
	go func() {
		code := run(ctx, append([]string{"serve"}, args...), w, s.err)
		w.CloseWithError(io.EOF)
		ended <- code
	}()
	s.stop = sync.OnceValue(func() int { cancel(); return <-ended })
	t.Cleanup(func() { s.stop() })
	s.out = untilText(t, r, "Ctrl-C")
	return s
}

func found(t *testing.T, text, pattern string) string {
	t.Helper()
	f := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if f == nil {
		t.Fatalf("there is no %s in\n%s", pattern, text)
	}
	return f[1]
}

// TestServeANewBook: the link of the console sets the book up, once; the log
// names the key of the data folder and is signed when the service stops.
func TestServeANewBook(t *testing.T) {
	t.Parallel()
	data := filepath.Join(t.TempDir(), "deep", "data")
	s := serving(t, "--data", data, "--addr", "127.0.0.1:0")
	link := found(t, s.out, `(http://127\.0\.0\.1:\d+/set-up\?token=\S+)`)
	if info, err := os.Stat(data); err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("others can look into the data folder: %v (%v)", info.Mode(), err)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar}
	page, err := client.Get(link)
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(page.Body)
	page.Body.Close()
	if err != nil {
		t.Fatal(err)
	}
	form := url.Values{"site": {"New Shop"}, "zone": {"Europe/Vienna"}, "badge": {"601"}, "password": {"long enough to be good 7"}, "password_again": {"long enough to be good 7"}}
	for _, hidden := range regexp.MustCompile(`type="hidden" name="(\w+)" value="([^"]*)"`).FindAllStringSubmatch(string(text), -1) {
		form.Set(hidden[1], hidden[2])
	}
	answer, err := client.PostForm(strings.Split(link, "?")[0], form)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusOK || answer.Request.URL.Path != "/book" {
		t.Errorf("the set-up is answered by %s at %s", answer.Status, answer.Request.URL)
	}
	must(t, "verify", "--data", data)                                                // while it is served
	waits, err := client.Get(strings.Split(link, "/set-up")[0] + "/live?list=floor") // a page that never ends by itself
	if err != nil {
		t.Fatal(err)
	}
	defer waits.Body.Close()
	if kind := waits.Header.Get("Content-Type"); kind != "text/event-stream" {
		t.Errorf("a page that waits for changes is answered with %q", kind)
	}
	if code := s.stop(); code != codeFine {
		t.Errorf("it ended with %d: %s", code, s.err)
	}
	key := after(t, must(t, "key", "--data", data), "Verifier key")
	if said := must(t, "verify", "--data", data, "--key", key); !strings.HasPrefix(after(t, said, "Checkpoints"), "1; the newest covers "+after(t, said, "Entries")+" ") {
		t.Errorf("after it stopped the book is\n%s", said)
	}
	again := serving(t, "--data", data, "--addr", "127.0.0.1:0")
	if strings.Contains(again.out, "set-up") {
		t.Errorf("the second time it says\n%s", again.out)
	}
}

// TestServeRefusesRestore: nobody takes the book away while it is served.
func TestServeRefusesRestore(t *testing.T) {
	t.Parallel()
	data, copied := small(t), filepath.Join(t.TempDir(), "copy.db")
	s := serving(t, "--data", data, "--addr", "127.0.0.1:0")
	must(t, "backup", copied, "--data", data)
	if r := ran(t, "restore", copied, "--data", data); r.code != codeNo || !strings.Contains(r.err, "is in use. Stop the service first") {
		t.Errorf("while it is served: %d, %q", r.code, r.err)
	}
	s.stop()
	must(t, "restore", copied, "--data", data)
}

// TestServeWithoutTheKey: a book whose key file is gone is served, says what
// is missing, and gets no other key.
func TestServeWithoutTheKey(t *testing.T) {
	t.Parallel()
	data := small(t)
	key := filepath.Join(data, keyFile)
	if err := os.Rename(key, key+".away"); err != nil {
		t.Fatal(err)
	}
	s := serving(t, "--data", data, "--addr", "127.0.0.1:0")
	if code := s.stop(); code != codeFine || !strings.Contains(s.err.String(), "the key of this book is missing") {
		t.Errorf("it ended with %d and says %q", code, s.err)
	}
	if _, err := os.Stat(key); err == nil {
		t.Error("it made another key")
	}
	if _, err := makeKey(key); err != nil {
		t.Fatal(err)
	}
	damage(t, filepath.Join(data, "book.db"), "DROP TRIGGER checkpoint_kept", "DELETE FROM checkpoint")
	other := serving(t, "--data", data, "--addr", "127.0.0.1:0")
	if other.stop(); !strings.Contains(other.err.String(), "is not the one that the log names") {
		t.Errorf("with another book's key it says %q", other.err)
	}
	must(t, "verify", "--data", data)
}

func TestServeWithTLS(t *testing.T) {
	t.Parallel()
	cert, key := certificate(t)
	s := serving(t, "--data", small(t), "--addr", "127.0.0.1:0", "--tls-cert", cert, "--tls-key", key)
	raw, err := os.ReadFile(cert)
	if err != nil {
		t.Fatal(err)
	}
	known := x509.NewCertPool()
	known.AppendCertsFromPEM(raw)
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: known}}}
	answer, err := client.Get(found(t, s.out, `(https://127\.0\.0\.1:\d+/)\.`) + "livez")
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusOK || answer.Header.Get("Strict-Transport-Security") == "" {
		t.Errorf("it answers %s, %v", answer.Status, answer.Header)
	}
	for _, args := range [][]string{{"--tls-cert", cert}, {"--tls-key", key}} {
		if s := ran(t, append([]string{"serve", "--data", t.TempDir()}, args...)...); s.code != codeMisuse || !strings.Contains(s.err, "together or not at all") {
			t.Errorf("with %q only: %d, %q", args[0], s.code, s.err)
		}
	}
	if s := ran(t, "serve", "--data", t.TempDir(), "--tls-cert", key, "--tls-key", cert); s.code != codeFailed || !strings.Contains(s.err, "loading the certificate") {
		t.Errorf("with the files exchanged: %d, %q", s.code, s.err)
	}
}

// certificate makes one for this computer.
func certificate(t *testing.T) (cert, key string) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	form := &x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true}
	der, err := x509.CreateCertificate(rand.Reader, form, form, private.Public(), private)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	cert, key = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	for path, block := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: der}, key: {Type: "PRIVATE KEY", Bytes: raw}} {
		if err := os.WriteFile(path, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return cert, key
}

func TestServeToOthersWarns(t *testing.T) {
	t.Parallel()
	s := serving(t, "--data", small(t), "--addr", "0.0.0.0:0")
	if s.stop(); !strings.Contains(s.err.String(), "give --tls-cert and --tls-key") || !strings.Contains(s.out, "http://localhost:") {
		t.Errorf("it says %q %q", s.out, s.err)
	}
	quiet := serving(t, "--data", small(t), "--addr", "127.0.0.1:0")
	if quiet.stop(); quiet.err.String() != "" {
		t.Errorf("on this computer only it says %q", quiet.err)
	}
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	if r := ran(t, "serve", "--data", small(t), "--addr", taken.Addr().String()); r.code != codeFailed || !strings.Contains(r.err, "address already in use") {
		t.Errorf("on a port that is taken: %d, %q", r.code, r.err)
	}
}
