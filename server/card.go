package server

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// cards answers GET /cards: the action cards, to be printed.
func (s *Server) cards(w http.ResponseWriter, r *http.Request) error {
	p := views.Cards{Frame: s.sheetFrame(r, "/book")}
	for _, c := range shop.Cards {
		p.Cards = append(p.Cards, views.Card{Card: c, Address: s.addressOf(r, string(c.Code))})
	}
	return show(w, r, http.StatusOK, views.CardsPage(p))
}

// play does what an action card says with what is on the bench.
func (s *Server) play(w http.ResponseWriter, r *http.Request, f views.Form, card shop.Card) error {
	bare := pathWord(r, "insert") == ""
	insert, err := s.onBench(r, "container")
	if err != nil {
		return err
	}
	switch {
	case card.Name == shop.CardClear:
		return seeOther(w, r, "/station", "The bench is clear; nothing was recorded.")
	case card.Name == shop.CardFault:
		return s.fault(w, r, f)
	case insert == "":
		return s.misread(w, r, "Scan a traveler first: nothing is on the bench that "+card.Word+" could be about. Nothing was recorded.")
	}
	p, err := s.workPage(withInsert(r, insert), act{})
	if err != nil {
		return err
	}
	if to := onward(p, card); to != nil && !typedIn(f) {
		return seeOther(w, r, to.Href, "")
	}
	a, no := s.actOf(r, &p, f, card)
	if no != "" {
		return s.misread(w, r, no+" Nothing was recorded.")
	}
	if a.name == "" {
		return seeOther(w, r, benchAt(insert, carried(f.Values)), s.already(p, card))
	}
	if card.Name == shop.CardRecord && f.Command == "" {
		if read, err := s.readByCard(w, r, f, a, insert); read || err != nil {
			return err
		}
	}
	if bare { // its traveler was not scanned: the form says which insert it is
		return seeOther(w, r, views.ActOf(insert, a.name), "")
	}
	return s.playOn(w, r, f, a, insert)
}

// readByCard records that an instruction was read that stands in the place of
// a form: RECORD does what the large button does.
func (s *Server) readByCard(w http.ResponseWriter, r *http.Request, f views.Form, a act, insert string) (bool, error) {
	asked := blank("", "")
	if err := s.askRead(r, &asked, a.operation, ""); err != nil || asked.Reading == nil {
		return false, err
	}
	in := asked.Reading.Instruction
	notice, err := s.acknowledge(r, asked.Reading.Command, shop.InstructionAcknowledged{Instruction: in.Instruction, Revision: in.Revision})
	if err != nil {
		return false, err
	}
	return true, seeOther(w, r, benchAt(insert, carried(f.Values)), notice)
}

// playOn records the act of a card where its form is on the bench or asks for
// nothing; else it shows the form.
func (s *Server) playOn(w http.ResponseWriter, r *http.Request, f views.Form, a act, insert string) error {
	if f.Value("photo") != "" {
		return s.misread(w, r, "A photo goes with the large button, not with a card: choose it again and press it. Nothing was recorded.")
	}
	if f.Value("act") == a.name {
		return s.carryOut(w, r, f, a, insert)
	}
	if typedIn(f) {
		return s.misread(w, r, fmt.Sprintf("What you typed here is not recorded yet, and “%s” is another page. Scan RECORD first, or CLEAR to put it aside. Nothing was recorded.", views.ActTitle(a.name)))
	}
	p, err := s.workPage(r, a)
	if err != nil {
		return err
	}
	empty := blankAct(r, p, a)
	_, err = a.event(empty, insert)
	if errors.Is(err, shop.ErrInvalid) {
		q := carried(f.Values)
		turnTo(q, a.name)
		return seeOther(w, r, benchAt(insert, q), "")
	}
	if err != nil {
		return err
	}
	return s.carryOut(w, r, empty, a, insert)
}

// withInsert is a request about an insert that its address does not name.
func withInsert(r *http.Request, insert string) *http.Request {
	if pathWord(r, "insert") == "" {
		chi.RouteContext(r.Context()).URLParams.Add("insert", insert)
	}
	return r
}

