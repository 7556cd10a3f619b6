package server

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) instructionRoutes(r chi.Router) {
	r.Get("/instructions", s.page(s.instructions))
	r.Get("/instructions/{instruction}", s.page(s.instruction))
	r.Post("/instructions/{instruction}/read", s.page(s.readInstruction))
	offer(s, r, s.newInstruction())
}

// instructions answers GET /instructions.
func (s *Server) instructions(w http.ResponseWriter, r *http.Request) error {
	p := views.Instructions{Frame: s.frame(r, "/book"), At: s.now(), New: s.may(r, shop.InstructionReleased{}, "")}
	var err error
	if p.All, err = s.store.Instructions(r.Context()); err != nil {
		return err
	}
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.InstructionsPage(p))
}

// instruction answers GET /instructions/{instruction}: every revision of one.
func (s *Server) instruction(w http.ResponseWriter, r *http.Request) error {
	number := pathWord(r, "instruction")
	p := views.Instructions{Frame: s.frame(r, "/book"), Number: number, At: s.now(), New: s.may(r, shop.InstructionReleased{}, "")}
	all, err := s.store.Instructions(r.Context())
	if err != nil {
		return err
	}
	p.All = slices.DeleteFunc(all, func(i shop.Instruction) bool { return i.Instruction != number })
	if len(p.All) == 0 {
		return shop.NotFound("instruction", number)
	}
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return err
	}
	if err := s.readers(r, &p); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.InstructionPage(p))
}

// newInstruction is the form that puts a revision in force.
func (s *Server) newInstruction() making[shop.InstructionReleased] {
	return making[shop.InstructionReleased]{
		path:    "/new/instruction",
		meaning: views.MeaningOfInstruction,
		start: func(r *http.Request, f *views.Form) error {
			f.Values.Set("instruction", r.FormValue("instruction"))
			return nil
		},
		read: func(r *http.Request, f *views.Form) (shop.InstructionReleased, error) {
			zone, err := s.zone(r.Context())
			if err != nil {
				return shop.InstructionReleased{}, err
			}
			said := shop.Fields{}
			return shop.InstructionReleased{Instruction: f.Value("instruction"), Revision: f.Value("revision"), Op: f.Value("operation"), Title: strings.TrimSpace(f.Value("title")),
				Text: strings.TrimSpace(f.Value("text")), From: momentOf(said, f, "from", zone)}, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewInstructionPage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.InstructionReleased) (to, notice string) {
			return views.PageOf("instruction", e.Instruction), e.Instruction + " " + e.Revision + " was approved."
		},
	}
}

// readers adds who has read the newest revision and who has still to.
func (s *Server) readers(r *http.Request, p *views.Instructions) error {
	newest := p.Newest()
	said, err := s.store.ReadersOf(r.Context(), p.Number)
	if err != nil {
		return err
	}
	people, err := s.store.People(r.Context())
	if err != nil {
		return err
	}
	today, own := shop.DayOf(s.now(), p.Zone), visitorOf(r).Person
	var others []views.Reader
	for _, person := range people {
		one := views.Reader{Badge: person.Badge, Name: person.Name, Needs: person.MayDo(newest.Operation, today)}
		if at := slices.IndexFunc(said, func(a shop.Acknowledgement) bool { return a.Badge == person.Badge && a.Of(newest) }); at >= 0 {
			one.At, one.Station = said[at].At, said[at].Station
		}
		switch {
		case one.Needs:
			p.Readers = append(p.Readers, one)
		case !one.At.IsZero():
			others = append(others, one)
		}
		if person.Badge == own.Badge && one.At.IsZero() && own.MayRecord(shop.InstructionAcknowledged{}) == nil {
			f := blank("", "")
			p.Read = &f
		}
	}
	p.Readers = append(p.Readers, others...)
	p.Earlier = slices.DeleteFunc(said, func(a shop.Acknowledgement) bool { return a.Of(newest) })
	return nil
}

// readInstruction answers POST /instructions/{instruction}/read, and goes back
// to where it was asked.
func (s *Server) readInstruction(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", "")
	if err != nil {
		return err
	}
	e := shop.InstructionAcknowledged{Instruction: pathWord(r, "instruction"), Revision: f.Value("revision")}
	notice, err := s.acknowledge(r, f.Command, e)
	if err != nil {
		return err
	}
	to := ownPath(f.Value("to"))
	if to == "/" {
		to = views.PageOf("instruction", e.Instruction)
	}
	return seeOther(w, r, to, notice)
}

// acknowledge records that the visitor has read a revision. Whoever says it
// again is told since when it stands.
func (s *Server) acknowledge(r *http.Request, command string, e shop.InstructionAcknowledged) (notice string, err error) {
	e.Badge = visitorOf(r).Person.Badge
	entry, err := s.entry(r, views.Form{Command: command}, e)
	if err != nil {
		return "", err
	}
	name := e.Instruction + " " + e.Revision
	_, err = s.store.Record(r.Context(), entry)
	if errors.Is(err, shop.ErrConflict) {
		return "You have said already that you have read " + name + ".", nil
	}
	return "Noted: you have read " + name + ".", err
}

// saidRead records what a form says that was read, and lets the form come back
// as it was typed. done is false where it says nothing of the kind.
func (s *Server) saidRead(r *http.Request, f *views.Form) (done bool, err error) {
	if f.Value("instruction_read") == "" {
		return false, nil
	}
	f.Noted, err = s.acknowledge(r, f.Value("instruction_command"), shop.InstructionAcknowledged{Instruction: f.Value("instruction_read"), Revision: f.Value("instruction_revision")})
	for _, field := range []string{"instruction_read", "instruction_revision", "instruction_command", "pin"} {
		f.Values.Del(field)
	}
	return true, err
}

// askRead shows a revision in the place of a form, where an act of an operation
// would be stopped because the visitor has not read it. to is the page to go on
// with, "" where the form was sent.
func (s *Server) askRead(r *http.Request, f *views.Form, operation, to string) error {
	v := visitorOf(r)
	if v.Station.Station == "" || operation == "" || v.Person.Has(shop.Auditor) {
		return nil
	}
	all, err := s.store.Instructions(r.Context())
	if err != nil {
		return err
	}
	in, ok := shop.InstructionAt(all, operation, s.now())
	if !ok {
		return nil
	}
	if read, err := s.store.HasRead(r.Context(), in, v.Person.Badge); err != nil || read {
		return err
	}
	policies, err := s.store.Policies(r.Context())
	if err != nil || shop.ModeAt(policies, shop.InstructionRead.Name, operation, s.now()) != shop.Stop {
		return err
	}
	f.Reading = &views.Reading{Instruction: in, Command: blank("", "").Command, To: to}
	if was, ok := in.Replaced(all); ok {
		f.Reading.Was = was.Name()
	}
	f.Reading.Zone, err = s.zone(r.Context())
	return err
}

// sentBack writes a no into the form it came from. Where an instruction was not
// read, the form asks for that first.
func (s *Server) sentBack(r *http.Request, f *views.Form, e shop.Event, no error) error {
	if err := returned(f, no); err != nil {
		return err
	}
	act, ok := e.(interface{ Operation() string })
	if !ok || f.Asks || !slices.ContainsFunc(f.Objections, unread) {
		return nil
	}
	return s.askRead(r, f, act.Operation(), "")
}

func unread(o shop.Objection) bool { return o.Gate == shop.InstructionRead.Name }
