package server

import (
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// newLot is the form that receives a paste lot.
func (s *Server) newLot() making[shop.LotReceived] {
	return making[shop.LotReceived]{
		path: "/new/lot",
		more: s.labelled(fillLot),
		read: func(_ *http.Request, f *views.Form) (shop.LotReceived, error) {
			said := shop.Fields{}
			unreadScan(said, f)
			e := shop.LotReceived{
				Lot: f.Value("lot"), Material: f.Value("material"), MadeOn: shop.Date(f.Value("made_on")), ExpiresOn: shop.Date(f.Value("expires_on")),
				OpenLifeDays: countOf(said, f, "open_life_days", "The open life"), Certificate: f.Value("certificate"), Supplier: strings.TrimSpace(f.Value("supplier")), Article: f.Value("article"), Label: labelsOf(*f),
				DryingLow: said.Read("drying_low", f.Value("drying_low"), "%", shop.Percentage), DryingHigh: said.Read("drying_high", f.Value("drying_high"), "%", shop.Percentage),
				WetDensity: said.Read("wet_density", f.Value("wet_density"), "g/cm3", shop.Density), Code: newCode(f),
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			box, err := s.labelBox(r, f, "Receive the lot")
			return views.NewLotPage(views.NewLot{New: views.New{Frame: s.frame(r, "/lots"), Form: f}, Label: box}), err
		},
		made: func(e shop.LotReceived) (to, notice string) {
			return views.PageOf("lot", e.Lot), "Lot " + e.Lot + " was received. It may be printed once it is released."
		},
	}
}
