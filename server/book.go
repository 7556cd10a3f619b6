package server

import (
	"errors"
	"net/http"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// book answers GET /book: what the log says of itself, and the way to every
// list.
func (s *Server) book(w http.ResponseWriter, r *http.Request) error {
	b, err := s.store.Book(r.Context())
	if err != nil {
		return err
	}
	p := views.Book{Frame: s.frame(r, "/book"), Site: b.Site, Zone: b.Zone, Entries: b.Size, Sealed: views.Checkpoint{Verifier: b.Verifier}}
	if p.Sealed.Size, p.Sealed.Note, err = s.store.LatestCheckpoint(r.Context()); err != nil && !errors.Is(err, shop.ErrNotFound) {
		return err
	}
	for _, thing := range []struct {
		href string
		e    shop.Event
	}{
		{"/new/order", shop.OrderTaken{}}, {"/new/insert", shop.TravelerOpened{}}, {"/new/design", shop.DesignReleased{}}, {"/new/release", shop.ReleaseDrafted{}},
		{"/new/lot", shop.LotReceived{}}, {"/new/container", shop.ContainerReceived{}}, {"/new/load", shop.LoadOpened{}}, {"/new/mould", shop.MouldReceived{}},
		{"/new/machine", shop.MachineAdded{}}, {"/new/furnace", shop.FurnaceAdded{}}, {"/new/gauge", shop.GaugeAdded{}},
		{"/new/permit", shop.PermitGiven{}}, {"/new/coupon", shop.CouponMade{}}, {"/new/service", shop.EquipmentServiced{}}, {"/new/recipe", shop.RecipeReleased{}}, {"/new/oven", shop.OvenAdded{}}, {"/new/setter", shop.SetterAdded{}}, {"/new/carrier", shop.CarrierAdded{}}, {"/new/cutter", shop.CutterFitted{}}, {"/new/route", shop.RouteReleased{}},
	} {
		if s.may(r, thing.e, "") {
			p.May = append(p.May, thing.href)
		}
	}
	return show(w, r, http.StatusOK, views.BookPage(p))
}
