package server

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// A listener is a page that waits for changes, as a browser does.
type listener struct {
	testing.TB
	res  *http.Response
	text *bufio.Reader
}

// An event is one of a stream.
type event struct{ id, name, data string }

func (w *browser) listen(query url.Values, header ...string) *listener {
	w.Helper()
	r, err := http.NewRequestWithContext(w.Context(), http.MethodGet, w.at.URL+"/live?"+query.Encode(), nil)
	if err != nil {
		w.Fatal(err)
	}
	r.Header.Set("Accept", "text/event-stream")
	for i := 0; i < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	got, err := w.client.Do(r)
	if err != nil {
		w.Fatal(err)
	}
	w.Cleanup(func() { got.Body.Close() })
	return &listener{TB: w.TB, res: got, text: bufio.NewReader(got.Body)}
}

// next is the next event; signs of life are none. It is io.EOF where the
// stream ends.
func (l *listener) next() (e event, err error) {
	l.Helper()
	late := time.AfterFunc(15*time.Second, func() { l.res.Body.Close() })
	defer late.Stop()
	for {
		line, err := l.text.ReadString('\n')
		if err != nil {
			return e, err
		}
		field, value, _ := strings.Cut(strings.TrimSuffix(line, "\n"), ": ")
		switch field {
		case "id":
			e.id = value
		case "event":
			e.name = value
		case "data":
			e.data = value
		case "":
			if line == "\n" && e.data != "" {
				return e, nil
			}
		}
	}
}

// hears is the next change that concerns the page.
func (l *listener) hears() News {
	l.Helper()
	for {
		e, err := l.next()
		if err != nil {
			l.Fatalf("the stream ended: %v", err)
		}
		if e.name != "" {
			continue
		}
		var n News
		if err := json.Unmarshal([]byte(e.data), &n); err != nil || e.id != fmt.Sprint(n.Size) {
			l.Fatalf("%+v: %v", e, err)
		}
		return n
	}
}

func about(subjects ...string) url.Values { return url.Values{"about": subjects} }

// listening is a book with an insert, and a browser that is signed in.
func listening(t *testing.T) (*bookTest, *browser) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	b.keyed("204")
	w := b.browser(b.serve())
	w.signIn("204")
	return b, w
}

// hold is a hold on a thing.
func held(number, kind, code string) shop.HoldSet {
	return shop.HoldSet{Hold: number, OnKind: kind, OnCode: code, Why: "a crack was seen"}
}

func TestLiveTells(t *testing.T) {
	b, w := listening(t)
	before := b.entries()
	q := about("insert/I-0001")
	q.Set("since", fmt.Sprint(before))
	q.Add("held", "lot/L2509-A")
	insert, holds := w.listen(q), w.listen(url.Values{"list": {"holds"}, "since": {fmt.Sprint(before)}})
	if got := insert.res.Header; got.Get("Content-Type") != "text/event-stream" || got.Get("Content-Encoding") != "" || got.Get("No-Gzip-Compression") != "" {
		t.Errorf("the stream's header is %v", got)
	}
	b.put("601", held("H-001", "machine", "P1"))
	b.put("601", held("H-002", "insert", "I-0001"))
	b.put("601", held("H-003", "lot", "L2509-A"))
	b.put("601", shop.HoldLifted{Hold: "H-002", OnKind: "insert", OnCode: "I-0001", Why: "it was dirt"})
	if n := holds.hears(); n.Stop != "" || n.Count < 1 || !strings.Contains(n.Said[0], "H-001") {
		t.Errorf("the list of holds hears %+v", n)
	}
	clock := b.now().UTC().In(vienna(t)).Format("15:04")
	var said []string
	var stops []string
	for len(said) < 3 {
		n := insert.hears()
		said = append(said, n.Said...)
		if n.Stop != "" {
			stops = append(stops, n.Stop)
		}
	}
	for i, want := range []string{"Hold H-002 was set on insert I-0001: a crack was seen.", "Hold H-003 was set on lot L2509-A: a crack was seen.", "Hold H-002 on insert I-0001 was lifted: it was dirt."} {
		if want = "601 recorded at " + clock + ": " + want; said[i] != want {
			t.Errorf("the insert's page hears %q; want %q", said[i], want)
		}
	}
	if len(stops) == 0 || strings.Contains(strings.Join(stops, " "), "lifted") {
		t.Errorf("it is stopped by %q", stops)
	}
}

