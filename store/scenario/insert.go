package scenario

import (
	"strings"

	"sinterbook/store/shop"
)

// choose settles which inserts are loaded: those that are asked for, what they
// replace, and nothing whose release the book cannot say.
func (p *plan) choose(asked []string) error {
	if asked == nil {
		for _, r := range p.inserts.rows {
			asked = append(asked, r.get("insert"))
		}
	}
	for len(asked) > 0 {
		insert := asked[0]
		asked = asked[1:]
		r, ok := p.inserts.find(insert)
		if !ok {
			return shop.Wrong("insert", "There is no insert %s in inserts.csv.", insert)
		}
		if p.chosen[insert] {
			continue
		}
		p.chosen[insert] = true
		if old := r.get("replaces"); old != "" {
			r.refer("replaces", old, "insert", p.inserts)
			asked = append(asked, old)
		}
	}
	return p.wrongAll()
}

// insert plans everything that happened to one insert before and after its
// load.
func (p *plan) insert(r row) {
	insert, opened := r.get("insert"), r.time("opened_at")
	p.traveler(r)
	print, ok := p.printOf(insert)
	if !ok {
		return
	}
	line, ok := p.lineOf(print.need("release"), r.get("design"))
	if !ok {
		print.wrong("release", "releases.csv has no line of %s for %s.", print.get("release"), r.get("design"))
		return
	}
	// An insert gets its release as soon as both are there.
	at := later(opened, line.time("released_at"))
	p.add(r, "opened_at", at, p.authorised(r, shop.OpRelease, at), shop.ReleaseAssigned{Insert: insert, Release: releaseName(line.get("release"), line.get("design"))})
	p.print(insert, print, line)
	p.drawn(insert, print)
	p.dry(insert)
	p.temper(insert)
	p.inspect(r)
}

func (p *plan) traveler(r row) {
	insert, design, revision := r.get("insert"), r.need("design"), r.need("revision")
	if _, ok := p.designs.find(design, revision); !ok {
		r.wrong("design", "there is no revision %s of design %s.", revision, design)
	}
	r.refer("order", r.need("order"), "order", p.orders)
	template, version := route(r)
	by, _ := p.someone(r, "traveler-opened")
	p.add(r, "opened_at", r.time("opened_at"), by, shop.TravelerOpened{
		Insert: insert, Design: design, Revision: revision, Order: r.get("order"), Template: template, Version: version,
		Replaces: r.get("replaces"), Scratch: r.get("scratch_mark"), Code: codeFor("insert", insert),
	})
}

// item tells an insert from a coupon, and reports whether it is one that is
// loaded.
func (p *plan) item(r row, column string) (insert string, ok bool) {
	name := r.need(column)
	if _, insert := p.inserts.find(name); insert {
		return name, p.chosen[name]
	}
	if _, coupon := p.coupons.find(name); !coupon && name != "" && !strings.HasPrefix(name, "COUPONS ") {
		r.wrong(column, "there is no insert or coupon %s.", name)
	}
	return name, false
}

// items checks that each row is about an insert or coupon that there is.
func (p *plan) items() {
	for _, t := range []*table{p.draws, p.prints, p.drying, p.weighings, p.loadItems, p.loadEvents, p.tempering, p.results, p.overrides, p.nonconformances} {
		for _, r := range t.rows {
			p.item(r, "item")
		}
	}
}
