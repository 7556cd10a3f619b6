package server

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/url"
	"path"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/a-h/templ"
	"github.com/google/uuid"

	"sinterbook/static"
	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// A handler answers a request or says why not; page writes the answer to the
// error.
type handler func(w http.ResponseWriter, r *http.Request) error

// page adapts a handler. It has the only table from kind to status; what is in
// no kind is a 500 that says nothing and is logged once, here.
func (s *Server) page(h handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		err := h(w, r)
		if err == nil {
			return
		}
		status, text := answer(err)
		if soon, ok := errors.AsType[*store.TooSoon](err); ok {
			var seconds int
			seconds, text = tooMany(soon)
			status = http.StatusTooManyRequests
			w.Header().Set("Retry-After", strconv.Itoa(seconds))
		}
		if status == http.StatusInternalServerError && r.Context().Err() == nil {
			s.log.Error("answering", "method", r.Method, "path", r.URL.Path, "err", err)
		}
		if status == http.StatusServiceUnavailable {
			w.Header().Set("Retry-After", "1")
		}
		if byScript(r) {
			err = showProblem(w, newProblem(status, text))
			if err != nil && r.Context().Err() == nil {
				s.log.Error("showing a failure", "err", err)
			}
			return
		}
		f := s.frame(r, "")
		f.Live = ""
		if err := show(w, r, status, views.Failure(f, status, text)); err != nil && r.Context().Err() == nil {
			s.log.Error("showing a failure", "err", err)
		}
	}
}

// answer turns an error into a status and a sentence.
func answer(err error) (status int, text string) {
	status = http.StatusInternalServerError
	for _, k := range []struct {
		kind   error
		status int
	}{
		{shop.ErrNotFound, http.StatusNotFound}, {shop.ErrStale, http.StatusConflict}, {shop.ErrConflict, http.StatusConflict},
		{shop.ErrRefused, http.StatusConflict}, {shop.ErrAsks, http.StatusConflict}, {shop.ErrForbidden, http.StatusForbidden},
		{shop.ErrInvalid, http.StatusUnprocessableEntity}, {shop.ErrBusy, http.StatusServiceUnavailable}, {shop.ErrTooLarge, http.StatusRequestEntityTooLarge},
	} {
		if errors.Is(err, k.kind) {
			status = k.status
			break
		}
	}
	text = "Something went wrong here. It was noted; nothing was recorded by this request."
	if no, ok := errors.AsType[*shop.Refusal](err); ok {
		text = no.Why
	}
	if no, ok := errors.AsType[*shop.Invalid](err); ok {
		text = no.Error()
	}
	return status, text
}

