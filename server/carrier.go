package server

import (
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// carriers answers GET /carriers.
func (s *Server) carriers(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Carriers(r.Context())
	if err != nil {
		return err
	}
	return s.register(w, r, views.Register{Title: "Carriers", Soft: "Plates and trays: from print to furnace each holds the identity of the green part on it.", Sheet: "In use", Listing: views.Carriers(all)},
		form{"/new/carrier", "Put a carrier into use", shop.CarrierAdded{}})
}

// newCarrier is the form that puts a carrier into use.
func (s *Server) newCarrier() making[shop.CarrierAdded] {
	return making[shop.CarrierAdded]{
		path: "/new/carrier",
		read: func(_ *http.Request, f *views.Form) (shop.CarrierAdded, error) {
			return shop.CarrierAdded{Carrier: f.Value("carrier"), Type: f.Value("type"), Code: newCode(f)}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewCarrierPage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.CarrierAdded) (to, notice string) {
			return "/carriers", "Carrier " + e.Carrier + " is in use."
		},
	}
}

// actCarrier moves a green part onto another carrier.
var actCarrier = act{
	name: views.ActCarrier,
	event: func(f views.Form, insert string) (shop.Event, error) {
		return valid(shop.Fields{}, shop.CarrierChanged{Insert: insert, Carrier: strings.TrimSpace(f.Value("carrier"))})
	},
	past: func(e shop.Event) string {
		moved := e.(shop.CarrierChanged)
		return moved.Insert + " lies on " + moved.Carrier
	},
}

// actMark records the mark of a sintered part, read back by scan.
var actMark = act{
	name: views.ActMark,
	event: func(f views.Form, insert string) (shop.Event, error) {
		read := strings.TrimSpace(f.Value("code"))
		code, ok := shop.ParseScanCode(read)
		if read != "" && !ok {
			return shop.InsertMarked{}, shop.Wrong("code", "%q is not a scan code: scan the mark again.", read)
		}
		return valid(shop.Fields{}, shop.InsertMarked{Insert: insert, How: f.Value("how"), Read: code})
	},
	past: func(e shop.Event) string { return e.(shop.InsertMarked).Insert + " bears its mark" },
}
