package server

import (
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/go-chi/chi/v5"
	"golang.org/x/net/html"

	"sinterbook/store"
	"sinterbook/store/shop"
)

const (
	rightPassword = "warm paste sets slowly"
	rightPIN      = "480913"
)

// keyed gives a badge a PIN and a password.
func (b *bookTest) keyed(badge string) {
	b.Helper()
	pin, errPIN := HashSecret(rightPIN)
	password, errPassword := HashSecret(rightPassword)
	if errPIN != nil || errPassword != nil {
		b.Fatal(errPIN, errPassword)
	}
	b.put("601", keysSet(badge, shop.PersonKeys{PIN: pin, Password: password}))
}

// tabletAt registers a tablet and returns its token.
func (b *bookTest) tabletAt(station, device string) string {
	b.Helper()
	token := store.NewToken()
	b.put("601", shop.DeviceRegistered{Device: device, Station: station, Private: store.TokenHash(token)})
	return token
}

// A browser is one that keeps cookies and talks to the whole server.
type browser struct {
	testing.TB
	at     *httptest.Server
	client *http.Client
	header http.Header
}

func (b *bookTest) browser(at *httptest.Server) *browser {
	b.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	client := *at.Client()
	client.Jar = jar
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return &browser{TB: b.TB, at: at, client: &client, header: http.Header{}}
}

func (b *bookTest) serve() *httptest.Server {
	at := httptest.NewServer(b.server.Handler())
	b.Cleanup(at.Close)
	b.Cleanup(b.server.EndStreams) // before it: at waits for what is under way
	return at
}

func (w *browser) send(method, path string, body io.Reader) (shownPage, *http.Response) {
	w.Helper()
	r, err := http.NewRequestWithContext(w.Context(), method, w.at.URL+path, body)
	if err != nil {
		w.Fatal(err)
	}
	r.Header = w.header.Clone()
	if body != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	got, err := w.client.Do(r)
	if err != nil {
		w.Fatal(err)
	}
	defer got.Body.Close()
	raw, err := io.ReadAll(got.Body)
	if err != nil {
		w.Fatal(err)
	}
	doc, err := html.Parse(strings.NewReader(string(raw)))
	if err != nil {
		w.Fatal(err)
	}
	return shownPage{TB: w.TB, status: got.StatusCode, to: got.Header.Get("Location"), doc: doc, raw: string(raw)}, got
}

func (w *browser) get(path string) shownPage {
	w.Helper()
	p, _ := w.send(http.MethodGet, path, nil)
	return p
}

func (w *browser) post(path string, fields url.Values) shownPage {
	w.Helper()
	p, _ := w.send(http.MethodPost, path, strings.NewReader(fields.Encode()))
	return p
}

func (w *browser) cookie(name string) string {
	w.Helper()
	u, err := url.Parse(w.at.URL)
	if err != nil {
		w.Fatal(err)
	}
	for _, c := range w.client.Jar.Cookies(u) {
		if c.Name == name {
			return c.Value
		}
	}
	return ""
}

func (w *browser) setCookie(name, value string) {
	w.Helper()
	u, err := url.Parse(w.at.URL)
	if err != nil {
		w.Fatal(err)
	}
	w.client.Jar.SetCookies(u, []*http.Cookie{{Name: name, Value: value, Path: "/"}})
}

func (w *browser) signIn(badge string) {
	w.Helper()
	if p := w.post("/sign-in", url.Values{"badge": {badge}, "password": {rightPassword}}); p.status != http.StatusSeeOther {
		w.Fatalf("signing in as %s: %d %s", badge, p.status, p.text())
	}
}

