package server

import (
	"errors"
	"net/http"
	"slices"

	"sinterbook/static"
	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// conformity answers GET /inserts/{insert}/certificate.
func (s *Server) conformity(w http.ResponseWriter, r *http.Request) error {
	t, err := s.travelerPage(r)
	if err != nil {
		return err
	}
	if err := s.inspected(r, &t); err != nil {
		return err
	}
	t.Sheets = static.URL("sheets.css")
	p := views.Conformity{Traveler: t}
	trace, err := s.store.Trace(r.Context(), store.Thing{Kind: "insert", Number: t.Insert.Insert}, shop.Window{})
	if err != nil {
		return err
	}
	p.Lots = trace.Numbers("lot")
	if notes := trace.Numbers("delivery"); len(notes) > 0 && t.Insert.Status == shop.StatusDelivered {
		p.Note = notes[len(notes)-1]
	}
	if p.Concessions, err = s.store.ConcessionsOn(r.Context(), t.Insert.Insert); err != nil {
		return err
	}
	p.Concessions = slices.DeleteFunc(p.Concessions, func(c shop.Concession) bool { return !c.WithdrawnAt.IsZero() })
	if p.Stops, err = s.store.Impediments(r.Context(), t.Insert.Insert); err != nil {
		return err
	}
	book, err := s.store.Book(r.Context())
	if err != nil {
		return err
	}
	if p.Sealed.Size, p.Sealed.Note, err = s.store.LatestCheckpoint(r.Context()); err != nil && !errors.Is(err, shop.ErrNotFound) {
		return err
	}
	p.Sealed.Verifier = book.Verifier
	subject := shop.Subject("insert", t.Insert.Insert)
	last, err := s.store.History(r.Context(), subject, t.Insert.Count-1, 1)
	if err != nil {
		return err
	}
	if len(last) == 0 || last[0].Seq >= p.Sealed.Size { // the newest of its record is not signed for yet
		p.Sealed = views.Checkpoint{}
	}
	return show(w, r, http.StatusOK, views.ConformityPage(p))
}
