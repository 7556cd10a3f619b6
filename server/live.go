package server

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/go-chi/chi/v5"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

const (
	writeWithin   = 10 * time.Second // who takes longer to read an event is gone
	streamsEach   = 8                // streams of one tablet or sign-in
	streamsInAll  = 2000
	catchUpAtMost = 2000 // entries that are read to close a gap
	saidAtMost    = 5    // sentences in one event
	topicsAtMost  = 60   // things that a page is about
)

func (s *Server) liveRoutes(r chi.Router) {
	r.Get("/live", s.page(s.live))
}

// A topic is what a page wants to hear of. Whoever is signed in may read every
// history, so that no change needs to be kept from anybody; badges stand in
// sentences, names do not.
type topic struct {
	kinds []string        // of things, for a list of them
	about map[string]bool // subjects, for a page about them
	held  map[string]bool // subjects whose holds stop what the page is about
}

// lists are the pages that list things, by the kinds that change them.
var lists = map[string][]string{
	"station": {"insert", "hold", "load", "nonconformance", "order"},
	"floor":   {"insert", "hold", "load", "nonconformance", "order"},
	"holds":   {"hold", "nonconformance", "concession", "containment"},
	"loads":   {"load", "hold"},
}

func topicOf(q url.Values) (topic, error) {
	t := topic{about: map[string]bool{}, held: map[string]bool{}}
	if len(q["about"])+len(q["held"]) > topicsAtMost {
		return t, shop.Wrong("about", "A page can be told of changes to %d things at the most.", topicsAtMost)
	}
	for _, subject := range q["about"] {
		t.about[subject] = true
	}
	for _, subject := range q["held"] {
		t.held[subject] = true
	}
	if list := q.Get("list"); list != "" {
		if t.kinds = lists[list]; t.kinds == nil {
			return t, shop.Wrong("list", "%q is not a list whose changes can be told.", list)
		}
	}
	if len(t.about) == 0 && t.kinds == nil {
		return t, shop.Wrong("about", "Name what is to be told of: about, as insert/I-0042, or a list.")
	}
	return t, nil
}

// stops reports whether an entry holds what the page is about.
func (t topic) stops(e shop.Entry) bool {
	h, ok := e.Event.(shop.HoldSet)
	return ok && (t.about[shop.Subject(h.OnKind, h.OnCode)] || t.held[shop.Subject(h.OnKind, h.OnCode)])
}

// concerns reports whether an entry changes the page.
func (t topic) concerns(e shop.Entry) bool {
	_, set := e.Event.(shop.HoldSet)
	_, lifted := e.Event.(shop.HoldLifted)
	return slices.ContainsFunc(e.Subjects(), func(subject string) bool {
		kind, _ := shop.SubjectParts(subject)
		return t.about[subject] || slices.Contains(t.kinds, kind) || (set || lifted) && t.held[subject]
	})
}

// News is one event of a stream.
type News struct {
	Size  int64    `json:"size"`           // entries in the log
	Count int      `json:"count"`          // changes that concern the page
	Said  []string `json:"said,omitempty"` // the latest of them
	Stop  string   `json:"stop,omitempty"` // the one that holds what the page is about
	More  bool     `json:"more,omitempty"` // there are others that were not looked at
}

// of adds an entry.
func (n *News) of(e shop.Entry, t topic, zone *time.Location) {
	if !t.concerns(e) {
		return
	}
	n.Count++
	if n.Said = append(n.Said, views.Told(e, zone)); len(n.Said) > saidAtMost {
		n.Said = n.Said[1:]
	}
	if t.stops(e) {
		n.Stop = views.Told(e, zone)
	}
}

