package server

import (
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
	return show(w, r, http.StatusOK, views.InstructionPage(p))
}

// newInstruction is the form that puts a revision in force.
func (s *Server) newInstruction() making[shop.InstructionReleased] {
	return making[shop.InstructionReleased]{
		path:    "/new/instruction",
		meaning: "I approve this instruction.",
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
