package scenario

import (
	"slices"
	"time"

	"sinterbook/store/shop"
)

// sintering plans the furnace loads in which a chosen insert or a coupon lay.
func (p *plan) sintering() {
	for _, r := range p.loadItems.rows {
		r.refer("load", r.get("load"), "load", p.loads)
	}
	for _, r := range p.loads.rows {
		l := loading{plan: p, r: r, load: r.get("load"), lies: map[string]string{}}
		for _, it := range p.loadItems.of("load", l.load) {
			if insert, ok := p.item(it, "item"); ok {
				l.items, l.inserts = append(l.items, it), append(l.inserts, insert)
			} else if p.isCoupon(insert) {
				l.coupons = append(l.coupons, it)
			}
			l.cycles(it)
		}
		if len(l.items)+len(l.coupons) > 0 {
			l.record()
		}
	}
}

// loading is one load while it is planned.
type loading struct {
	*plan
	r       row
	load    string
	items   []row
	inserts []string
	coupons []row
	lies    map[string]string // insert to its position
}

// record plans a load from its first insert to its unloading. The folder does
// not say when it was begun: it was when the first thing was scanned into it.
func (l *loading) record() {
	furnace := l.r.need("furnace")
	l.r.refer("furnace", furnace, "furnace", l.furnaces)
	first := slices.MinFunc(l.loadItems.of("load", l.load), func(a, b row) int {
		return a.time("scanned_in_at").Compare(b.time("scanned_in_at"))
	})
	l.put(l.r, "", first.time("scanned_in_at"), first.badge("scanned_in_by"), shop.LoadOpened{
		Load: l.load, Furnace: furnace, Recipe: l.r.need("recipe"), Code: codeFor("load", l.load),
	})
	for _, it := range l.items {
		l.place(it)
	}
	for _, move := range l.loadEvents.of("load", l.load) {
		if _, ok := l.item(move, "item"); ok {
			l.move(move)
		}
	}
	for _, it := range l.items {
		if at := l.lies[it.get("item")]; at != it.get("position") {
			it.wrong("position", "load_events.csv moved %s to %s last.", it.get("item"), at)
		}
	}
	for _, it := range l.coupons {
		l.placeCoupon(it)
	}
	l.door()
	l.paper()
}

// placeCoupon plans where a coupon was laid.
func (l *loading) placeCoupon(it row) {
	coupon := it.get("item")
	c, _ := l.plan.coupons.find(coupon)
	if c.get("load") != l.load || c.get("position") != it.get("position") {
		it.wrong("item", "coupons.csv has %s in load %s at %s.", coupon, c.get("load"), c.get("position"))
	}
	l.put(it, "scanned_in_at", it.time("scanned_in_at"), it.badge("scanned_in_by"), shop.CouponPlaced{Load: l.load, Coupon: coupon, Position: it.need("position"),
		Setter: it.get("setter"), Lying: it.get("orientation"), Loss: c.reading("dry_loss_pct", "%")})
}

// cycles checks what the folder says of the runs behind a setter: those before
// its first load, and one for each load since.
func (l *loading) cycles(it row) {
	s, ok := l.setters.find(it.get("setter"))
	if !ok {
		it.refer("setter", it.get("setter"), "setter", l.setters)
		return
	}
	closed, runs := l.r.timeIf("door_closed_at"), s.count("cycles_before")
	for _, other := range l.loads.rows {
		before := other.timeIf("door_closed_at")
		if before.IsZero() || !before.Before(closed) {
			continue
		}
		for _, there := range l.loadItems.of("load", other.get("load")) {
			if there.get("setter") == it.get("setter") {
				runs++
				break
			}
		}
	}
	if said := it.count("setter_cycles"); said != runs {
		it.wrong("setter_cycles", "it says %d, and by the loads before it is %d.", said, runs)
	}
}

// put plans an event of the load. What was written on a paper form was entered
// later, by whoever typed it in: the form keeps who did it.
func (l *loading) put(r row, column string, at time.Time, by string, e shop.Event) *planned {
	planned := l.add(r, column, at, by, e)
	l.stand(planned, shop.OpSinter, "")
	if entered := l.r.timeIf("entered_at"); at.Before(entered) {
		planned.Entered = entered
		planned.Paper = &shop.Paper{Form: l.r.need("form"), TypedBy: l.r.badge("entered_by")}
	}
	return planned
}

// place plans where an insert was laid first. Which setter it lay on is known
// for its last place only.
func (l *loading) place(it row) {
	insert, position, setter := it.get("item"), it.need("position"), it.get("setter")
	for _, move := range l.loadEvents.of("load", l.load) {
		if move.get("item") == insert {
			position, setter = move.need("from_position"), ""
			break
		}
	}
	l.lies[insert] = position
	l.put(it, "scanned_in_at", it.time("scanned_in_at"), it.badge("scanned_in_by"), shop.LoadPlaced{Load: l.load, Insert: insert, Position: position, Setter: setter, Lying: it.get("orientation")})
}

// move plans a move before the door closed. A place holds one piece: of two
// that change places, the one that lies where the other goes is taken out
// first.
func (l *loading) move(r row) {
	insert, to, at, by := r.get("item"), r.need("to_position"), r.time("at"), r.badge("by")
	for _, other := range l.inserts {
		if other != insert && l.lies[other] == to {
			l.put(r, "at", at, by, shop.LoadTakenOut{Load: l.load, Insert: other}).Reason = r.get("reason")
			delete(l.lies, other)
		}
	}
	l.lies[insert] = to
	setter, lying := "", ""
	if it, ok := l.loadItems.find(l.load, insert); ok && it.get("position") == to {
		setter, lying = it.get("setter"), it.get("orientation")
	}
	l.put(r, "at", at, by, shop.LoadPlaced{Load: l.load, Insert: insert, Position: to, Setter: setter, Lying: lying}).Reason = r.get("reason")
}

// door plans the closing and the opening. The scans out after the opening are
// one event with it: its time is the door's.
func (l *loading) door() {
	closed := l.r.timeIf("door_closed_at")
	if closed.IsZero() {
		return
	}
	l.put(l.r, "door_closed_at", closed, l.r.badge("started_by"), shop.LoadClosed{Load: l.load, Clock: l.r.reading("clock_check_s", "s")})
	if opened := l.r.until("door_opened_at", "door_closed_at"); !opened.IsZero() {
		l.put(l.r, "door_opened_at", opened, l.r.badge("unloaded_by"), shop.LoadUnloaded{Load: l.load, Inserts: l.inserts, Coupons: l.couponNumbers()})
	}
}

func (l *loading) couponNumbers() []string {
	var all []string
	for _, it := range l.coupons {
		all = append(all, it.get("item"))
	}
	return all
}

// paper plans the check of the form from which the load was typed in.
func (l *loading) paper() {
	form, entered := l.r.get("form"), l.r.timeIf("entered_at")
	if form == "" || entered.IsZero() {
		return
	}
	e := l.add(l.r, "entered_at", entered, l.r.badge("checked_by"), shop.FormChecked{Form: form})
	e.Meaning = "Compared with the form"
}

// down plans when the service was not there. Someone notes it when it is back.
func (p *plan) down() {
	for _, r := range p.outages.rows {
		by, _ := p.someone(r, "outage-noted")
		from, until := r.time("from"), r.time("until")
		p.add(r, "until", until, by, shop.OutageNoted{From: from.UTC(), Until: until.UTC(), Note: r.need("note")})
	}
}
