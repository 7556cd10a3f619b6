package server

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// rowsAPage is how many rows of a long list a page has.
const rowsAPage = 200

func (s *Server) historyRoutes(r chi.Router) {
	r.Get("/history/{kind}/*", s.page(s.history))
	r.Get("/proof/{kind}/*", s.page(s.proof))
	r.Get("/checkpoints", s.page(s.checkpoints))
	r.Get("/checkpoints/{size}", s.page(s.checkpoint))
	r.Post("/checkpoints", s.page(s.makeCheckpoint))
	r.Get("/find", s.page(s.find))
	for _, t := range []string{"/t", "/T"} { // a label's picture spells it in capitals
		r.Get(t+"/{code}", s.page(s.openCode))
		r.Get(t+"/{code}/*", s.page(s.openCode)) // a place on the thing
	}
}

// history answers GET /history/{kind}/{number}.
func (s *Server) history(w http.ResponseWriter, r *http.Request) error {
	kind, number := pathWord(r, "kind"), pathWord(r, "*")
	subject := shop.Subject(kind, number)
	total, err := s.store.Count(r.Context(), subject)
	if err != nil {
		return err
	}
	if total == 0 {
		return shop.NotFound(kind, number)
	}
	book, err := s.store.Book(r.Context())
	if err != nil {
		return err
	}
	p := views.History{Frame: s.frame(r, ""), Kind: kind, Number: number, Zone: book.Zone, Entries: book.Size, Total: total, PerPage: rowsAPage}
	p.Adds = slices.Contains(shop.DocumentKinds, kind) && s.may(r, shop.DocumentAdded{}, "")
	p.Print, p.Whole = r.FormValue("print") == "1", r.FormValue("print") == "1"
	if p.After, err = after(r); err != nil {
		return err
	}
	limit := rowsAPage
	if p.Whole {
		p.After, limit = 0, int(total)
	}
	if err := s.entries(r, &p, limit); err != nil {
		return err
	}
	if p.Sealed.Size, p.Sealed.Note, err = s.store.LatestCheckpoint(r.Context()); err != nil && !errors.Is(err, shop.ErrNotFound) {
		return err
	}
	p.Sealed.Verifier = book.Verifier
	return show(w, r, http.StatusOK, views.HistoryPage(p.Mark()))
}

// entries fills in the rows of a history, with what each corrects or was
// replaced by.
func (s *Server) entries(r *http.Request, p *views.History, limit int) error {
	subject := shop.Subject(p.Kind, p.Number)
	logged, err := s.store.History(r.Context(), subject, max(0, p.After-1), limit+1)
	if err != nil {
		return err
	}
	if p.After > 0 && len(logged) > 0 {
		p.Previous, logged = logged[0].Entered, logged[1:]
	}
	logged = logged[:min(limit, len(logged))]
	replaced, err := s.store.Corrections(r.Context(), subject, p.After, p.After+int64(len(logged)))
	if err != nil {
		return err
	}
	if p.Roles, err = s.roles(r); err != nil {
		return err
	}
	for _, l := range logged {
		row := views.HistoryRow{Entry: l.Entry, N: l.Numbers[subject], Seq: l.Seq, Leaf: l.Leaf(), CorrectedBy: replaced[l.Seq]}
		if row.Corrects != 0 {
			old, err := s.store.Entry(r.Context(), row.Corrects)
			if err != nil {
				return err
			}
			row.CorrectedN = old.Numbers[subject]
		}
		if row.Struck() {
			by, err := s.store.Entry(r.Context(), row.CorrectedBy)
			if err != nil {
				return err
			}
			row.ByN, row.ByReason = by.Numbers[subject], by.Reason
		}
		p.Rows = append(p.Rows, row)
	}
	return nil
}

// roles says what each badge does in the shop today.
func (s *Server) roles(r *http.Request) (map[string]string, error) {
	people, err := s.store.People(r.Context())
	words := make(map[string]string, len(people))
	for _, p := range people {
		words[p.Badge] = p.RoleWords()
	}
	return words, err
}

// find answers GET /find?q=: it opens what was typed or scanned.
func (s *Server) find(w http.ResponseWriter, r *http.Request) error {
	q := strings.TrimSpace(r.FormValue("q"))
	if q == "" {
		return shop.Wrong("q", "Type or scan what you are looking for: a shop number or a scan code.")
	}
	return s.open(w, r, q)
}

// openCode answers GET /t/{code}: it opens what a label names.
func (s *Server) openCode(w http.ResponseWriter, r *http.Request) error {
	code, ok := shop.ParseScanCode(pathWord(r, "code"))
	if !ok {
		return shop.Wrong("code", "The code %q has a wrong character: it was misread or mistyped. Scan it again.", pathWord(r, "code"))
	}
	return s.open(w, r, string(code))
}

func (s *Server) open(w http.ResponseWriter, r *http.Request, text string) error {
	thing, err := s.store.Find(r.Context(), text)
	if err != nil {
		return err
	}
	return seeOther(w, r, views.PageOf(thing.Kind, thing.Number), "")
}

// pathWord is a part of the address as it was before it was escaped.
func pathWord(r *http.Request, name string) string {
	word := chi.URLParam(r, name)
	if r.URL.RawPath == "" {
		return word
	}
	if plain, err := url.PathUnescape(word); err == nil {
		return plain
	}
	return word
}

// after is the place in a long list behind which a page begins.
func after(r *http.Request) (int64, error) {
	text := r.FormValue("after")
	if text == "" {
		return 0, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 {
		return 0, shop.Wrong("after", "The page cannot begin after %q: that is not a place in the list.", text)
	}
	return n, nil
}
