package server

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
)

func (s *Server) homeRoutes(r chi.Router) {
	r.Get("/", s.page(s.home))
	s.personRoutes(r)
	s.tabletRoutes(r)
}

// home answers GET /: the page on which a person's day begins.
func (s *Server) home(w http.ResponseWriter, r *http.Request) error {
	if visitorOf(r).Station.Station != "" {
		return seeOther(w, r, "/station", "")
	}
	return seeOther(w, r, "/floor", "")
}

// alive answers GET /livez.
func (s *Server) alive(w http.ResponseWriter, _ *http.Request) error { return plain(w, "alive\n") }

// ready answers GET /readyz: whether the book can be read.
func (s *Server) ready(w http.ResponseWriter, r *http.Request) error {
	if err := s.store.Ready(r.Context()); err != nil {
		return err
	}
	return plain(w, "ready\n")
}

func plain(w http.ResponseWriter, text string) error {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_, err := w.Write([]byte(text))
	return err
}

// notFound answers every address that has no page.
func (s *Server) notFound(w http.ResponseWriter, r *http.Request) error {
	return &shop.Refusal{Kind: shop.ErrNotFound, Why: "There is no page at " + r.URL.Path + "."}
}
