// Package server answers HTTP: which thing, what was typed, record it, show or
// send on. Rules are in store/shop, pages in views.
package server

import (
	"log/slog"
	"net/http"
	"time"

	"github.com/go-chi/chi/v5"

	"sinterbook/static"
	"sinterbook/store"
)

// Config is what a Server is made of.
type Config struct {
	Store      *store.Store
	Log        *slog.Logger        // nil means slog.Default()
	Secure     bool                // served by TLS: cookies say so
	Demo       bool                // an invented book with ready sign-ins: every page says so
	Pass       func(time.Duration) // sets the demo's clock on; nil where time passes by itself
	SetupToken string              // one-time token of the set-up page, "" where there is none
	Idle       time.Duration       // after which a tablet asks for a badge again; 0 means never
	Verifier   string              // public key that checks checkpoints; the set-up records it
}

// A Server answers requests about one book.
type Server struct {
	store   *store.Store
	log     *slog.Logger
	secure  bool
	demo    bool
	pass    func(time.Duration)
	setup   setup
	idle    time.Duration
	hashes  hasher
	streams *streams
	routes  chi.Router
}

// bodyLimit bounds what a form may send, uploadLimit one that may have photos in
// it: the largest and some more.
const (
	bodyLimit   = 1 << 20
	uploadLimit = 32 << 20
)

// New makes the server of an open book.
func New(c Config) *Server {
	s := &Server{store: c.Store, log: c.Log, secure: c.Secure, demo: c.Demo, pass: c.Pass, idle: c.Idle, setup: setup{token: c.SetupToken, verifier: c.Verifier}, hashes: newHasher(), streams: newStreams()}
	if s.log == nil {
		s.log = slog.Default()
	}
	s.routes = s.router()
	return s
}

// Handler is the server's whole chain.
func (s *Server) Handler() http.Handler { return s.routes }

// router lists the rooms of the house; each file registers its own routes.
func (s *Server) router() chi.Router {
	r := chi.NewRouter()
	r.Use(s.recovered, headers(s.secure), compressed(), s.legible, http.NewCrossOriginProtection().Handler)
	r.Method(http.MethodGet, static.Prefix+"*", static.Handler())
	r.Get("/sw.js", static.Worker)
	r.Get("/livez", s.page(s.alive))
	r.Get("/readyz", s.page(s.ready))
	r.Group(func(r chi.Router) {
		r.Use(s.limited(bodyLimit))
		s.signInRoutes(r)
	})
	r.Group(func(r chi.Router) {
		r.Use(s.limited(uploadLimit), s.signedIn)
		s.documentRoutes(r)
	})
	r.Group(func(r chi.Router) {
		r.Use(s.limited(bodyLimit), s.signedIn)
		s.homeRoutes(r)
		s.stationRoutes(r)
		s.keptRoutes(r)
		s.travelerRoutes(r)
		s.traceRoutes(r)
		s.labelRoutes(r)
		s.floorRoutes(r)
		s.instructionRoutes(r)
		s.paperRoutes(r)
		s.nonconformanceRoutes(r)
		s.lotRoutes(r)
		s.loadRoutes(r)
		s.historyRoutes(r)
		s.nounRoutes(r)
		s.equipmentRoutes(r)
		s.pasteRoutes(r)
		s.passRoutes(r)
		s.liveRoutes(r)
	})
	r.NotFound(s.page(s.notFound))
	return r
}

// now is the book's clock.
func (s *Server) now() time.Time { return s.store.Now() }
