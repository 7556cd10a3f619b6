package server

import (
	"net/http"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// account answers GET /lots/{lot}/account: what became of all the paste of a
// lot, or of one container of it.
func (s *Server) account(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	p := views.Account{Frame: s.frame(r, "/lots"), At: s.now(), Name: visitorOf(r).Person.Name}
	p.Print = r.FormValue("print") == "1"
	lot, container := pathWord(r, "lot"), r.FormValue("container")
	if c, err := s.store.Container(ctx, container); err == nil && c.Lot != lot { // its number does not say its lot
		return seeOther(w, r, views.AccountOf(c.Lot, container), "")
	}
	a, err := s.store.Account(ctx, lot, container)
	if err != nil {
		return err
	}
	p.Lot, p.Container, p.Entries, p.In, p.Sum, p.Coupons = a.Lot, a.Container, a.Entries, a.In(), a.Sum(), a.Coupons
	if p.Zone, err = s.zone(ctx); err != nil {
		return err
	}
	if p.Containers, err = s.containerLines(r, a.Containers); err != nil {
		return err
	}
	for _, l := range a.Lines() {
		p.Lines = append(p.Lines, views.AccountLine{What: l.What, Grams: l.Grams, Count: l.Count, Of: l.Of})
	}
	for _, d := range a.Draws {
		p.Inserts = append(p.Inserts, accountDraw(d, a.Now[d.Insert]))
	}
	for _, of := range a.Events {
		for _, e := range of.Events {
			p.Events = append(p.Events, views.AccountEvent{Container: of.Container, CareLine: careLine(e)})
		}
	}
	return show(w, r, http.StatusOK, views.AccountPage(p))
}

func accountDraw(d store.Draw, now shop.Whereabout) views.AccountDraw {
	return views.AccountDraw{DrawRecord: drawRecord(d), Insert: d.Insert, Part: now.Part, Status: now.Status, Place: now.Place, HeldBy: now.HeldBy}
}
