package server

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/go-chi/chi/v5"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) signInRoutes(r chi.Router) {
	r.Get("/sign-in", s.page(s.signInForm))
	r.Post("/sign-in", s.page(s.signIn))
	r.Post("/sign-out", s.page(s.signOut))
	r.Get("/set-up", s.page(s.setUpForm))
	r.Post("/set-up", s.page(s.setUp))
	r.Get("/tablet", s.page(s.tabletForm))
	r.Post("/tablet", s.page(s.tablet))
}

// signInFor is the sign-in page that leads on to a page of this program.
func signInFor(next, badge string) string {
	q := url.Values{}
	if next = ownPath(next); next != "/" {
		q.Set("next", next)
	}
	if badge != "" {
		q.Set("badge", badge)
	}
	if len(q) == 0 {
		return "/sign-in"
	}
	return "/sign-in?" + q.Encode()
}

// ownPath is an address if it is one of this program's, else "/": nobody is
// sent elsewhere after signing in.
func ownPath(address string) string {
	u, err := url.Parse(address)
	if err != nil || u.IsAbs() || u.Host != "" || u.User != nil || !strings.HasPrefix(address, "/") ||
		strings.HasPrefix(address, "//") || strings.ContainsAny(address, "\\\r\n\t") {
		return "/"
	}
	return address
}

// doorForm is the sign-in form. It has no number of an act: signing in is
// none.
func doorForm(badge, next string) views.Form {
	return views.Form{Action: "/sign-in", Values: url.Values{"badge": {badge}, "next": {ownPath(next)}}}
}

// signInForm answers GET /sign-in.
func (s *Server) signInForm(w http.ResponseWriter, r *http.Request) error {
	if empty, err := s.empty(r.Context()); err != nil || empty {
		return errors.Join(err, show(w, r, http.StatusOK, views.SignInPage(views.SignIn{Frame: s.frame(r, ""), Empty: true})))
	}
	q := r.URL.Query()
	return s.askSignIn(w, r, http.StatusOK, doorForm(q.Get("badge"), q.Get("next")), "")
}

// askSignIn shows the sign-in page: a badge and PIN at a registered tablet, a
// password elsewhere.
func (s *Server) askSignIn(w http.ResponseWriter, r *http.Request, status int, f views.Form, why string) error {
	d, err := s.device(r)
	if err != nil {
		return err
	}
	p := views.SignIn{Frame: s.frame(r, ""), Form: f, Why: why}
	if d.Device != "" {
		st, err := s.store.Station(r.Context(), d.Station)
		if err != nil {
			return err
		}
		p.Frame.Station = st.Name
	}
	return show(w, r, status, views.SignInPage(p))
}

// wrongSignIn is the same for a badge that nobody has and a wrong secret.
const wrongSignIn = "The badge or what was typed with it is not right."

// signIn answers POST /sign-in.
func (s *Server) signIn(w http.ResponseWriter, r *http.Request) error {
	f := doorForm(strings.TrimSpace(r.PostFormValue("badge")), r.PostFormValue("next"))
	d, err := s.device(r)
	if err != nil {
		return err
	}
	how, secret, of := "password", r.PostFormValue("password"), passwordOf
	if d.Device != "" {
		how, secret, of = "PIN", r.PostFormValue("pin"), pinOf
	}
	if back, err := s.backAgain(w, r, f, secret, d); back || err != nil {
		return err
	}
	if d.Device != "" && secret == "" && f.Value("badge") != "" { // a badge scan: the PIN comes next
		return s.askSignIn(w, r, http.StatusOK, f, "")
	}
	badge, why, err := s.admit(r, f.Value("badge"), secret, how, of)
	if soon, ok := errors.AsType[*store.TooSoon](err); ok {
		seconds, why := tooMany(soon)
		w.Header().Set("Retry-After", strconv.Itoa(seconds))
		return s.askSignIn(w, r, http.StatusTooManyRequests, f, why)
	}
	if err != nil {
		return err
	}
	if why != "" {
		return s.askSignIn(w, r, http.StatusUnprocessableEntity, f, why)
	}
	if err := s.begin(w, r, badge, how, d); err != nil {
		return err
	}
	return seeOther(w, r, f.Value("next"), "")
}

