package server

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// newContainer is the form that receives a container of a lot.
func (s *Server) newContainer() making[shop.ContainerReceived] {
	return making[shop.ContainerReceived]{
		path:  "/new/container",
		start: s.proposeContainer,
		more:  s.labelled(s.fillContainer),
		read: func(_ *http.Request, f *views.Form) (shop.ContainerReceived, error) {
			said := shop.Fields{}
			unreadScan(said, f)
			e := shop.ContainerReceived{
				Container: f.Value("container"), Lot: f.Value("lot"), Mass: measured(said, f, "mass", "mass_unit", "The unit of the mass", shop.Mass),
				Article: f.Value("article"), Serial: f.Value("serial"), Label: labelsOf(*f), Code: newCode(f),
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			lots, err := s.store.Lots(r.Context())
			if err != nil {
				return nil, err
			}
			box, err := s.labelBox(r, f, "Receive the container")
			mass, _ := shop.ParseReading(f.Value("mass"), f.Value("mass_unit"), shop.Mass) // none where nothing sensible was typed
			for _, l := range box.Read {
				if said := l.AmountSays(mass); said != "" {
					box.Notes = append(box.Notes, said)
				}
			}
			if i := slices.IndexFunc(lots, func(l shop.Lot) bool { return l.Lot == f.Value("lot") }); i >= 0 {
				for _, l := range box.Read {
					box.Notes = append(box.Notes, labelAgainstLot(l, lots[i])...)
				}
			}
			return views.NewContainerPage(views.NewContainer{New: views.New{Frame: s.frame(r, "/lots"), Form: f}, Label: box, Lots: lots}), err
		},
		made: func(e shop.ContainerReceived) (to, notice string) {
			return views.PageOf("container", e.Container), "Container " + e.Container + " was received."
		},
	}
}

// proposeContainer takes the lot from the address and proposes the number
// after those that it has.
func (s *Server) proposeContainer(r *http.Request, f *views.Form) error {
	lot := r.FormValue("lot")
	if lot == "" {
		return nil
	}
	f.Values.Set("lot", lot)
	return s.proposeNumber(r, f, lot)
}

// proposeNumber proposes the number after those that a lot has.
func (s *Server) proposeNumber(r *http.Request, f *views.Form, lot string) error {
	boxes, err := s.store.Containers(r.Context(), lot)
	f.Values.Set("container", fmt.Sprintf("%s/%02d", lot, len(boxes)+1))
	return err
}

// actOpen is the opening of a container as a paper form has it.
var actOpen = act{
	name: views.ActOpen, operation: shop.OpPrint,
	event: func(f views.Form, _ string) (shop.Event, error) {
		return valid(shop.Fields{}, shop.ContainerOpened{Container: strings.TrimSpace(f.Value("container"))})
	},
	past: func(e shop.Event) string { return "Container " + e.(shop.ContainerOpened).Container + " opened" },
}
