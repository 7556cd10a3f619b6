package server

import (
	"net/http"
	"net/url"
	"slices"
	"testing"

	"golang.org/x/net/html"

	"sinterbook/store/shop"
)

// editOf opens the form that changes an order.
func (b *bookTest) editOf(badge string) *html.Node {
	b.Helper()
	return b.get(badge, "/orders/O-1").says(http.StatusOK).mustForm("/orders/O-1")
}

// changed lists who changed what of the order, from what to what.
func (b *bookTest) changed() []string {
	b.Helper()
	entries, err := b.store.History(b.Context(), "order/O-1", 0, 100)
	if err != nil {
		b.Fatal(err)
	}
	var said []string
	for _, e := range entries {
		if ev, ok := e.Event.(shop.OrderChanged); ok {
			line := e.By + ":"
			for _, c := range ev.Changes {
				line += " " + c.Field + " " + c.From + ">" + c.To
			}
			said = append(said, line)
		}
	}
	return said
}

func (b *bookTest) orderIs(due string, quantity int, remark string) {
	b.Helper()
	o, err := b.store.Order(b.Context(), "O-1")
	if err != nil {
		b.Fatal(err)
	}
	if string(o.Due) != due || o.Quantity != quantity || o.Remark != remark {
		b.Errorf("the order is due %s, %d, %q; want %s, %d, %q", o.Due, o.Quantity, o.Remark, due, quantity, remark)
	}
}

func (b *bookTest) changesAre(want ...string) {
	b.Helper()
	if got := b.changed(); !slices.Equal(got, want) {
		b.Errorf("changes %q; want %q", got, want)
	}
}

// saved posts an edit and fails the test unless it was taken.
func (b *bookTest) saved(badge string, form *html.Node, fields url.Values) {
	b.Helper()
	if p := b.post(badge, form, fields); p.to != "/orders/O-1" {
		b.Fatalf("status %d: %s", p.status, p.text())
	}
}

// TestTwoPeopleChangeOneOrder: a page that is overtaken never takes the other
// person's change back. It says who changed what, keeps what was typed, and
// saving again puts this person's fields on top.
func TestTwoPeopleChangeOneOrder(t *testing.T) {
	b := staffed(t)
	anna, ben := b.editOf("601"), b.editOf("700")
	b.saved("601", anna, url.Values{"quantity": {"5"}})
	p := b.post("700", ben, url.Values{"remark": {"use setter B"}}).
		says(http.StatusConflict, "Changed meanwhile", "Badge 601", "2025-10-20", "quantity from 3 to 5")
	b.orderIs("2025-10-15", 5, "")
	again := p.mustForm("/orders/O-1")
	if got := valueOf(namedField(t, again, "remark")); got != "use setter B" {
		t.Errorf("the remark comes back as %q", got)
	}
	if got := valueOf(namedField(t, again, "quantity")); got != "5" {
		t.Errorf("the quantity, not touched here, shows %q; want 5", got)
	}
	b.saved("700", again, nil)
	b.orderIs("2025-10-15", 5, "use setter B")
	b.changesAre("601: quantity 3>5", "700: remark >use setter B")
}

// Both change one field: the second is never taken unseen.
func TestTwoPeopleChangeOneField(t *testing.T) {
	b := staffed(t)
	anna, ben := b.editOf("601"), b.editOf("700")
	b.saved("601", anna, url.Values{"quantity": {"5"}})
	p := b.post("700", ben, url.Values{"quantity": {"4"}}).says(http.StatusConflict, "now: 5 (badge 601, 2025-10-20 08:00)")
	b.orderIs("2025-10-15", 5, "")
	again := p.mustForm("/orders/O-1")
	if got := valueOf(namedField(t, again, "quantity")); got != "4" {
		t.Errorf("the quantity comes back as %q; want what was typed, 4", got)
	}
	b.saved("601", b.editOf("601"), url.Values{"quantity": {"6"}})
	again = b.post("700", again, nil).says(http.StatusConflict, "now: 6 (badge 601").mustForm("/orders/O-1")
	b.saved("700", again, nil)
	b.orderIs("2025-10-15", 4, "")
	b.changesAre("601: quantity 3>5", "601: quantity 5>6", "700: quantity 6>4")
}

