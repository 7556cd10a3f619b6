package server

import (
	"errors"
	"net/http"
	"strings"
	"time"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// A shift is how long a sign-in lasts at most.
const shift = 12 * time.Hour

// The cookies: who is signed in, and which tablet this is.
const (
	sessionCookie = "session"
	deviceCookie  = "tablet"
	deviceLasts   = 400 * 24 * time.Hour // as long as browsers keep a cookie
)

// cookie makes a cookie that scripts cannot read and other sites cannot send;
// under TLS its name binds it to this host.
func (s *Server) cookie(name, value string, lasts time.Duration) *http.Cookie {
	c := &http.Cookie{Name: s.cookieName(name), Value: value, Path: "/", MaxAge: int(lasts / time.Second), HttpOnly: true, Secure: s.secure, SameSite: http.SameSiteLaxMode}
	if lasts <= 0 {
		c.MaxAge = -1
	}
	return c
}

func (s *Server) cookieName(name string) string {
	if s.secure {
		return "__Host-" + name
	}
	return name
}

func (s *Server) token(r *http.Request, name string) string {
	c, err := r.Cookie(s.cookieName(name))
	if err != nil {
		return ""
	}
	return c.Value
}

// begin signs a person in on this browser under a new token.
func (s *Server) begin(w http.ResponseWriter, r *http.Request, badge, how string, d store.Device) error {
	token, now := store.NewToken(), s.now()
	b := store.Session{Badge: badge, Station: d.Station, Device: d.Device, How: how, Began: now, Ends: now.Add(shift)}
	if err := s.store.BeginSession(r.Context(), b, token, s.token(r, sessionCookie)); err != nil {
		return err
	}
	http.SetCookie(w, s.cookie(sessionCookie, token, shift))
	return nil
}

// device is the tablet that a request comes from; its Device is "" when it is
// none.
func (s *Server) device(r *http.Request) (store.Device, error) {
	token := s.token(r, deviceCookie)
	if token == "" {
		return store.Device{}, nil
	}
	d, err := s.store.Device(r.Context(), token)
	if errors.Is(err, shop.ErrNotFound) {
		return store.Device{}, nil
	}
	return d, err
}

// visit is who a request comes from; nobody is signed in when the badge is "".
func (s *Server) visit(r *http.Request) (visitor, error) {
	token := s.token(r, sessionCookie)
	if token == "" {
		return visitor{}, nil
	}
	b, err := s.store.Session(r.Context(), token)
	if errors.Is(err, shop.ErrNotFound) {
		return visitor{}, nil
	}
	if err != nil {
		return visitor{}, err
	}
	v := visitor{Device: b.Device}
	if b.Device != "" && s.idle > 0 {
		since := s.now().Sub(b.Seen)
		if since > s.idle {
			return visitor{}, nil
		}
		if since > min(time.Minute, s.idle/10) && fromPerson(r) {
			if err := s.store.SeenSession(r.Context(), token); err != nil {
				return visitor{}, err
			}
		}
	}
	if v.Person, err = s.store.Person(r.Context(), b.Badge); err != nil {
		return visitor{}, err
	}
	here, err := s.here(r, v.Person)
	if err != nil || !here {
		return visitor{}, err
	}
	if b.Station != "" {
		v.Station, err = s.store.Station(r.Context(), b.Station)
	}
	return v, err
}

// fromPerson reports whether a request comes from a person's hand: what a page asks
// for by itself is no sign that anybody is there.
func fromPerson(r *http.Request) bool {
	if r.Header.Get(scriptHeader) == "again" || forKeeping(r) || r.URL.Path == "/live" || r.URL.Path == "/station/keep.json" {
		return false
	}
	mode := r.Header.Get("Sec-Fetch-Mode")
	return mode == "" || mode == "navigate" || r.Method == http.MethodPost
}

// stillHere answers POST /here: whoever types at a station is there.
func (s *Server) stillHere(w http.ResponseWriter, _ *http.Request) error {
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// here reports whether a person is of the shop on this day.
func (s *Server) here(r *http.Request, p shop.Person) (bool, error) {
	zone, err := s.zone(r.Context())
	if err != nil {
		return false, err
	}
	day := shop.DayOf(s.now(), zone)
	return p.From <= day && (p.Until == "" || day <= p.Until), nil
}

// signedIn lets only those through who are signed in. A page that was asked
// for is shown after signing in; a form that was sent is not carried over.
func (s *Server) signedIn(next http.Handler) http.Handler {
	return s.page(func(w http.ResponseWriter, r *http.Request) error {
		v, err := s.visit(r)
		if err != nil {
			return err
		}
		if v.Person.Badge == "" {
			return s.turnAway(w, r)
		}
		r = withVisitor(r, v)
		if v.Person.Has(shop.Auditor) && !harmless(r, v.Person.Badge) {
			return &shop.Refusal{Kind: shop.ErrForbidden, Why: "An auditor reads and prints, and changes nothing. Nothing was recorded."}
		}
		next.ServeHTTP(w, r)
		return nil
	})
}

// harmless is what an auditor may send: what changes nothing in the shop.
func harmless(r *http.Request, badge string) bool {
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		return true
	}
	return r.URL.Path == "/sign-out" || r.URL.Path == "/here" || r.URL.Path == views.PageOf("person", badge)+"/keys"
}

// lockedOut answers what was sent from a station whose tablet has locked
// itself, or whose shift is over: nothing is recorded, and what was typed comes
// back behind the badge of whoever is there.
func (s *Server) lockedOut(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", "")
	if err != nil {
		return err
	}
	return seeOther(w, r, signInFor(benchAt(pathWord(r, "insert"), carried(f.Values)), ""), "Nobody was signed in here any more: nothing was recorded. Scan your badge, and what was typed comes back.")
}

// turnAway answers who is not signed in.
func (s *Server) turnAway(w http.ResponseWriter, r *http.Request) error {
	if byScript(r) {
		return showProblem(w, newProblem(http.StatusUnauthorized, "Nobody is signed in at this tablet: what it keeps is sent once somebody is."))
	}
	if wantsStream(r) {
		return streamOver(w)
	}
	if r.Method == http.MethodGet || r.Method == http.MethodHead {
		return seeOther(w, r, signInFor(r.URL.RequestURI(), ""), "")
	}
	d, err := s.device(r)
	if err != nil {
		return err
	}
	if d.Device != "" && strings.HasPrefix(r.URL.Path, "/station/") && (pathWord(r, "insert") != "" || r.URL.Path == "/station/scan") {
		return s.lockedOut(w, r)
	}
	return s.askSignIn(w, r, http.StatusUnauthorized, doorForm("", ""),
		"You are not signed in any more, and nothing was recorded. Sign in in another tab, come back to this one, and send the page again: what you typed is still in it.")
}
