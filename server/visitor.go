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