// A mark that was planted before sign-in never becomes a session, and the mark
// changes at every change of rights.
func TestSessionIsRenewed(t *testing.T) {
	b := staffed(t)
	b.keyed("402")
	b.keyed("601")
	at := b.serve()
	one, two := b.browser(at), b.browser(at)
	planted := store.NewToken()
	one.setCookie(sessionCookie, planted)
	two.setCookie(sessionCookie, planted)
	if p := one.get("/floor"); p.status != http.StatusSeeOther || p.to != "/sign-in?next=%2Ffloor" {
		t.Errorf("a made-up mark: %d to %q", p.status, p.to)
	}
	one.signIn("402")
	first := one.cookie(sessionCookie)
	if first == planted || first == "" {
		t.Errorf("the mark after sign-in is %q, before it %q", first, planted)
	}
	one.get("/floor").says(http.StatusOK, "402")
	if p := two.get("/floor"); p.status != http.StatusSeeOther {
		t.Errorf("the planted mark opens the floor: %d", p.status)
	}

	two.signIn("402")
	page := one.get("/people/402")
	fields := url.Values{"command": {attrOf(namedField(t, page.mustForm("/people/402/keys"), "command"), "value")},
		"old": {rightPassword}, "password": {"another long sentence"}, "password_again": {"another long sentence"}}
	if p := one.post("/people/402/keys", fields); p.status != http.StatusSeeOther {
		t.Fatalf("setting a password: %d %s", p.status, p.text())
	}
	second := one.cookie(sessionCookie)
	if second == first {
		t.Error("the mark is the same after a change of password")
	}
	if p := two.get("/floor"); p.status != http.StatusSeeOther {
		t.Error("another session of the person lives on after a change of password")
	}
	one.get("/floor").says(http.StatusOK)

	b.put("601", shop.PersonChanged{Badge: "402", Roles: []shop.Role{shop.Inspector, shop.Toolmaker}})
	if p := one.get("/floor"); p.status != http.StatusSeeOther {
		t.Error("a session lives on after a change of roles")
	}

	admin := b.browser(at)
	admin.signIn("601")
	last := admin.cookie(sessionCookie)
	admin.post("/sign-out", url.Values{})
	admin.setCookie(sessionCookie, last)
	if p := admin.get("/floor"); p.status != http.StatusSeeOther {
		t.Error("the old mark opens the floor after sign-out")
	}
}

// The cookie cannot be read by scripts, nor sent by other sites; under TLS it
// never goes out in the clear.
func TestCookies(t *testing.T) {
	for _, secure := range []bool{false, true} {
		b := staffed(t)
		b.keyed("402")
		b.server = New(Config{Store: b.store, Secure: secure})
		at := b.serve()
		_, got := b.browser(at).send(http.MethodPost, "/sign-in", strings.NewReader(url.Values{"badge": {"402"}, "password": {rightPassword}}.Encode()))
		var found bool
		for _, c := range got.Cookies() {
			if !strings.HasSuffix(c.Name, sessionCookie) {
				continue
			}
			found = true
			if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Secure != secure || strings.HasPrefix(c.Name, "__Host-") != secure {
				t.Errorf("secure %v: cookie %v", secure, c)
			}
		}
		if !found {
			t.Errorf("secure %v: no session cookie in %v", secure, got.Cookies())
		}
		if hsts := got.Header.Get("Strict-Transport-Security"); (hsts != "") != secure {
			t.Errorf("secure %v: Strict-Transport-Security %q", secure, hsts)
		}
	}
}