// show renders a page whole before the first byte goes out, so that an error
// in the middle is still a clean answer. The notice that it carries is not
// shown again.
func show(w http.ResponseWriter, r *http.Request, status int, c templ.Component) error {
	var b bytes.Buffer
	if err := c.Render(r.Context(), &b); err != nil {
		return fmt.Errorf("rendering %s: %w", r.URL.Path, err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	if _, err := r.Cookie(noticeCookie); err == nil && !forKeeping(r) {
		http.SetCookie(w, &http.Cookie{Name: noticeCookie, Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteLaxMode})
	}
	w.WriteHeader(status)
	_, err := w.Write(b.Bytes())
	return err
}

// recovered turns a panic into a logged 500.
func (s *Server) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if p := recover(); p != nil && p != http.ErrAbortHandler {
				s.log.Error("panic", "path", r.URL.Path, "panic", fmt.Sprint(p), "stack", string(debug.Stack()))
				http.Error(w, "Something went wrong here. It was noted.", http.StatusInternalServerError)
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// policyOfContent allows nothing but the program's own files: no inline script
// or style can run. Reading codes by camera is WebAssembly in a worker; what the
// camera sees comes from no address, so that it needs no media-src.
const policyOfContent = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; connect-src 'self'; " +
	"manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// headers sets what every answer says to the browser.
func headers(secure bool) func(http.Handler) http.Handler {
	return func(next http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			h := w.Header()
			h.Set("X-Content-Type-Options", "nosniff")
			// What is no page needs less; a station loads it over weak Wi-Fi. A worker
			// and a picture that is opened by itself bring their own policy.
			file, name := strings.HasPrefix(r.URL.Path, static.Prefix), path.Base(r.URL.Path)
			if !file || name == "reader.js" || path.Ext(name) == ".svg" {
				h.Set("Content-Security-Policy", policyOfContent)
			}
			if file {
				next.ServeHTTP(w, r)
				return
			}
			h.Set("Referrer-Policy", "same-origin")
			h.Set("Permissions-Policy", "camera=(self), microphone=(), geolocation=()")
			if secure {
				h.Set("Strict-Transport-Security", "max-age=31536000")
			}
			next.ServeHTTP(w, r)
		})
	}
}

// limited refuses a body larger than n bytes, however it is sent. One that says
// its length is refused before any of it is read.
func (s *Server) limited(n int64) func(http.Handler) http.Handler {
	return func(next http.Handler) http.Handler {
		return s.page(func(w http.ResponseWriter, r *http.Request) error {
			if r.ContentLength > n {
				w.Header().Set("Connection", "close")
				return tooLarge(n)
			}
			r.Body = http.MaxBytesReader(w, r.Body, n)
			next.ServeHTTP(w, r)
			return nil
		})
	}
}

func tooLarge(n int64) error {
	return &shop.Refusal{Kind: shop.ErrTooLarge, Why: fmt.Sprintf("That is too large: a form may have %s, with all that is sent in it. Nothing was stored. Go back: what you typed is still there.", views.Bytes(n))}
}

// sheetFrame is the frame of a page that is laid out for paper.
func (s *Server) sheetFrame(r *http.Request, here string) views.Frame {
	f := s.frame(r, here)
	f.Sheets = static.URL("sheets.css")
	return f
}

// frame is what the page of a request shows around its own matter. here is the
// address of the navigation's entry that is being shown.
func (s *Server) frame(r *http.Request, here string) views.Frame {
	v := visitorOf(r)
	f := views.Frame{
		Demo: s.demo, Person: v.Person.Badge, Role: v.Person.RoleWords(), Station: v.Station.Name,
		Icon: static.URL("icon.svg"), Style: static.URL("app.css"), Script: static.URL("app.js"), Camera: static.URL("camera.js"), LiveScript: static.URL("live.js"), Keypad: static.URL("keypad.js"), Queue: static.URL("queue.js"), Modules: []string{static.URL("scan.js")}, Notice: takeNotice(r),
	}
	zone := time.UTC
	if b, err := s.store.Book(r.Context()); err == nil {
		f.Shop, zone, f.Size = b.Site, b.Zone, b.Size
	}
	f.Now = views.Stamp(s.now(), zone)
	if v.Person.Badge == "" {
		return f
	}
	if s.pass != nil && !v.Person.Has(shop.Auditor) {
		f.Pass = views.PassPath
	}
	f.SignOut = "/sign-out"
	if v.Device != "" {
		f.Idle = int(s.idle / time.Second)
	}
	f.Live, f.Again = liveOf(r, f.Size), s.anew(r)
	for _, l := range navigation {
		f.Nav = append(f.Nav, views.Link{Href: l.Href, Text: l.Text, Here: l.Href == here})
	}
	return f
}

// navigation is the way to the pages that everyone may see.
var navigation = []views.Link{
	{Href: "/station", Text: "Station"}, {Href: "/floor", Text: "Floor"}, {Href: "/lots", Text: "Lots"},
	{Href: "/loads", Text: "Loads"}, {Href: "/holds", Text: "Holds"}, {Href: "/trace", Text: "Trace"}, {Href: "/orders", Text: "Orders"}, {Href: "/book", Text: "Book"},
}

// zone is the shop's time zone.
func (s *Server) zone(ctx context.Context) (*time.Location, error) { return s.store.Zone(ctx) }

// blank is a new form with an id of its own and nothing typed.
func blank(name, action string) views.Form {
	return views.Form{Name: name, Action: action, Command: uuid.Must(uuid.NewV7()).String(), Values: url.Values{}}
}

// typed is a form as it was sent.
func typed(r *http.Request, name, action string) (views.Form, error) {
	var files []views.File
	sent, err := inOrder(r)
	if inParts(r) {
		sent, files, err = parts(r)
	} else if err == nil {
		err = r.ParseForm()
	}
	if err == nil {
		err = readable(r.PostForm)
	}
	if over, ok := errors.AsType[*http.MaxBytesError](err); ok {
		return views.Form{}, tooLarge(over.Limit)
	}
	if err != nil {
		return views.Form{}, shop.Wrong("", "The form could not be read: %v.", err)
	}
	return views.Form{Name: name, Action: action, Command: r.PostFormValue("command"), Seen: r.PostFormValue("seen"), Values: r.PostForm, Sent: sent, Files: files}, nil
}

// readable refuses what is no text: a database would, with a worse sentence.
func readable(values url.Values) error {
	for field, list := range values {
		for _, v := range list {
			if !utf8.ValidString(v) || strings.ContainsRune(v, 0) {
				return fmt.Errorf("the field %s has characters that are no text", field)
			}
		}
	}
	return nil
}

// legible refuses an address that says what is no text.
func (s *Server) legible(next http.Handler) http.Handler {
	return s.page(func(w http.ResponseWriter, r *http.Request) error {
		if !utf8.ValidString(r.URL.Path) || strings.ContainsRune(r.URL.Path, 0) || readable(r.URL.Query()) != nil {
			return shop.Wrong("", "This address has characters that are no text.")
		}
		next.ServeHTTP(w, r)
		return nil
	})
}

// inOrder lists the fields of a form that was sent, as they stand on its page;
// what is wrong with them is said in that order.
func inOrder(r *http.Request) (fields []string, err error) {
	if r.PostForm != nil || inParts(r) {
		return nil, nil // it was read before, or is read elsewhere
	}
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, err
	}
	r.Body = io.NopCloser(bytes.NewReader(body))
	for pair := range strings.SplitSeq(string(body), "&") {
		field, _, _ := strings.Cut(pair, "=")
		if field, err := url.QueryUnescape(field); err == nil {
			fields = append(fields, field)
		}
	}
	return fields, nil
}