// live answers GET /live: what is recorded about a page's matter, as it is
// recorded, until the browser, the sign-in or the service is gone.
func (s *Server) live(w http.ResponseWriter, r *http.Request) error {
	t, err := topicOf(r.URL.Query())
	if err != nil {
		return err
	}
	l := &stream{s: s, r: r, w: w, out: http.NewResponseController(w), topic: t, badge: visitorOf(r).Person.Badge, trusted: time.Now()}
	if l.seen, err = since(r); err != nil {
		return err
	}
	if l.zone, err = s.zone(r.Context()); err != nil {
		return err
	}
	leave, ok := s.streams.enter(s.streamer(r))
	if !ok {
		return &shop.Refusal{Kind: shop.ErrBusy, Why: "Too many pages are open here that wait for changes. Close some."}
	}
	defer leave()
	if err := l.run(); err != nil && r.Context().Err() == nil {
		s.log.Debug("a stream of changes ended", "err", err)
	}
	return nil
}

// since is the size of the log that the page has seen, -1 where it begins now.
// A browser that comes back by itself says so in a header.
func since(r *http.Request) (int64, error) {
	text := r.Header.Get("Last-Event-ID")
	if text == "" {
		text = r.FormValue("since")
	}
	if text == "" {
		return -1, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 {
		return 0, shop.Wrong("since", "%q is not a number of entries.", text)
	}
	return n, nil
}

// streamer is whose streams are counted together.
func (s *Server) streamer(r *http.Request) string {
	if d := visitorOf(r).Device; d != "" {
		return "device " + d
	}
	return "session " + s.token(r, sessionCookie)
}

// streams counts those that are open.
type streams struct {
	ending  chan struct{} // closed when the service stops
	once    sync.Once
	beat    time.Duration // between signs of life on a stream on which nothing happens
	trusted time.Duration // how long a look at the session holds

	mu   sync.Mutex
	open map[string]int
	all  int
}

func newStreams() *streams {
	return &streams{ending: make(chan struct{}), beat: 15 * time.Second, trusted: 5 * time.Second, open: map[string]int{}}
}

// enter counts one more, unless there are too many.
func (l *streams) enter(who string) (leave func(), ok bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.open[who] >= streamsEach || l.all >= streamsInAll {
		return nil, false
	}
	l.open[who]++
	l.all++
	return func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		if l.all--; l.open[who] > 1 {
			l.open[who]--
		} else {
			delete(l.open, who)
		}
	}, true
}

// EndStreams ends all streams of changes, and those that are still to come: a
// service that stops waits for requests under way, and they would never end.
func (s *Server) EndStreams() { s.streams.once.Do(func() { close(s.streams.ending) }) }

// A stream is one that is open.
type stream struct {
	s       *Server
	r       *http.Request
	w       http.ResponseWriter
	out     *http.ResponseController
	topic   topic
	badge   string
	zone    *time.Location
	seen    int64 // entries that were told of or were none of the page's business
	said    int64 // the same, as the browser knows it
	trusted time.Time
}

