package server

import (
	"crypto/sha256"
	"encoding/binary"
	"net/http"
	"strings"

	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// containments answers GET /containments.
func (s *Server) containments(w http.ResponseWriter, r *http.Request) error {
	p := views.Containments{Frame: s.frame(r, "/trace")}
	var err error
	if p.All, err = s.store.Containments(r.Context()); err != nil {
		return err
	}
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.ContainmentsPage(p))
}

// containment answers GET /containments/{containment}.
func (s *Server) containment(w http.ResponseWriter, r *http.Request) error {
	p, err := s.containmentPage(r)
	if err != nil {
		return err
	}
	if len(p.Containment.Standing()) > 0 && s.may(r, shop.ContainmentLifted{}, "") {
		f := blank("lift", views.PageOf("containment", p.Containment.Containment))
		p.Lift = &f
	}
	return show(w, r, http.StatusOK, views.ContainmentPage(p))
}

func (s *Server) containmentPage(r *http.Request) (views.Containment, error) {
	p := views.Containment{Frame: s.frame(r, "/trace")}
	var err error
	if p.Containment, err = s.store.Containment(r.Context(), pathWord(r, "containment")); err != nil {
		return p, err
	}
	p.Zone, err = s.zone(r.Context())
	return p, err
}

// liftContainment answers POST /containments/{containment}: it lifts holds
// together.
func (s *Server) liftContainment(w http.ResponseWriter, r *http.Request) error {
	p, err := s.containmentPage(r)
	if err != nil {
		return err
	}
	here := views.PageOf("containment", p.Containment.Containment)
	f, err := typed(r, "lift", here)
	if err != nil {
		return err
	}
	ok, err := s.recordSigned(r, &f, shop.ContainmentLifted{Containment: p.Containment.Containment, Why: strings.TrimSpace(f.Value("why")), Holds: f.Values["holds"]}, views.MeaningOfLifting)
	if err != nil {
		return err
	}
	if !ok {
		p.Lift = &f
		return show(w, r, statusOf(f), views.ContainmentPage(p))
	}
	return seeOther(w, r, here, "The holds were lifted.")
}

// notice answers GET /containments/{containment}/notices/{customer}.
func (s *Server) notice(w http.ResponseWriter, r *http.Request) error {
	p, err := s.noticePage(r)
	if err != nil {
		return err
	}
	here := views.NoticeOf(p.Containment.Containment, p.Notice.Customer)
	switch {
	case p.Notice.SentAt.IsZero() && s.may(r, shop.NoticeSent{}, ""):
		f := blank("send", here)
		f.Values.Set("says", p.Draft())
		p.Send = &f
	case !p.Notice.SentAt.IsZero() && p.Notice.AnsweredAt.IsZero() && s.may(r, shop.NoticeAnswered{}, ""):
		f := blank("answer", here)
		p.Answer = &f
	}
	return show(w, r, http.StatusOK, views.NoticePage(p))
}

func (s *Server) noticePage(r *http.Request) (views.Notice, error) {
	p := views.Notice{Frame: s.frame(r, "/trace")}
	var err error
	if p.Containment, err = s.store.Containment(r.Context(), pathWord(r, "containment")); err != nil {
		return p, err
	}
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return p, err
	}
	customer := pathWord(r, "customer")
	for _, n := range p.Containment.Notices {
		if n.Customer == customer {
			p.Notice = n
			return p, nil
		}
	}
	return p, shop.NotFound("notice", "to "+customer)
}

// sendNotice answers POST /containments/{containment}/notices/{customer}: it
// was sent, or it was answered.
func (s *Server) sendNotice(w http.ResponseWriter, r *http.Request) error {
	p, err := s.noticePage(r)
	if err != nil {
		return err
	}
	here := views.NoticeOf(p.Containment.Containment, p.Notice.Customer)
	f, err := typed(r, "answer", here)
	if err != nil {
		return err
	}
	var e shop.Event = shop.NoticeAnswered{Containment: p.Containment.Containment, Customer: p.Notice.Customer, Answer: strings.TrimSpace(f.Value("answer"))}
	sends := f.Values.Has("says")
	if sends {
		f.Name = "send"
		e = shop.NoticeSent{Containment: p.Containment.Containment, Customer: p.Notice.Customer, Says: strings.TrimSpace(strings.ReplaceAll(f.Value("says"), "\r\n", "\n")), How: strings.TrimSpace(f.Value("how"))}
	}
	ok, err := s.record(r, &f, e)
	if err != nil {
		return err
	}
	if !ok {
		if sends {
			p.Send = &f
		} else {
			p.Answer = &f
		}
		return show(w, r, statusOf(f), views.NoticePage(p))
	}
	return seeOther(w, r, here, "Recorded.")
}

// drills answers GET /drills.
func (s *Server) drills(w http.ResponseWriter, r *http.Request) error {
	p := views.Drills{Frame: s.frame(r, "/trace")}
	var err error
	if p.Drills, err = s.store.Drills(r.Context()); err != nil {
		return err
	}
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return err
	}
	if s.may(r, shop.TraceDrilled{}, "") {
		f := blank("", "/drills")
		p.Drill = &f
	}
	return show(w, r, http.StatusOK, views.DrillsPage(p))
}

// drill answers POST /drills: it draws an insert, traces it and keeps what that
// found.
func (s *Server) drill(w http.ResponseWriter, r *http.Request) error {
	if err := visitorOf(r).Person.MayRecord(shop.TraceDrilled{}); err != nil {
		return err
	}
	f, err := typed(r, "", "/drills")
	if err != nil {
		return err
	}
	of, err := s.store.Drawable(r.Context())
	if err != nil {
		return err
	}
	if of == 0 {
		return shop.Conflict("No insert was begun yet: there is none to draw.")
	}
	drawn := sha256.Sum256([]byte(f.Command)) // the same command draws the same one
	insert, err := s.store.DrawInsert(r.Context(), int64(binary.BigEndian.Uint64(drawn[:])%uint64(of)))
	if err != nil {
		return err
	}
	e, err := s.store.Drill(r.Context(), insert)
	if err != nil {
		return err
	}
	if ok, err := s.record(r, &f, e); err != nil || !ok {
		if err == nil {
			err = shop.Conflict("%s", f.Refused)
		}
		return err
	}
	return seeOther(w, r, "/drills", "The drill of "+insert+" was recorded.")
}

func (s *Server) containmentRoutes(r chi.Router) {
	r.Get("/containments", s.page(s.containments))
	r.Get("/containments/{containment}", s.page(s.containment))
	r.Post("/containments/{containment}", s.page(s.liftContainment))
	r.Get("/containments/{containment}/notices/{customer}", s.page(s.notice))
	r.Post("/containments/{containment}/notices/{customer}", s.page(s.sendNotice))
}