// Guesses are counted by the address of the peer, whatever its headers say and
// however the badge is spelled; nobody else is locked out.
func TestGuessing(t *testing.T) {
	b := staffed(t)
	b.put("601", shop.PersonAdded{Badge: "anna", Roles: []shop.Role{shop.Inspector}, From: "2025-01-01", Code: shop.NewScanCode()})
	b.keyed("anna")
	h := b.server.Handler()
	send := func(from, badge, password string, n int) *httptest.ResponseRecorder {
		r := httptest.NewRequest(http.MethodPost, "/sign-in", strings.NewReader(url.Values{"badge": {badge}, "password": {password}}.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for _, name := range []string{"X-Forwarded-For", "X-Real-IP", "True-Client-IP"} {
			r.Header.Set(name, fmt.Sprintf("203.0.113.%d", n))
		}
		r.RemoteAddr = from
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		return w
	}
	firstNo := 0
	for n := 1; n <= 30; n++ {
		w := send("192.0.2.7:1111", []string{"anna", "Anna", "ANNA "}[n%3], fmt.Sprintf("wrong-%02d", n), n)
		switch {
		case w.Code == http.StatusTooManyRequests && w.Header().Get("Retry-After") == "":
			t.Errorf("try %d: 429 without Retry-After", n)
		case w.Code == http.StatusTooManyRequests && firstNo == 0:
			firstNo = n
		case w.Code == http.StatusSeeOther:
			t.Fatalf("try %d got in", n)
		}
		b.advance(time.Second)
	}
	if firstNo == 0 || firstNo > 11 {
		t.Errorf("the first 429 came at try %d; want it by the 11th", firstNo)
	}
	if w := send("192.0.2.8:2222", "anna", rightPassword, 1); w.Code != http.StatusSeeOther {
		t.Errorf("from another address: %d", w.Code)
	}
	if n, _, err := b.store.WrongTries(t.Context(), "anna"); err != nil || n < wantWrong {
		t.Errorf("%d wrong tries are known, %v; want %d or more", n, err, wantWrong)
	}
}

// wantWrong is how many of the thirty tries are at least looked at.
const wantWrong = 5

// A badge that nobody has gets the same words as one with a wrong password.
func TestNobodysBadge(t *testing.T) {
	b := staffed(t)
	b.keyed("402")
	at := b.serve()
	known, unknown := b.browser(at), b.browser(at)
	words := func(w *browser, badge string) string {
		p := w.post("/sign-in", url.Values{"badge": {badge}, "password": {"wrong wrong wrong"}})
		if p.status != http.StatusUnprocessableEntity {
			t.Errorf("badge %s: %d", badge, p.status)
		}
		return strings.ReplaceAll(p.text(), badge, "…")
	}
	if a, b := words(known, "402"), words(unknown, "999"); a != b {
		t.Errorf("a known badge: %s\nnobody's: %s", a, b)
	}
}

// Many guesses at one moment are counted before any is looked at.
func TestGuessesAtOnce(t *testing.T) {
	b := staffed(t)
	b.keyed("402")
	at := b.serve()
	var wg sync.WaitGroup
	looked := make(chan int, 40)
	for range 40 {
		wg.Go(func() {
			r, err := http.PostForm(at.URL+"/sign-in", url.Values{"badge": {"402"}, "password": {"guess"}})
			if err != nil {
				t.Error(err)
				return
			}
			r.Body.Close()
			looked <- r.StatusCode
		})
	}
	wg.Wait()
	close(looked)
	n := 0
	for status := range looked {
		if status != http.StatusTooManyRequests {
			n++
		}
	}
	if n > 10 {
		t.Errorf("%d of 40 guesses at one moment were looked at; want 10 at most", n)
	}
}

// Once per shift a PIN; then a badge scan switches who works at the tablet.
func TestSwitchAtTablet(t *testing.T) {
	b := staffed(t)
	b.put("601", shop.StationAdded{Station: "PR1", Name: "Printer P1", Operation: shop.OpPrint, Equipment: "P1", Code: shop.NewScanCode()})
	for _, badge := range []string{"204", "402", "601"} {
		b.keyed(badge)
	}
	token := b.tabletAt("PR1", "T-1")
	at := b.serve()
	w := b.browser(at)

	w.get("/tablet?token="+token).says(http.StatusOK, "T-1", "Printer P1")
	if p := w.post("/tablet", url.Values{"token": {token}}); p.status != http.StatusSeeOther {
		t.Fatalf("registering: %d %s", p.status, p.text())
	}
	b.browser(at).get("/tablet?token="+token).says(http.StatusNotFound, "works once")

	pin := func(badge string) shownPage {
		return w.post("/sign-in", url.Values{"badge": {badge}, "pin": {rightPIN}, "next": {"/station"}})
	}
	if p := w.post("/sign-in", url.Values{"badge": {"204"}, "password": {rightPassword}}); p.status == http.StatusSeeOther {
		t.Error("a password signs in at a tablet, which asks for the PIN")
	}
	if p := pin("204"); p.to != "/station" {
		t.Fatalf("signing in: %d %s", p.status, p.text())
	}
	w.get("/station").says(http.StatusOK, "204", "Printer P1")
	first := w.cookie(sessionCookie)
	if p := w.post("/station/scan", url.Values{"scan": {"402"}}); p.to != "/sign-in?badge=402&next=%2Fstation" {
		t.Errorf("a badge that gave no PIN in this shift: %d to %q", p.status, p.to)
	}
	if p := pin("402"); p.to != "/station" {
		t.Fatalf("the second person: %d %s", p.status, p.text())
	}
	second := w.cookie(sessionCookie)
	if p := w.post("/station/scan", url.Values{"scan": {"204"}}); p.to != "/sign-in?badge=204&next=%2Fstation" {
		t.Errorf("a badge that was typed, not scanned: %d to %q; want the PIN asked for", p.status, p.to)
	}
	person, err := b.store.Person(t.Context(), "204")
	if err != nil {
		t.Fatal(err)
	}
	if p := w.post("/station/scan", url.Values{"scan": {string(person.Code)}}); p.to != "/station" {
		t.Errorf("a badge scan does not switch: %d to %q %s", p.status, p.to, p.text())
	}
	w.get("/station").says(http.StatusOK, "204")
	for _, old := range []string{first, second} {
		other := b.browser(at)
		other.setCookie(sessionCookie, old)
		if p := other.get("/station"); p.status != http.StatusSeeOther {
			t.Error("a mark from before the switch still opens the station")
		}
	}
	b.advance(shift + time.Minute)
	if p := w.get("/station"); p.status != http.StatusSeeOther {
		t.Error("the sign-in outlives the shift")
	}

	again := b.tabletAt("PR1", "T-1")
	w.get("/sign-in").says(http.StatusOK, "Password")
	w.get("/tablet?token="+again).says(http.StatusOK, "T-1")
}

// A book without its first page is opened by the link of the console alone,
// and once.
func TestSetUp(t *testing.T) {
	b := &bookTest{TB: t}
	b.set(morning)
	var err error
	if b.store, err = store.Open(t.Context(), store.Options{DB: t.TempDir() + "/book.db", Now: b.now}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.store.Close(); err != nil {
			t.Error(err)
		}
	})
	b.server = New(Config{Store: b.store, SetupToken: "opens-once", Verifier: "sinterbook-test+1a2b3c4d+AaXy"})
	w := b.browser(b.serve())
	w.get("/sign-in").says(http.StatusOK, "link on its console")
	w.get("/set-up").says(http.StatusForbidden)
	w.get("/set-up?token=guess").says(http.StatusForbidden)
	p := w.get("/set-up?token=opens-once").says(http.StatusOK, "Open the book")
	fields := url.Values{"site": {"Test Shop"}, "zone": {"Europe/Wien"}, "badge": {"601"}, "name": {"A. Example"},
		"password": {rightPassword}, "password_again": {rightPassword}, "pin": {"123456"}, "pin_again": {"123456"}}
	for _, hidden := range []string{"command", "token", "code"} {
		fields.Set(hidden, attrOf(namedField(t, p.mustForm("/set-up"), hidden), "value"))
	}
	p = w.post("/set-up", fields).says(http.StatusUnprocessableEntity, "too easy to guess", "not a time zone")
	if got := attrOf(namedField(t, p.mustForm("/set-up"), "site"), "value"); got != "Test Shop" {
		t.Errorf("the typed shop's name came back as %q", got)
	}
	fields.Set("pin", rightPIN)
	fields.Set("pin_again", rightPIN)
	w.post("/set-up", fields).says(http.StatusUnprocessableEntity, "not a time zone")
	fields.Set("zone", "Europe/Vienna")
	if p := w.post("/set-up", fields); p.to != "/book" {
		t.Fatalf("setting up: %d %s", p.status, p.text())
	}
	w.get("/book").says(http.StatusOK, "Test Shop", "601")
	w.post("/set-up", fields).says(http.StatusNotFound, "set up")
}

// openTo are the addresses that are for whoever comes.
var openTo = map[string]bool{
	"GET /livez": true, "GET /readyz": true, "GET /sw.js": true, "GET /static/*": true, "GET /sign-in": true, "POST /sign-in": true, "POST /sign-out": true,
	"GET /set-up": true, "POST /set-up": true, "GET /tablet": true, "POST /tablet": true,
}

// Every other address asks who is there, and an auditor can send nothing.
func TestEveryRouteAsks(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	b.keyed("900")
	at := b.serve()
	nobody, auditor := b.browser(at), b.browser(at)
	auditor.signIn("900")
	before, err := b.store.Book(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	posts := 0
	err = chi.Walk(b.server.router().(chi.Routes), func(method, route string, _ http.Handler, _ ...func(http.Handler) http.Handler) error {
		path := strings.NewReplacer("{insert}", "I-0001", "{lot}", "L2509-A", "{order}", "O-1", "{release}", "DR-02%20A", "{mould}", "M301", "{badge}", "601", "{station}", "PR1",
			"{design}", "CR40", "{load}", "R001", "{hold}", "H-001", "{kind}", "insert", "{size}", "1", "{code}", "AAAA", "{factor}", "FA-001", "/*", "/I-0001").Replace(route)
		name := method + " " + route
		if openTo[name] || strings.HasPrefix(route, "/static/") {
			return nil
		}
		if method == http.MethodGet {
			if p := nobody.get(path); p.status != http.StatusSeeOther || !strings.HasPrefix(p.to, "/sign-in") {
				t.Errorf("%s answers %d to nobody", name, p.status)
			}
			if p := auditor.get(path); p.status >= http.StatusInternalServerError {
				t.Errorf("%s answers %d to an auditor", name, p.status)
			}
			return nil
		}
		posts++
		if p := nobody.post(path, url.Values{}); p.status != http.StatusUnauthorized {
			t.Errorf("%s answers %d to nobody", name, p.status)
		}
		if p := auditor.post(path, url.Values{}); p.status != http.StatusForbidden && route != "/here" {
			t.Errorf("%s answers %d to an auditor: %s", name, p.status, p.text())
		}
		return nil
	})
	if err != nil || posts < 20 {
		t.Fatalf("%d routes that are posted to were found, %v", posts, err)
	}
	after, err := b.store.Book(t.Context())
	if err != nil || after.Size != before.Size {
		t.Errorf("the log grew from %d to %d entries, %v", before.Size, after.Size, err)
	}
}

// Another site can neither frame a page nor send a form, and no page runs what
// does not come from its own files.
func TestHeaders(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	at := b.serve()
	w := b.browser(at)
	w.signIn("601")
	_, got := w.send(http.MethodGet, "/floor", nil)
	csp := got.Header.Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "frame-ancestors 'none'", "form-action 'self'", "script-src 'self' 'wasm-unsafe-eval';", "worker-src 'self'", "style-src 'self'"} {
		if !strings.Contains(csp, want) {
			t.Errorf("the policy %q lacks %q", csp, want)
		}
	}
	if strings.Contains(strings.ReplaceAll(csp, "'wasm-unsafe-eval'", ""), "unsafe") {
		t.Errorf("the policy allows what is unsafe: %q", csp)
	}
	w.header.Set("Sec-Fetch-Site", "cross-site")
	w.header.Set("Origin", "https://elsewhere.example")
	if p := w.post("/sign-out", url.Values{}); p.status != http.StatusForbidden {
		t.Errorf("a form of another site is answered with %d", p.status)
	}
}

// A body of a gigabyte is refused at once, whether it says its size or not.
func TestLargeBody(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	at := b.serve()
	for _, size := range []int64{-1, 1 << 30} {
		w := b.browser(at)
		w.signIn("601")
		sent := &counting{left: 1 << 30}
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, at.URL+"/new/lot", sent)
		if err != nil {
			t.Fatal(err)
		}
		r.ContentLength = size
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		got, err := w.client.Do(r)
		if err == nil {
			got.Body.Close()
			if got.StatusCode < 400 {
				t.Errorf("size %d: answered with %d", size, got.StatusCode)
			}
		}
		if taken := sent.read.Load(); taken > 64<<20 {
			t.Errorf("size %d: %d MiB were taken", size, taken>>20)
		}
	}
}

// counting gives up to so many letters and counts those taken. The transport
// may still read when the answer is there.
type counting struct {
	left int64
	read atomic.Int64
}

func (c *counting) Read(p []byte) (int, error) {
	if c.left <= 0 {
		return 0, io.EOF
	}
	n := min(int64(len(p)), c.left)
	for i := range p[:n] {
		p[i] = 'a'
	}
	c.left -= n
	c.read.Add(n)
	return int(n), nil
}

func TestOwnPath(t *testing.T) {
	for address, want := range map[string]string{
		"/floor": "/floor", "/lots/L2509-A?x=1": "/lots/L2509-A?x=1", "": "/", "floor": "/", "//elsewhere.example": "/", `/\elsewhere.example`: "/",
		"https://elsewhere.example/": "/", "javascript:alert(1)": "/", "/\r\nX: y": "/",
	} {
		if got := ownPath(address); got != want {
			t.Errorf("ownPath(%q) = %q; want %q", address, got, want)
		}
	}
}
