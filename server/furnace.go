package server

import (
	"cmp"
	"net/http"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// furnaces answers GET /furnaces.
func (s *Server) furnaces(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Furnaces(r.Context())
	if err != nil {
		return err
	}
	held, err := s.heldOf(r, "furnace")
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.FurnacesPage(views.Furnaces{Frame: s.frame(r, "/book"), Furnaces: all, Held: held, New: s.may(r, shop.FurnaceAdded{}, "")}))
}

// newFurnace is the form that puts a furnace on the floor.
func (s *Server) newFurnace() making[shop.FurnaceAdded] {
	return making[shop.FurnaceAdded]{
		path: "/new/furnace",
		more: moreLines,
		read: func(_ *http.Request, f *views.Form) (shop.FurnaceAdded, error) {
			e := shop.FurnaceAdded{Furnace: f.Value("furnace"), Code: newCode(f)}
			said := shop.Fields{}
			for n := range closeUp(f, "positions", "zone", "use") {
				e.Positions = append(e.Positions, positionOf(said, f, n+1))
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewFurnacePage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.FurnaceAdded) (to, notice string) {
			return "/furnaces", "Furnace " + e.Furnace + " was added."
		},
	}
}

// positionOf reads a line of the table of positions. What is missing in it is
// said there, and not once more about the table.
func positionOf(said shop.Fields, f *views.Form, n int) shop.Position {
	at := func(column string) string { return views.Cell("positions", n, column) }
	p := shop.Position{Position: f.Value(at("")), Zone: f.Value(at("zone")), Use: f.Value(at("use"))}
	said.Need(at(""), p.Position, "The name of the position")
	said.Need(at("zone"), p.Zone, "The zone of the position")
	said.Need(at("use"), p.Use, "What the position is for")
	p.Position, p.Use = cmp.Or(p.Position, at("")), cmp.Or(p.Use, "insert")
	return p
}