func vienna(t testing.TB) *time.Location {
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// Who comes back hears of all that was missed, once; who has seen another book
// hears that there is more.
func TestLiveResumes(t *testing.T) {
	b, w := listening(t)
	first := w.listen(about("insert/I-0001", "machine/P1"))
	if _, err := first.text.ReadString('\n'); err != nil {
		t.Fatal(err)
	}
	b.put("601", held("H-001", "insert", "I-0001"))
	seen := fmt.Sprint(first.hears().Size)
	first.res.Body.Close()
	b.put("601", held("H-002", "machine", "P1"))
	b.put("601", held("H-003", "lot", "L2509-A"))
	b.put("601", held("H-004", "insert", "I-0001"))
	for name, again := range map[string]*listener{
		"by itself": w.listen(about("insert/I-0001", "machine/P1"), "Last-Event-ID", seen),
		"anew":      w.listen(url.Values{"about": {"insert/I-0001", "machine/P1"}, "since": {seen}}),
	} {
		if n := again.hears(); n.Count != 2 || !strings.Contains(n.Said[0], "H-002") || !strings.Contains(n.Said[1], "H-004") {
			t.Errorf("%s it hears %+v", name, n)
		}
	}
	if n := w.listen(url.Values{"list": {"floor"}, "since": {"99999"}}).hears(); !n.More || n.Size != b.entries() {
		t.Errorf("after another book it hears %+v", n)
	}
}

// A stream outlives the time in which a request must have come, and tells the
// browser how far it need not look back.
func TestLiveOutlivesTheReadTimeout(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	b.keyed("204")
	b.server.streams.beat = 100 * time.Millisecond
	at := httptest.NewUnstartedServer(b.server.Handler())
	at.Config.ReadTimeout = 300 * time.Millisecond
	at.Start()
	t.Cleanup(at.Close)
	t.Cleanup(b.server.EndStreams)
	w := b.browser(at)
	w.signIn("204")
	l := w.listen(url.Values{"about": {"insert/I-0001"}, "since": {fmt.Sprint(b.entries())}})
	b.put("601", held("H-001", "machine", "P1"))
	if e, err := l.next(); err != nil || e.name != "at" || e.data != fmt.Sprint(b.entries()) {
		t.Errorf("of what is none of its business it hears %+v, %v", e, err)
	}
	time.Sleep(600 * time.Millisecond)
	b.put("601", held("H-002", "insert", "I-0001"))
	if n := l.hears(); n.Count != 1 {
		t.Errorf("it hears %+v", n)
	}
}

// Nothing is told after the sign-in is over, and the browser is told not to
// come back.
func TestLiveEndsWithTheSession(t *testing.T) {
	b, w := listening(t)
	b.server.streams.trusted = 0
	l := w.listen(url.Values{"about": {"insert/I-0001"}, "since": {fmt.Sprint(b.entries())}})
	b.put("601", held("H-001", "insert", "I-0001"))
	l.hears()
	if err := b.store.EndSession(t.Context(), w.cookie(sessionCookie)); err != nil {
		t.Fatal(err)
	}
	b.put("601", held("H-002", "machine", "P1"))
	b.put("601", shop.HoldLifted{Hold: "H-001", OnKind: "insert", OnCode: "I-0001", Why: "it was dirt"})
	if e, err := l.next(); err != nil || e.name != "end" {
		t.Errorf("after signing out it hears %+v, %v", e, err)
	}
	if e, err := l.next(); !errors.Is(err, io.EOF) {
		t.Errorf("and then %+v, %v", e, err)
	}
	if e, err := w.listen(about("insert/I-0001")).next(); err != nil || e.name != "end" {
		t.Errorf("who comes back hears %+v, %v", e, err)
	}
}

// A service that stops does not wait for its streams.
func TestLiveEndsWithTheService(t *testing.T) {
	b, w := listening(t)
	w.at.Config.RegisterOnShutdown(b.server.EndStreams)
	l := w.listen(about("insert/I-0001"))
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
	defer cancel()
	if err := w.at.Config.Shutdown(ctx); err != nil {
		t.Errorf("stopping: %v", err)
	}
	if e, err := l.next(); !errors.Is(err, io.EOF) {
		t.Errorf("it hears %+v, %v", e, err)
	}
}

// One tablet cannot take all streams, and what it gives back it may have again.
func TestLiveIsBounded(t *testing.T) {
	_, w := listening(t)
	var open []*listener
	for range streamsEach {
		open = append(open, w.listen(about("insert/I-0001")))
	}
	if got := w.listen(about("insert/I-0001")).res; got.StatusCode != http.StatusServiceUnavailable || got.Header.Get("Retry-After") == "" {
		t.Errorf("one too many is answered %d", got.StatusCode)
	}
	open[0].res.Body.Close()
	for range 200 {
		if w.listen(about("insert/I-0001")).res.StatusCode == http.StatusOK {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Error("a stream that was closed is never given to another")
}

func TestLiveAsksForWhat(t *testing.T) {
	_, w := listening(t)
	for _, tt := range []struct{ name, query, want string }{
		{"nothing", "", "Name what is to be told of"},
		{"a list that is none", "list=people", "is not a list"},
		{"since no number", "about=insert/I-0001&since=-1", "not a number of entries"},
		{"too much", strings.Repeat("about=a/b&", topicsAtMost+1), "at the most"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w.get("/live?"+tt.query).says(http.StatusUnprocessableEntity, tt.want)
		})
	}
}

// Pages go out compressed to whoever takes that; small ones as they are.
func TestPagesAreCompressed(t *testing.T) {
	_, w := listening(t)
	w.header.Set("Accept-Encoding", "gzip")
	for path, coding := range map[string]string{"/floor": "gzip", "/inserts/I-0001": "gzip", "/livez": ""} {
		_, got := w.send(http.MethodGet, path, nil)
		if got.StatusCode != http.StatusOK || got.Header.Get("Content-Encoding") != coding {
			t.Errorf("%s is answered %d, coded as %q; want %q", path, got.StatusCode, got.Header.Get("Content-Encoding"), coding)
		}
	}
}
