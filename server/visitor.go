package server

import (
	"context"
	"net/http"

	"sinterbook/store/shop"
)

// A visitor is who sends a request, and from where.
type visitor struct {
	Person  shop.Person  // Badge "" when nobody is signed in
	Station shop.Station // Station "" away from a registered tablet
	Device  string
}

type visitorKey struct{}

func visitorOf(r *http.Request) visitor {
	v, _ := r.Context().Value(visitorKey{}).(visitor)
	return v
}

func withVisitor(r *http.Request, v visitor) *http.Request {
	return r.WithContext(context.WithValue(r.Context(), visitorKey{}, v))
}

// only lets the roles through; everyone else is told whose page it is.
func (s *Server) only(roles ...shop.Role) func(http.Handler) http.Handler {
	return func(next http.Handler) http.Handler {
		return s.page(func(w http.ResponseWriter, r *http.Request) error {
			if !visitorOf(r).Person.Has(roles...) {
				var words []string
				for _, role := range roles {
					words = append(words, "the "+string(role))
				}
				return &shop.Refusal{Kind: shop.ErrForbidden, Why: "This page is for " + shop.Listed(words) + "."}
			}
			next.ServeHTTP(w, r)
			return nil
		})
	}
}