func (l *stream) run() error {
	ctx, cancel := context.WithCancel(l.r.Context())
	defer cancel()
	changes := l.s.store.Watch(ctx)
	// The server's limit is for requests that should have come whole by then.
	if err := l.out.SetReadDeadline(time.Time{}); err != nil {
		return err
	}
	defer l.out.SetWriteDeadline(time.Time{}) // the connection may serve other requests yet
	h := l.w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no")     // a proxy in between shall not wait either
	h.Set("No-Gzip-Compression", "true") // nor compression; this one is not sent
	if err := l.write("retry: 2000\n\n"); err != nil {
		return err
	}
	beat := time.NewTicker(l.s.streams.beat)
	defer beat.Stop()
	for {
		var err error
		select {
		case c, open := <-changes:
			if !open {
				return nil
			}
			err = l.tell(ctx, c)
		case <-beat.C:
			err = l.live()
		case <-l.s.streams.ending:
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// errOver ends a stream whose sign-in is over; signedOut tells the browser.
var errOver = errors.New("the sign-in is over")

const signedOut = "event: end\ndata: signed out\n\n"

// check looks whether who asked is still signed in, and says so when not.
func (l *stream) check() error {
	v, err := l.s.visit(l.r)
	if err != nil {
		return err
	}
	if v.Person.Badge != l.badge {
		return cmp.Or(l.write(signedOut), errOver)
	}
	l.trusted = time.Now()
	return nil
}

// live is a sign of life; it says how far the browser needs not look back.
func (l *stream) live() error {
	if err := l.check(); err != nil {
		return err
	}
	if l.said == l.seen {
		return l.write(": nothing new\n\n")
	}
	l.said = l.seen
	return l.write(fmt.Sprintf("id: %d\nevent: at\ndata: %d\n\n", l.seen, l.seen))
}

// tell says what a change means for the page.
func (l *stream) tell(ctx context.Context, c store.Change) error {
	news, err := l.news(ctx, c)
	l.seen = c.Size
	if err != nil || news.Count == 0 && !news.More {
		return err
	}
	if time.Since(l.trusted) > l.s.streams.trusted {
		if err := l.check(); err != nil {
			return err
		}
	}
	data, err := json.Marshal(news)
	if err != nil {
		return err
	}
	l.said = l.seen
	return l.write(fmt.Sprintf("id: %d\ndata: %s\n\n", l.seen, data))
}

// news sums up a change, and what happened before it that was not told yet.
func (l *stream) news(ctx context.Context, c store.Change) (News, error) {
	n := News{Size: c.Size}
	switch {
	case l.seen < 0:
		return n, nil // it begins here
	case l.seen > c.Size:
		n.More = true // another book: a copy was put back
		return n, nil
	}
	entries := c.Entries
	if l.seen < c.From || len(entries) == 0 && l.seen < c.Size {
		from := max(l.seen, c.Size-catchUpAtMost)
		n.More = from > l.seen
		var err error
		if entries, err = l.s.store.Entries(ctx, from, int(c.Size-from)); err != nil {
			return n, err
		}
	}
	for _, e := range entries {
		if e.Seq >= l.seen {
			n.of(e.Entry, l.topic, l.zone)
		}
	}
	return n, nil
}

// write sends text at once, or fails within a time: a browser that reads no
// more must not hold anything.
func (l *stream) write(text string) error {
	if err := l.out.SetWriteDeadline(time.Now().Add(writeWithin)); err != nil {
		return err
	}
	if _, err := l.w.Write([]byte(text)); err != nil {
		return err
	}
	return l.out.Flush()
}

// wantsStream reports whether it is a stream of changes that is asked for.
func wantsStream(r *http.Request) bool {
	return strings.Contains(r.Header.Get("Accept"), "text/event-stream")
}

// streamOver answers a browser that comes back for a stream after its sign-in
// ended: an answer that is no stream it could not tell from a lost connection.
func streamOver(w http.ResponseWriter) error {
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	_, err := w.Write([]byte(signedOut))
	return err
}

// liveOf is where a page that was read at a size of the log hears of changes:
// to the list, or to the things that its address names.
func liveOf(r *http.Request, size int64) string {
	q := url.Values{"since": {strconv.FormatInt(size, 10)}}
	for _, kind := range pageKinds {
		if number := pathWord(r, kind); number != "" {
			q.Add("about", shop.Subject(kind, number))
		}
	}
	if !q.Has("about") {
		return ""
	}
	return "/live?" + q.Encode()
}

// pageKinds are the kinds of thing that addresses name by their own word.
var pageKinds = []string{"insert", "lot", "load", "order", "mould", "release", "hold", "nonconformance", "concession", "containment"}

// liveList is the same for a page that lists things.
func liveList(f views.Frame, list string) string {
	return "/live?" + url.Values{"list": {list}, "since": {strconv.FormatInt(f.Size, 10)}}.Encode()
}

// anew is the address under which the page that answers a request is shown
// again, "" where there is none.
func (s *Server) anew(r *http.Request) string {
	switch {
	case r.Method == http.MethodGet:
		return r.URL.RequestURI()
	case s.routes != nil && s.routes.Match(chi.NewRouteContext(), http.MethodGet, r.URL.Path):
		return r.URL.RequestURI()
	}
	return ""
}