// actOf is the act that a card means, or why there is none; neither where what
// the card says was done already.
func (s *Server) actOf(r *http.Request, p *views.Work, f views.Form, card shop.Card) (a act, no string) {
	if card.Name == shop.CardHold {
		return actHold, ""
	}
	if card.Name == shop.CardRecord {
		if a := actNamed(f.Value("act")); a.name != "" {
			return a, ""
		}
		return a, "There is nothing on the bench to record."
	}
	if elsewhere(r, p) {
		return act{}, p.Elsewhere
	}
	next, open := p.Insert.Next()
	if !open || p.Insert.Done {
		return act{}, p.Insert.Insert + " is " + p.Insert.Status + ": its route is at its end."
	}
	begun := next.State == shop.Started
	switch {
	case card.Name == shop.CardPause && begun && !p.Insert.Paused():
		return actPause, ""
	case card.Name == shop.CardStart && p.Insert.Paused():
		return actGoOn, ""
	case card.Name == shop.CardFinish && p.Insert.Paused():
		return act{}, views.OperationName(next.Operation) + " of " + p.Insert.Insert + " is paused: scan START to go on with it first."
	case card.Name == shop.CardPause && !begun:
		return act{}, notBegun(p.Insert.Insert, next.Operation)
	case begun && card.Name != shop.CardFinish:
		return act{}, ""
	}
	for _, name := range suited(*p) {
		if fits(card, name) {
			return actNamed(name), ""
		}
	}
	_, finished := p.Insert.Last()
	switch {
	case card.Name == shop.CardFinish && begun:
		return act{}, views.OperationName(next.Operation) + " of " + p.Insert.Insert + " is under way, and its records are not complete yet."
	case card.Name == shop.CardFinish && finished:
		return act{}, ""
	}
	if next.Operation == shop.OpFit && p.Order.Mould == "" {
		return act{}, p.Insert.Insert + " is for stock: there is no mould to fit it into. Leave fit-up out."
	}
	return act{}, notBegun(p.Insert.Insert, next.Operation)
}

// onward is the page on which an operation is begun, or a delivery ended, that
// no station records by itself.
func onward(p views.Work, card shop.Card) *views.Link {
	next, open := p.Insert.Next()
	if !open || p.Insert.Done || next.State == shop.Started || len(p.Standing()) > 0 {
		return nil
	}
	if card.Name == shop.CardStart || card.Name == shop.CardFinish && next.Operation == shop.OpDeliver {
		return goOn(p.Insert, next.Operation)
	}
	return nil
}

// fits reports whether a card that begins or ends an operation means an act. An
// operation of a single act is ended by it; either card opens its form.
func fits(card shop.Card, name string) bool {
	switch name {
	case views.ActFit, views.ActStock:
		return true
	case views.ActResult:
		return card.Name == shop.CardStart
	}
	return strings.HasSuffix(name, "-"+card.Name)
}

func notBegun(insert, operation string) string {
	return views.OperationName(operation) + " of " + insert + " is not begun."
}

// already says who did what a card asks for, and when: a second pull of the
// trigger is no second act.
func (s *Server) already(p views.Work, card shop.Card) string {
	step, _ := p.Insert.Next()
	by, at, did := step.StartedBy, step.StartedAt, "started"
	switch card.Name {
	case shop.CardPause:
		by, at, did = step.PausedBy, step.PausedAt, "paused"
	case shop.CardFinish:
		step, _ = p.Insert.Last()
		by, at, did = step.FinishedBy, step.FinishedAt, "finished"
	}
	return fmt.Sprintf("%s of %s was %s by %s at %s already; nothing was recorded twice.", views.OperationName(step.Operation), p.Insert.Insert, did, by, at.In(p.Zone).Format("15:04"))
}

// fault opens the page for what is wrong: with the part on the bench, else with
// what was scanned.
func (s *Server) fault(w http.ResponseWriter, r *http.Request, f views.Form) error {
	if typedIn(f) {
		return s.misread(w, r, "What you typed here is not recorded yet. Scan RECORD first, or CLEAR to put it aside; then FAULT. Nothing was recorded.")
	}
	if insert := pathWord(r, "insert"); insert != "" {
		return seeOther(w, r, "/new/nonconformance?insert="+url.QueryEscape(insert), "")
	}
	for _, kind := range []string{"machine", "gauge", "container", "mould"} {
		if number := f.Value(kind); number != "" {
			return seeOther(w, r, "/holds?"+url.Values{"on_kind": {kind}, "on_code": {number}}.Encode(), "")
		}
	}
	return s.misread(w, r, "Scan first what is wrong: a traveler, a machine, a gauge, a container or a mould; then FAULT. Nothing was recorded.")
}
