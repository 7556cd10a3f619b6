package server

import (
	"net/http"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// passRoutes let the time of a demo pass; a book in earnest has none of them.
func (s *Server) passRoutes(r chi.Router) {
	if s.pass == nil {
		return
	}
	r.Get(views.PassPath, s.page(s.passForm))
	r.Post(views.PassPath, s.page(s.letPass))
}

// passForm answers GET /pass.
func (s *Server) passForm(w http.ResponseWriter, r *http.Request) error {
	return show(w, r, http.StatusOK, views.PassPage(views.Pass{Frame: s.frame(r, ""), Form: blank("", views.PassPath)}))
}

// letPass answers POST /pass: the clock goes on at once. Nothing is recorded.
func (s *Server) letPass(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", views.PassPath)
	if err != nil {
		return err
	}
	minutes, err := strconv.Atoi(f.Value("minutes"))
	if err != nil || minutes < 1 || minutes > views.PassAtMost {
		return shop.Wrong("minutes", "%q is not a time that can pass at once: choose one of those on the page.", f.Value("minutes"))
	}
	s.pass(time.Duration(minutes) * time.Minute)
	return seeOther(w, r, views.PassPath, "The demo's clock went on by "+views.Minutes(minutes)+".")
}