// entry is what a form says about the recording of an event: whose it is,
// where, when, and the reasons given.
func (s *Server) entry(r *http.Request, f views.Form, e shop.Event) (shop.Entry, error) {
	v := visitorOf(r)
	zone, err := s.zone(r.Context())
	if err != nil {
		return shop.Entry{}, err
	}
	entry := shop.Entry{Event: e, Zone: zone.String(), By: v.Person.Badge, Station: v.Station.Station, Device: v.Device, Reason: f.Value("reason")}
	if entry.ID, err = uuid.Parse(f.Command); err != nil {
		return entry, shop.Wrong("", "This form has lost its number. Open the page again; what you typed can be copied.")
	}
	if at := f.Value("at"); at != "" {
		if entry.At, err = time.ParseInLocation("2006-01-02T15:04", at, zone); err != nil {
			return entry, shop.Wrong("at", "%q is not a time: write it as 2025-11-21T09:00.", at)
		}
	}
	if entry.Paper, entry.By, err = typedFrom(f, entry.By); err != nil {
		return entry, err
	}
	for _, n := range []struct {
		field string
		into  *int64
	}{{"seen", &entry.Seen}, {"corrects", &entry.Corrects}} {
		if text := f.Value(n.field); text != "" {
			if *n.into, err = strconv.ParseInt(text, 10, 64); err != nil {
				return entry, shop.Wrong("", "This form was changed on its way: %s is %q.", n.field, text)
			}
		}
	}
	if entry.Scans, err = s.scansOf(r.Context(), f, pathWord(r, "insert")); err != nil {
		return entry, err
	}
	for _, field := range slices.Sorted(maps.Keys(f.Values)) {
		if gate, ok := strings.CutPrefix(field, "answer."); ok && strings.TrimSpace(f.Value(field)) != "" {
			if entry.Answers == nil {
				entry.Answers = map[string]string{}
			}
			entry.Answers[gate] = strings.TrimSpace(f.Value(field))
		}
	}
	return entry, nil
}

// record stores an event as a form says. When the answer is no and a person
// can put it right, the form says so and ok is false: show it again.
func (s *Server) record(r *http.Request, f *views.Form, e shop.Event) (ok bool, err error) {
	return s.recordAs(r, f, e, "")
}

// recordAs is record for an event that is signed with a meaning, "" for none.
func (s *Server) recordAs(r *http.Request, f *views.Form, e shop.Event, meaning string) (ok bool, err error) {
	if done, err := s.saidRead(r, f); done || err != nil {
		return false, err
	}
	entry, err := s.entry(r, *f, e)
	entry.Meaning = meaning
	if err == nil {
		_, err = s.store.Record(r.Context(), entry)
	}
	if err == nil {
		return true, nil
	}
	return false, s.sentBack(r, f, e, err)
}

// returned writes a no into the form it came from; any other error comes back.
func returned(f *views.Form, err error) error {
	if no, ok := errors.AsType[*shop.Invalid](err); ok {
		f.Wrong = no.Fields
		return nil
	}
	no, ok := errors.AsType[*shop.Refusal](err)
	if !ok || errors.Is(no.Kind, shop.ErrBusy) || errors.Is(no.Kind, shop.ErrForbidden) {
		return err
	}
	f.Refused, f.Objections, f.Meanwhile = no.Why, no.Objections, no.Meanwhile
	f.Asks = errors.Is(no.Kind, shop.ErrAsks)
	if errors.Is(no.Kind, shop.ErrRefused) || f.Asks {
		// A try after a no is another act, so that it is judged anew.
		f.Command = uuid.Must(uuid.NewV7()).String()
	}
	return nil
}

// statusOf is the status under which a form is shown again.
func statusOf(f views.Form) int {
	if f.Noted != "" && !f.Returned() {
		return http.StatusOK
	}
	if f.Refused != "" {
		return http.StatusConflict
	}
	return http.StatusUnprocessableEntity
}

// seeOther sends a person on after an act, with a sentence about it.
func seeOther(w http.ResponseWriter, r *http.Request, to, notice string) error {
	leaveNotice(w, notice)
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

const (
	noticeCookie = "notice"
	noticeAtMost = 300 // letters: a cookie holds 4,096 bytes
)

// leaveNotice leaves a sentence for the next page.
func leaveNotice(w http.ResponseWriter, notice string) {
	if notice != "" {
		notice = views.Brief(notice, noticeAtMost)
		http.SetCookie(w, &http.Cookie{Name: noticeCookie, Value: url.QueryEscape(notice), Path: "/", MaxAge: 10, HttpOnly: true, SameSite: http.SameSiteLaxMode})
	}
}

// takeNotice reads the sentence that the act before left.
func takeNotice(r *http.Request) string {
	c, err := r.Cookie(noticeCookie)
	if err != nil || forKeeping(r) {
		return ""
	}
	text, err := url.QueryUnescape(c.Value)
	if err != nil || utf8.RuneCountInString(text) > noticeAtMost+2 {
		return ""
	}
	return text
}
