package server

import (
	"net/http"
	"strings"
	"time"

	"github.com/a-h/templ"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// careOf lists waste and weighings of a container.
func (s *Server) careOf(r *http.Request, container string, zone *time.Location) (views.Listing, error) {
	all, err := s.store.ContainerEvents(r.Context(), container)
	var lines []views.CareLine
	for _, e := range all {
		lines = append(lines, careLine(e))
	}
	return views.CareList(lines, zone), err
}

func careLine(e store.ContainerEvent) views.CareLine {
	return views.CareLine{Does: e.Does, Mass: e.Mass, Note: e.Note, At: e.At.Time, By: e.By}
}

// containerForm is the page of a form about one container.
func (s *Server) containerForm(page func(views.New, []views.Option) templ.Component) func(*http.Request, views.Form) (templ.Component, error) {
	return func(r *http.Request, f views.Form) (templ.Component, error) {
		boxes, err := s.openBoxes(r)
		return page(views.New{Frame: s.frame(r, "/lots"), Form: f}, boxes), err
	}
}

// shortBoxes are the containers of which mass is unexplained, those that are gone
// too.
func (s *Server) shortBoxes(r *http.Request) ([]views.Option, error) {
	all, err := s.store.Balances(r.Context(), "")
	var options []views.Option
	for _, b := range all {
		if b.Unexplained != 0 {
			options = append(options, views.Option{Value: b.Container.Container, Text: b.Container.Container + ", " + views.Grams(b.Unexplained) + " g unexplained"})
		}
	}
	return options, err
}

// openBoxes are the containers in use, of the lot that a form was opened for.
func (s *Server) openBoxes(r *http.Request) ([]views.Option, error) {
	all, err := s.store.Balances(r.Context(), r.URL.Query().Get("lot"))
	var options []views.Option
	for _, b := range all {
		if b.Gone().IsZero() {
			options = append(options, views.Option{Value: b.Container.Container, Text: b.Container.Container + ", " + views.Grams(b.Left) + " g left"})
		}
	}
	return options, err
}

func (s *Server) newWaste() making[shop.PasteWasted] {
	return making[shop.PasteWasted]{
		path: "/new/waste", start: startsWith("container"),
		read: func(_ *http.Request, f *views.Form) (shop.PasteWasted, error) {
			said := shop.Fields{}
			return shop.PasteWasted{Container: f.Value("container"), Mass: said.Read("mass", f.Value("mass"), "g", shop.Mass), Why: strings.TrimSpace(f.Value("why"))}, said.Err()
		},
		page: s.containerForm(views.NewWastePage),
		made: func(e shop.PasteWasted) (to, notice string) {
			return views.PageOf("container", e.Container), "The waste was recorded."
		},
	}
}

func (s *Server) newContainerWeighing() making[shop.ContainerWeighed] {
	return making[shop.ContainerWeighed]{
		path: "/new/container-weighing", start: startsWith("container"),
		read: func(_ *http.Request, f *views.Form) (shop.ContainerWeighed, error) {
			said := shop.Fields{}
			return shop.ContainerWeighed{Container: f.Value("container"), Left: said.Read("left", f.Value("left"), "g", shop.Mass), Note: strings.TrimSpace(f.Value("note"))}, said.Err()
		},
		page: s.containerForm(views.NewContainerWeighingPage),
		made: func(e shop.ContainerWeighed) (to, notice string) {
			return views.PageOf("container", e.Container), "Container " + e.Container + " has " + e.Left.String() + " left in it."
		},
	}
}

func (s *Server) newContainerScrap() making[shop.ContainerScrapped] {
	return making[shop.ContainerScrapped]{
		path: "/new/container-scrap", start: startsWith("container"),
		read: func(_ *http.Request, f *views.Form) (shop.ContainerScrapped, error) {
			said := shop.Fields{}
			return shop.ContainerScrapped{Container: f.Value("container"), Mass: said.Read("mass", f.Value("mass"), "g", shop.Mass), Why: strings.TrimSpace(f.Value("why"))}, said.Err()
		},
		page: s.containerForm(views.NewContainerScrapPage),
		made: func(e shop.ContainerScrapped) (to, notice string) {
			return views.PageOf("container", e.Container), "Container " + e.Container + " was scrapped."
		},
	}
}

func (s *Server) newContainerReturn() making[shop.ContainerReturned] {
	return making[shop.ContainerReturned]{
		path: "/new/container-return", start: startsWith("container"),
		read: func(_ *http.Request, f *views.Form) (shop.ContainerReturned, error) {
			said := shop.Fields{}
			return shop.ContainerReturned{Container: f.Value("container"), Mass: said.Read("mass", f.Value("mass"), "g", shop.Mass), Note: strings.TrimSpace(f.Value("note")), Why: strings.TrimSpace(f.Value("why"))}, said.Err()
		},
		page: s.containerForm(views.NewContainerReturnPage),
		made: func(e shop.ContainerReturned) (to, notice string) {
			return views.PageOf("container", e.Container), "Container " + e.Container + " was sent back with " + e.Mass.String() + " in it."
		},
	}
}

func (s *Server) newDifference() making[shop.DifferenceExplained] {
	return making[shop.DifferenceExplained]{
		path: "/new/difference", start: startsWith("container"),
		read: func(_ *http.Request, f *views.Form) (shop.DifferenceExplained, error) {
			return shop.DifferenceExplained{Container: f.Value("container"), Why: strings.TrimSpace(f.Value("why"))}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			boxes, err := s.shortBoxes(r)
			return views.NewDifferencePage(views.New{Frame: s.frame(r, "/lots"), Form: f}, boxes), err
		},
		made: func(e shop.DifferenceExplained) (to, notice string) {
			return views.PageOf("container", e.Container), "What was found about container " + e.Container + " was recorded."
		},
	}
}