// Both wrote the same: there is nothing left to record.
func TestTwoPeopleWriteTheSame(t *testing.T) {
	b := staffed(t)
	anna, ben := b.editOf("601"), b.editOf("700")
	b.saved("601", anna, url.Values{"due": {"2025-11-01"}})
	again := b.post("700", ben, url.Values{"due": {"2025-11-01"}}).says(http.StatusConflict, "due from 2025-10-15 to 2025-11-01").silent("now: 2025-11-01").mustForm("/orders/O-1")
	b.post("700", again, nil).says(http.StatusUnprocessableEntity, "Nothing was changed")
	b.changesAre("601: due 2025-10-15>2025-11-01")
}

// Two tabs of one person are two pages.
func TestTwoTabsOfOnePerson(t *testing.T) {
	b := staffed(t)
	one, two := b.editOf("700"), b.editOf("700")
	b.saved("700", one, url.Values{"due": {"2025-11-01"}})
	p := b.post("700", two, url.Values{"remark": {"first line\r\nsecond line"}}).says(http.StatusConflict, "Badge 700", "due from 2025-10-15 to 2025-11-01")
	b.saved("700", p.mustForm("/orders/O-1"), url.Values{"remark": {"first line\r\nsecond line"}})
	b.orderIs("2025-11-01", 3, "first line\nsecond line")
	b.changesAre("700: due 2025-10-15>2025-11-01", "700: remark >first line\nsecond line")
}

// The page from before the first save comes back by the browser's way back,
// with the number of its act.
func TestSavedAgainFromTheWayBack(t *testing.T) {
	b := staffed(t)
	form := b.editOf("700")
	b.saved("700", form, url.Values{"quantity": {"5"}})
	b.saved("700", form, url.Values{"quantity": {"5"}}) // the same once more is the same act
	p := b.post("700", form, url.Values{"remark": {"use setter B"}}).says(http.StatusConflict, "Badge 700", "quantity from 3 to 5")
	b.orderIs("2025-10-15", 5, "")
	b.saved("700", p.mustForm("/orders/O-1"), nil)
	b.orderIs("2025-10-15", 5, "use setter B")
	b.changesAre("700: quantity 3>5", "700: remark >use setter B")
}

// A remark with line ends comes back from the browser with two characters for
// each: that is no change.
func TestLineEndsAreNoChange(t *testing.T) {
	b := staffed(t)
	b.saved("700", b.editOf("700"), url.Values{"remark": {"one\r\ntwo"}})
	b.saved("700", b.editOf("700"), url.Values{"remark": {"one\r\ntwo"}, "from.remark": {"one\r\ntwo"}, "quantity": {"4"}})
	b.changesAre("700: remark >one\ntwo", "700: quantity 3>4")
}

func TestBadChanges(t *testing.T) {
	b := staffed(t)
	before := b.entries()
	form := b.editOf("700")
	b.post("700", form, nil).says(http.StatusUnprocessableEntity, "Nothing was changed")
	for field, want := range map[string]string{"due": "The day it is due is not a day", "quantity": `The quantity "a few" must be a whole number, 1 or more.`} {
		p := b.post("700", form, url.Values{field: {"a few"}, "remark": {"use setter B"}}).says(http.StatusUnprocessableEntity, want).linked()
		for name, typed := range map[string]string{field: "a few", "remark": "use setter B"} {
			if got := valueOf(namedField(t, p.mustForm("/orders/O-1"), name)); got != typed {
				t.Errorf("%s comes back as %q; want %q", name, got, typed)
			}
		}
	}
	if b.entries() != before {
		t.Error("something was stored")
	}
	if b.get("204", "/orders/O-1").form("/orders/O-1") != nil {
		t.Error("a print operator is offered to change an order")
	}
	b.post("204", form, url.Values{"quantity": {"9"}}).says(http.StatusForbidden)
}

// TestOrders counts what is made and what is on the route, and says what is
// late.
func TestOrders(t *testing.T) {
	b := staffed(t)
	b.opened("I-0031", "CR40")
	b.opened("I-0032", "CR40")
	b.put("601", shop.InsertScrapped{Insert: "I-0032", Why: "cracked"})
	rows := b.get("900", "/orders").rows("On the route")
	want := [][]string{{"O-1", "K1", "CR40 core", "0 of 3", "1", "2025-10-15", "5 days", "M301"}, {"O-2", "K2", "CV16 cavity", "0 of 1", "0", "2025-11-14", "", "stock"}}
	if !slices.EqualFunc(rows, want, slices.Equal[[]string]) {
		t.Errorf("orders %q; want %q", rows, want)
	}
	b.get("900", "/orders/O-1").says(http.StatusOK, "3 × CR40 core for customer K1", "0 made, 1 on the route, due 2025-10-15, 5 days late", "I-0032", "scrapped")
}
