package server

import (
	"net/http"
	"slices"
	"time"

	"github.com/go-chi/chi/v5"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) floorRoutes(r chi.Router) {
	r.Get("/floor", s.page(s.floor))
	r.Get("/holds", s.page(s.holds))
	r.Post("/holds", s.page(s.setHold))
	r.Get("/holds/{hold}", s.page(s.hold))
	r.Post("/holds/{hold}", s.page(s.liftHold))
}

// floor answers GET /floor.
func (s *Server) floor(w http.ResponseWriter, r *http.Request) error {
	b := store.Board{Next: r.FormValue("next"), Limit: rowsAPage}
	if b.Next != "" && !slices.Contains(shop.Operations, b.Next) {
		return shop.Wrong("next", "%q is not an operation of the route.", b.Next)
	}
	var err error
	if b.After, err = after(r); err != nil {
		return err
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return err
	}
	f := s.frame(r, "/floor")
	f.Live = liveList(f, "floor")
	rows, err := s.store.Board(r.Context(), b)
	if err != nil {
		return err
	}
	p := views.Floor{Frame: f, Next: b.Next, Lines: floorLines(rows, s.now(), zone)}
	if err := s.floorPages(r, b, rows, &p); err != nil {
		return err
	}
	if p.Ready, err = s.waiting(r, zone); err != nil {
		return err
	}
	if p.Paste, err = s.openPaste(r, zone); err != nil {
		return err
	}
	tallies, err := s.store.Tallies(r.Context())
	if err != nil {
		return err
	}
	for _, t := range tallies {
		p.Counts = append(p.Counts, views.Count{Status: t.Status, Count: t.Count})
	}
	p.Counts = views.InOrder(p.Counts)
	return show(w, r, http.StatusOK, views.FloorPage(p))
}

// floorPages fills in where the page lies in the whole list.
func (s *Server) floorPages(r *http.Request, b store.Board, rows []store.BoardRow, p *views.Floor) error {
	all, before, previous, err := s.store.BoardPlace(r.Context(), b)
	if err != nil {
		return err
	}
	p.Total, p.Before = all, before
	if before > 0 {
		p.Prev = views.FloorHref(b.Next, previous)
	}
	if before+len(rows) < all && len(rows) > 0 {
		p.Further = views.FloorHref(b.Next, rows[len(rows)-1].ID)
	}
	return nil
}

func floorLines(rows []store.BoardRow, now time.Time, zone *time.Location) []views.FloorLine {
	lines := make([]views.FloorLine, len(rows))
	for i, r := range rows {
		lines[i] = views.FloorLine{Insert: r.Insert, Design: r.Design, Name: r.Name, Order: r.Order, Customer: r.Customer,
			Status: r.Status, Place: r.Place, Next: r.Next, Begun: r.Begun, Held: r.Held, Open: r.Open}.At(r.Since, now, r.Due, zone)
	}
	return lines
}

// waiting groups the dried inserts that nothing stops by the recipe they ask
// for: those that could share a load.
func (s *Server) waiting(r *http.Request, zone *time.Location) ([]views.Ready, error) {
	rows, err := s.store.Board(r.Context(), store.Board{Next: shop.OpSinter, Limit: rowsAPage})
	if err != nil {
		return nil, err
	}
	byRecipe := map[string][]store.BoardRow{}
	var recipes []string
	for _, row := range rows {
		if row.Begun || row.Held != "" || row.Open != "" || row.Status != shop.StatusDried {
			continue
		}
		if byRecipe[row.Recipe] == nil {
			recipes = append(recipes, row.Recipe)
		}
		byRecipe[row.Recipe] = append(byRecipe[row.Recipe], row)
	}
	slices.Sort(recipes)
	var groups []views.Ready
	for _, recipe := range recipes {
		groups = append(groups, views.Ready{Recipe: recipe, Lines: floorLines(byRecipe[recipe], s.now(), zone)})
	}
	return groups, nil
}
