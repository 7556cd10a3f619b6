package server

import (
	"net/http"
	"strings"

	"sinterbook/store/shop"
	"sinterbook/views"
)

var actStock = act{
	name: views.ActStock, operation: shop.OpDeliver, meaning: views.MeaningOfStock,
	event: func(f views.Form, insert string) (shop.Event, error) {
		return valid(shop.Fields{}, shop.PutToStock{Insert: insert, Place: strings.TrimSpace(f.Value("place"))})
	},
	past: func(e shop.Event) string {
		p := e.(shop.PutToStock)
		return p.Insert + " put to stock on " + p.Place
	},
	probe: func(p views.Work) shop.Act { return shop.PutToStock{Insert: p.Insert.Insert, Place: "shelf"} },
}

var actHold = act{
	name: views.ActHold,
	event: func(f views.Form, insert string) (shop.Event, error) {
		return valid(shop.Fields{}, shop.HoldSet{Hold: f.Value("hold"), OnKind: "insert", OnCode: insert, Why: strings.TrimSpace(f.Reason("why"))})
	},
	past: func(e shop.Event) string {
		h := e.(shop.HoldSet)
		return h.OnCode + " held by " + h.Hold
	},
}

// scrapForm answers GET /inserts/{insert}/scrap.
func (s *Server) scrapForm(w http.ResponseWriter, r *http.Request) error {
	p, err := s.scrapPage(r)
	if err != nil {
		return err
	}
	p.Form = blank("", views.ScrapOf(p.Insert.Insert))
	return show(w, r, http.StatusOK, views.ScrapPage(p))
}

// scrap answers POST /inserts/{insert}/scrap.
func (s *Server) scrap(w http.ResponseWriter, r *http.Request) error {
	p, err := s.scrapPage(r)
	if err != nil {
		return err
	}
	if p.Form, err = typed(r, "", views.ScrapOf(p.Insert.Insert)); err != nil {
		return err
	}
	ok, err := s.recordSigned(r, &p.Form, shop.InsertScrapped{Insert: p.Insert.Insert, Why: strings.TrimSpace(p.Form.Value("why"))}, views.MeaningOfScrap)
	if err != nil {
		return err
	}
	if !ok {
		return show(w, r, statusOf(p.Form), views.ScrapPage(p))
	}
	return seeOther(w, r, views.PageOf("insert", p.Insert.Insert), p.Insert.Insert+" was scrapped.")
}

func (s *Server) scrapPage(r *http.Request) (views.Scrap, error) {
	if err := visitorOf(r).Person.MayRecord(shop.InsertScrapped{}); err != nil {
		return views.Scrap{}, err
	}
	t, err := s.travelerPage(r)
	if err == nil {
		err = open(t.Insert, true)
	}
	return views.Scrap{Frame: t.Frame, Insert: t.Insert, Design: t.Design}, err
}
