package scenario

import (
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// setUp opens the book and puts people, stations, policies and the route in
// it. The folder does not say when that was: it is done when the quality
// manager, who alone may do it, began.
func (p *plan) setUp(verifier string) {
	first, ok := p.firstManager()
	if !ok {
		p.fault("people.csv", 0, "role", "nobody is quality manager: the book needs one to be set up.")
		return
	}
	site := p.scenario.rows[0]
	p.add(site, "", p.opening(), "", shop.BookOpened{Site: p.site, Zone: p.zone.String(), Verifier: verifier})
	p.person(first, "")
	for _, r := range p.people.rows {
		if r.line != first.line {
			p.person(r, first.get("badge"))
		}
	}
	for _, r := range p.authorisations.rows {
		p.authorisation(r)
	}
	for _, r := range p.stations.rows {
		p.station(r)
	}
	p.policies()
	p.routes()
	p.instruct()
}

func (p *plan) firstManager() (row, bool) {
	managers := p.people.of("role", string(shop.QualityManager))
	if len(managers) == 0 {
		return row{}, false
	}
	return slices.MinFunc(managers, func(a, b row) int { return strings.Compare(a.get("from"), b.get("from")) }), true
}

// opening is when the book was opened.
func (p *plan) opening() time.Time {
	first, ok := p.firstManager()
	if !ok {
		return time.Time{}
	}
	return first.midnight("from")
}

// later is the later of two moments.
func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// earliest is the earlier of two moments of which one may be unknown.
func earliest(a, b time.Time) time.Time {
	if a.IsZero() || b.Before(a) {
		return b
	}
	return a
}

// person gives somebody a badge, and the name beside the log.
func (p *plan) person(r row, by string) {
	badge := r.get("badge")
	at := later(r.midnight("from"), p.opening())
	p.add(r, "from", at, by, shop.PersonAdded{Badge: badge, Roles: []shop.Role{shop.Role(r.need("role"))}, From: r.day("from"), Code: codeFor("person", badge)})
	if by == "" {
		by = badge
	}
	p.add(r, "from", at, by, shop.PersonKeysSet{Badge: badge, What: []string{"name"}, Private: shop.PersonKeys{Name: r.need("name")}})
}

func (p *plan) authorisation(r row) {
	badge, by := r.badge("badge"), r.badge("given_by")
	p.add(r, "from", later(r.midnight("from"), p.opening()), by, shop.PersonAuthorised{
		Badge: badge, Operation: r.need("operation"), From: r.day("from"), Until: r.day("until"), Evidence: r.need("evidence"),
	})
}

// instruct approves the instructions. The folder says from when each is in
// force, not when it was approved: it was when it came into force, or when the book was opened.
func (p *plan) instruct() {
	for _, r := range p.instructions.rows {
		by, from := r.badge("approved_by"), r.time("in_force_from")
		p.add(r, "in_force_from", later(from, p.opening()), by, shop.InstructionReleased{
			Instruction: r.get("instruction"), Revision: r.get("revision"), Op: r.need("operation"), Title: r.need("title"), Text: r.get("text"), From: from.UTC(),
		}).Meaning = "Approved"
		for _, a := range p.authorisations.of("operation", r.get("operation")) {
			p.acknowledge(r, a, later(from, p.opening()))
		}
	}
}

// begins is when a shift begins, by the habit of the shop.
var begins = map[string]time.Duration{"early": 6 * time.Hour, "day": 7 * time.Hour, "late": 14 * time.Hour}

// acknowledge says that somebody has read a revision. The folder does not say
// when: those who are authorised for its operation read it once it was in force
// and they were in the house. Whose shift begins after the folder's now has not
// read it yet.
func (p *plan) acknowledge(r, authorisation row, from time.Time) {
	badge := authorisation.badge("badge")
	person, ok := p.people.find(badge)
	if !ok {
		return // named as wrong already
	}
	at := later(from, later(authorisation.midnight("from"), person.midnight("from"))).In(p.zone)
	day := time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, p.zone)
	if at = later(at, day.Add(begins[person.get("shift")])); at.After(p.now) {
		return
	}
	e := p.add(r, "in_force_from", at, badge, shop.InstructionAcknowledged{Instruction: r.get("instruction"), Revision: r.get("revision"), Badge: badge})
	p.stand(e, r.get("operation"), "")
}

// someone is who recorded what the folder names nobody for: the first person
// in it whose work that is, at the first moment when they could.
func (p *plan) someone(r row, kind string) (badge string, at time.Time) {
	for _, person := range p.people.rows {
		if slices.Contains(shop.Recorders(kind), shop.Role(person.get("role"))) {
			return person.get("badge"), later(p.opening(), person.midnight("from"))
		}
	}
	r.wrong("", "nobody in people.csv may record %s.", kind)
	return "", time.Time{}
}

// authorised is who did an operation that the folder names nobody for: the
// first person who was authorised for it on that day.
func (p *plan) authorised(r row, operation string, at time.Time) string {
	day := shop.DayOf(at, p.zone)
	for _, a := range p.authorisations.of("operation", operation) {
		if until := a.day("until"); a.day("from") <= day && (until == "" || day <= until) {
			return a.get("badge")
		}
	}
	r.wrong("", "nobody in authorisations.csv was authorised for %s on %s.", operation, day)
	return ""
}
