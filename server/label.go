package server

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// labelsAtMost bounds the labels of one print.
const labelsAtMost = 500

func (s *Server) labelRoutes(r chi.Router) {
	r.Get("/labels", s.page(s.labels))
}

// labels answers GET /labels: labels of things of one kind, laid out for a
// printer.
func (s *Server) labels(w http.ResponseWriter, r *http.Request) error {
	asked := r.URL.Query()
	p := views.Labels{Frame: s.sheetFrame(r, "/book"), Asked: asked, Wrong: map[string]string{}}
	kinds, err := s.store.CodedKinds(r.Context())
	if err != nil {
		return err
	}
	p.Kinds = slices.DeleteFunc(kinds, func(k string) bool { return !s.mayLabel(r, k) })
	if asked.Get("kind") == "" {
		return show(w, r, http.StatusOK, views.LabelsPage(p))
	}
	if !slices.Contains(p.Kinds, asked.Get("kind")) {
		p.Wrong["kind"] = fmt.Sprintf("There is no label for %s %s.", shop.Article(asked.Get("kind")), asked.Get("kind"))
	}
	if skip := strings.TrimSpace(asked.Get("skip")); skip != "" {
		if p.Skip, err = strconv.Atoi(skip); err != nil || p.Skip < 0 || p.Skip > 100 {
			p.Wrong["skip"] = fmt.Sprintf("%q is not how many labels of the sheet are used up: type a number from 0 to 100.", skip)
		}
	}
	numbers := strings.FieldsFunc(asked.Get("numbers"), func(c rune) bool { return strings.ContainsRune(",;\r\n\t", c) })
	for i, n := range numbers {
		numbers[i] = strings.TrimSpace(n)
	}
	if len(numbers) > labelsAtMost {
		p.Wrong["numbers"] = fmt.Sprintf("There are %d numbers: at most %d labels are printed at once.", len(numbers), labelsAtMost)
	}
	if len(p.Wrong) == 0 {
		found, err := s.store.CodesOf(r.Context(), asked.Get("kind"), numbers, labelsAtMost)
		if err != nil {
			return err
		}
		for _, c := range found {
			p.Things = append(p.Things, views.Label{Kind: c.Kind, Number: c.Number, Code: c.Code, Address: s.addressOf(r, string(c.Code))})
		}
		if err := s.partLabels(r, &p, numbers); err != nil {
			return err
		}
		if err := s.containerLabels(r, &p); err != nil {
			return err
		}
		for _, n := range numbers {
			if !slices.ContainsFunc(p.Things, func(l views.Label) bool { return l.Number == n }) {
				p.Wrong["numbers"] = fmt.Sprintf("There is no %s %s in this book.", asked.Get("kind"), n)
			}
		}
	}
	if len(p.Wrong) > 0 {
		p.Things = nil
		return show(w, r, http.StatusUnprocessableEntity, views.LabelsPage(p))
	}
	return show(w, r, http.StatusOK, views.LabelsPage(p))
}

// parted are the kinds of things whose places have labels too: the places of a
// furnace and of a mould, the shelves of an oven.
var parted = []string{"furnace", "mould", "oven"}

// partLabels adds the labels of places that were asked for, as "F2/T1". Their
// code is that of the thing with the place behind it.
func (s *Server) partLabels(r *http.Request, p *views.Labels, numbers []string) error {
	kind := p.Asked.Get("kind")
	if !slices.Contains(parted, kind) {
		return nil
	}
	for _, n := range numbers {
		thing, part, ok := cutLast(n, "/")
		if !ok || part == "" || slices.ContainsFunc(p.Things, func(l views.Label) bool { return l.Number == n }) {
			continue
		}
		found, err := s.store.CodesOf(r.Context(), kind, []string{thing}, 1)
		if err != nil {
			return err
		}
		for _, c := range found {
			p.Things = append(p.Things, views.Label{Kind: "place of " + kind, Number: n, Code: c.Code, Part: part, Address: s.addressOf(r, string(c.Code)+"/"+part)})
		}
	}
	return nil
}

// containerLabels adds to the labels of containers what must be seen before paste
// is taken out: material, day of opening, last day of use.
func (s *Server) containerLabels(r *http.Request, p *views.Labels) error {
	if p.Asked.Get("kind") != "container" {
		return nil
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return err
	}
	lots := map[string]shop.Lot{}
	for i, label := range p.Things {
		c, err := s.store.Container(r.Context(), label.Number)
		if err != nil {
			return err
		}
		if _, known := lots[c.Lot]; !known {
			if lots[c.Lot], err = s.store.Lot(r.Context(), c.Lot); err != nil {
				return err
			}
		}
		p.Things[i].Notes = views.ContainerNotes(c, lots[c.Lot], zone)
	}
	return nil
}

// mayLabel reports whether the visitor may print labels of a kind: badges are
// given out by the quality manager.
func (s *Server) mayLabel(r *http.Request, kind string) bool {
	return kind != "person" || s.may(r, shop.PersonAdded{}, "")
}

// addressOf is what the QR code of a scan code, with a place behind it or
// without, says: the address that opens it, in capitals, which a QR code packs
// closest.
func (s *Server) addressOf(r *http.Request, code string) string {
	return strings.ToUpper(s.siteOf(r) + "/t/" + code)
}

// siteOf is the address of the service as the visitor reached it.
func (s *Server) siteOf(r *http.Request) string {
	if s.secure {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}