// backAgain lets somebody go on who gave their PIN at this tablet earlier in the
// shift and scans their badge.
func (s *Server) backAgain(w http.ResponseWriter, r *http.Request, f views.Form, pin string, d store.Device) (bool, error) {
	text, _ := shop.Unwrapped(f.Value("badge"))
	sc, err := s.store.Read(r.Context(), text)
	if _, no := isNo(err); no || err == nil && (pin != "" || d.Device == "" || sc.Kind != "person" || !sc.Scanned) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	token := store.NewToken()
	err = s.store.SwitchSession(r.Context(), sc.Number, d.Device, token, s.token(r, sessionCookie))
	if errors.Is(err, shop.ErrNotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	http.SetCookie(w, s.cookie(sessionCookie, token, shift))
	return true, seeOther(w, r, f.Value("next"), "Badge "+sc.Number+" works here now.")
}

// admit says who signs in, or why not.
func (s *Server) admit(r *http.Request, typed, secret, how string, of secretOf) (badge, why string, err error) {
	if typed == "" || secret == "" {
		return "", "Both are needed: the badge, and its " + how + ".", nil
	}
	if typed, _ = shop.Unwrapped(typed); readable(url.Values{"badge": {typed}}) != nil {
		return "", wrongSignIn, nil
	}
	badge, err = s.badgeOf(r, typed)
	if err != nil {
		return "", "", err
	}
	right, err := s.prove(r, badge, secret, of)
	if err != nil || !right {
		return "", wrongSignIn, err
	}
	p, err := s.store.Person(r.Context(), badge)
	if err != nil {
		return "", "", err
	}
	here, err := s.here(r, p)
	if err == nil && !here {
		why = "Badge " + badge + " is not valid on this day. The quality manager can change its days."
	}
	return badge, why, err
}

// badgeOf is the badge that was scanned or typed, as the book spells it; what
// is nobody's comes back as it is.
func (s *Server) badgeOf(r *http.Request, typed string) (string, error) {
	t, err := s.store.Read(r.Context(), typed)
	if err == nil && t.Kind == "person" && t.Scanned {
		return t.Number, nil
	}
	if _, no := isNo(err); err != nil && !no {
		return "", err
	}
	return s.store.Badge(r.Context(), typed)
}

// signOut answers POST /sign-out.
func (s *Server) signOut(w http.ResponseWriter, r *http.Request) error {
	if token := s.token(r, sessionCookie); token != "" {
		if err := s.store.EndSession(r.Context(), token); err != nil {
			return err
		}
	}
	http.SetCookie(w, s.cookie(sessionCookie, "", 0))
	return seeOther(w, r, "/sign-in", "")
}

// switchTo gives the tablet to whoever scanned their badge, if they gave their
// PIN here in this shift; else it asks for the PIN. What is on the bench stays,
// with what was typed.
func (s *Server) switchTo(w http.ResponseWriter, r *http.Request, q url.Values, badge string, scanned bool) error {
	if visitorOf(r).Device == "" {
		return s.misread(w, r, "A badge scan changes who works at a registered tablet. This is none: sign out, and sign in as badge "+badge+".")
	}
	return s.switchAt(w, r, benchAt(pathWord(r, "insert"), q), badge, scanned)
}

// switchAt is switchTo on any page of a tablet.
func (s *Server) switchAt(w http.ResponseWriter, r *http.Request, back, badge string, scanned bool) error {
	v := visitorOf(r)
	if !scanned || v.Device == "" {
		return seeOther(w, r, signInFor(back, badge), "")
	}
	if badge == v.Person.Badge {
		return seeOther(w, r, back, "Badge "+badge+" is signed in already.")
	}
	token := store.NewToken()
	err := s.store.SwitchSession(r.Context(), badge, v.Device, token, s.token(r, sessionCookie))
	if errors.Is(err, shop.ErrNotFound) {
		return seeOther(w, r, signInFor(back, badge), "")
	}
	if err != nil {
		return err
	}
	http.SetCookie(w, s.cookie(sessionCookie, token, shift))
	return seeOther(w, r, back, "Badge "+badge+" works here now.")
}
