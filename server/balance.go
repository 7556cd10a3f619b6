package server

import (
	"net/http"
	"time"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) containersOf(r *http.Request, lot string) ([]views.ContainerLine, error) {
	held, err := s.heldOf(r, "container")
	if err != nil {
		return nil, err
	}
	balances, err := s.store.Balances(r.Context(), lot)
	return containerLines(balances, held), err
}

func containerLines(balances []store.Balance, held map[string]string) []views.ContainerLine {
	lines := make([]views.ContainerLine, len(balances))
	for i, b := range balances {
		lines[i] = views.ContainerLine{Container: b.Container, Drawn: b.Drawn, Purged: b.Purged, Wasted: b.Wasted, SentBack: b.Returned, Unexplained: b.Unexplained,
			Held: held[b.Container.Container], Over: b.Over(), Limit: b.Limit, Answer: b.Answer}
	}
	return lines
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
		of.Left += c.Left
		if c.Flagged() {
			of.Flagged = append(of.Flagged, c.Container.Container)
		}
		stock[c.Lot] = of
	}
	return stock, err
}

// openPaste is what the floor says of containers.
func (s *Server) openPaste(r *http.Request, zone *time.Location) ([]views.OpenLine, error) {
	lots, err := s.store.Lots(r.Context())
	if err != nil {
		return nil, err
	}
	byNumber := map[string]shop.Lot{}
	for _, l := range lots {
		byNumber[l.Lot] = l
	}
	held, err := s.heldOf(r, "container")
	if err != nil {
		return nil, err
	}
	balances, err := s.store.BalancesOnFloor(r.Context(), shop.DayOf(s.now(), zone))
	lines := containerLines(balances, held)
	boxes := make([]views.OpenBox, len(lines))
	for i, c := range lines {
		boxes[i] = views.OpenBox{ContainerLine: c, Lot: byNumber[c.Lot]}
	}
	return views.OpenLines(boxes, s.now(), zone), err
}

// leftIn says what is left in a container that was scanned, "" for one that is
// not there: who draws from it hears of that.
func (s *Server) leftIn(r *http.Request, container string) string {
	c, err := s.store.Container(r.Context(), container)
	if err != nil {
		return ""
	}
	l, err := s.store.Lot(r.Context(), c.Lot)
	if err != nil {
		return ""
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return ""
	}
	return views.OpenWords(views.ContainerLine{Container: c}, l, s.now(), zone)
}
