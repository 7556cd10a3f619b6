package server

import (
	"errors"
	"net/http"
	"time"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) containersOf(r *http.Request, lot string) ([]views.ContainerLine, error) {
	balances, err := s.store.Balances(r.Context(), lot)
	if err != nil {
		return nil, err
	}
	return s.containerLines(r, balances)
}

// containerLines are containers with their lots and the holds on both.
func (s *Server) containerLines(r *http.Request, balances []store.Balance) ([]views.ContainerLine, error) {
	held, err := s.heldOf(r, "container")
	if err != nil {
		return nil, err
	}
	lotHeld, err := s.heldOf(r, "lot")
	if err != nil {
		return nil, err
	}
	lots, err := s.store.Lots(r.Context())
	of := map[string]shop.Lot{}
	for _, l := range lots {
		of[l.Lot] = l
	}
	lines := make([]views.ContainerLine, len(balances))
	for i, b := range balances {
		lines[i] = views.ContainerLine{Container: b.Container, Of: of[b.Lot], Drawn: b.Drawn, Purged: b.Purged, Wasted: b.Wasted, SentBack: b.Returned, Unexplained: b.Unexplained,
			Held: held[b.Container.Container], LotHeld: lotHeld[b.Lot], Over: b.Over(), Limit: b.Limit, Answer: b.Answer}
	}
	return lines, err
}

// takings are what an insert of each design takes of a paste of a wet density.
func (s *Server) takings(r *http.Request, releases []shop.Release, wet shop.Reading) ([]views.Taking, error) {
	all, err := s.store.Takings(r.Context(), releases, wet, s.now())
	takings := make([]views.Taking, len(all))
	for i, t := range all {
		takings[i] = views.Taking{Design: t.Design, Name: t.Name, Grams: t.Grams, ByVolume: t.ByVolume, Inserts: t.Inserts}
	}
	return takings, err
}

// takingsOf are what an insert of each design takes of a lot.
func (s *Server) takingsOf(r *http.Request, l shop.Lot) ([]views.Taking, error) {
	releases, err := s.store.ReleasesOfLot(r.Context(), l.Lot)
	if err != nil {
		return nil, err
	}
	lines, err := s.store.Certificate(r.Context(), l.Lot)
	if err != nil {
		return nil, err
	}
	return s.takings(r, releases, shop.WetDensity(l, lines))
}

// stock is what is left of each lot, and which of its containers do not add up.
func (s *Server) stock(r *http.Request) (map[string]views.LotStock, error) {
	lines, err := s.containersOf(r, "")
	stock := map[string]views.LotStock{}
	for _, c := range lines {
		of := stock[c.Lot]
		of.Add(c)
		stock[c.Lot] = of
	}
	return stock, err
}

// openPaste is what the floor says of containers.
func (s *Server) openPaste(r *http.Request, zone *time.Location) ([]views.OpenLine, error) {
	balances, err := s.store.BalancesOnFloor(r.Context(), shop.DayOf(s.now(), zone))
	if err != nil {
		return nil, err
	}
	boxes, err := s.containerLines(r, balances)
	return views.OpenLines(boxes, s.now(), zone), err
}

// leftIn says what is left in a container that was scanned, "" for one that is
// not there: who draws from it hears of that.
func (s *Server) leftIn(r *http.Request, container string) (string, error) {
	c, err := s.store.Container(r.Context(), container)
	if errors.Is(err, shop.ErrNotFound) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return "", err
	}
	lines, err := s.containerLines(r, []store.Balance{{Container: c}})
	if err != nil {
		return "", err
	}
	return views.OpenWords(lines[0], s.now(), zone), nil
}
