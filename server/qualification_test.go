package server

import (
	"net/http"
	"net/url"
	"slices"
	"testing"

	"golang.org/x/net/html"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// lotOnTest receives a lot of which nothing was done.
func lotOnTest(t *testing.T) *bookTest {
	b := staffed(t)
	b.keyed("101")
	b.keyed("601")
	b.put("101", shop.LotReceived{Lot: "L2510-B", Material: "HT44 paste", MadeOn: "2025-10-13", ExpiresOn: "2026-02-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
	return b
}

// TestLotReleasedOnTrust: the page says what is not done, the release asks for a
// reason for each, keeps what was typed, and the steps say from then on that not
// all was done.
func TestLotReleasedOnTrust(t *testing.T) {
	b := lotOnTest(t)
	b.put("101", shop.QualificationPlanned{Lot: "L2510-B", Coupons: 4, Design: "CR40", Revision: "B", Axes: []string{"X"}})
	form := b.get("601", "/lots/L2510-B").says(http.StatusOK, "Not done yet", "certificate of lot L2510-B was not entered", "Of 4 coupons of CR40 B that are planned for lot L2510-B, 0 are printed and 0 sintered.",
		"No factor of lot L2510-B in X, Y and Z is in force.", "no length of lot L2510-B along X, Y and Z").mustForm("/lots/L2510-B")
	before := b.entries()
	asked := b.post("601", form, url.Values{"evidence": {"I trust the maker"}, "pin": {rightPIN}}).says(http.StatusConflict, "Give a reason to go on", "I trust the maker")
	if n := b.entries(); n != before {
		t.Errorf("%d entries; want %d: nothing was recorded", n, before)
	}
	reasons := onTrust(url.Values{"pin": {rightPIN}})
	if p := b.post("601", asked.mustForm("/lots/L2510-B"), reasons); p.to != "/lots/L2510-B" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("601", "/lots/L2510-B").says(http.StatusOK, "released, not all done", "the reasons stand in its history").silent("Not done yet")
	b.get("601", views.HistoryOf("lot", "L2510-B")).says(http.StatusOK, "I trust the maker", "as the lot before it")
}

// TestPlanAndFirstInserts: coupons of two designs and first inserts are planned on
// one page; a release names them, and the lot says how far they have come.
func TestPlanAndFirstInserts(t *testing.T) {
	b := lotOnTest(t)
	form := b.get("101", "/new/qualification?lot=L2510-B").says(http.StatusOK, "First inserts").mustForm("/new/qualification")
	plan := url.Values{"lot": {"L2510-B"}, "axes": {"X"}, "design": {"CR40 B"}, "coupons": {"4"}, "further.2": {"CV16 B"}, "further.2.coupons": {"many"}, "first_inserts": {"1"}}
	b.post("101", form, plan).says(http.StatusUnprocessableEntity, "The number of coupons is \"many\"", "Nothing was stored")
	plan.Set("further.2.coupons", "2")
	if p := b.post("101", form, plan); p.to != "/lots/L2510-B" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("101", "/lots/L2510-B").says(http.StatusOK, "4 coupons of CR40 B, 2 coupons of CV16 B and 1 first insert, along X", "0 of 4 CR40 B, 0 sintered; 0 of 2 CV16 B, 0 sintered", "no release names them yet", "receipt coupons and first inserts is printed of it")
	stands := b.get("101", "/lots/L2510-B").says(http.StatusOK, "Change the plan")
	if links := stands.links(); !slices.Contains(links, "/new/coupon?lot=L2510-B") {
		t.Error("the form for a coupon is not opened for the lot")
	}
	again := b.get("101", "/new/qualification?lot=L2510-B").mustForm("/new/qualification")
	for field, want := range map[string]string{"axes": "X", "design": "CR40 B", "coupons": "4", "further.1": "CV16 B", "further.1.coupons": "2", "first_inserts": "1"} {
		if got := valueOf(namedField(t, again, field)); got != want {
			t.Errorf("to be changed, %s is %q; want %q", field, got, want)
		}
	}
	for lot, want := range map[string]bool{"L2510-B": false, "L2509-A": true} {
		box := namedField(t, b.get("204", "/new/coupon?lot="+lot).mustForm("/new/coupon"), "container")
		if offers := slices.ContainsFunc(elements(box, "option"), func(o *html.Node) bool { return attrOf(o, "value") != "" }); offers != want {
			t.Errorf("the form for a coupon of %s offers a container: %v; want %v", lot, offers, want)
		}
	}
	b.put("700", shop.TravelerOpened{Insert: "I-0001", Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
	form = b.get("101", "/new/release?supersedes=DR-02+A").mustForm("/new/release")
	draft := url.Values{"release": {"DR-05 A"}, "supersedes": {""}, "lot": {"L2510-B"}, "kx": {"1.2019"}, "ky": {"1.2019"}, "kz": {"1.2180"}, "evidence": {"receipt coupons"}, "first_inserts": {"I-0001, I-0077"}}
	wrong := b.post("101", form, draft).says(http.StatusUnprocessableEntity, "There is no insert I-0077 in this book")
	if typed := valueOf(namedField(t, wrong.mustForm("/new/release"), "first_inserts")); typed != "I-0001, I-0077" {
		t.Errorf("in the field stands %q; want what was typed", typed)
	}
	draft.Set("first_inserts", " I-0001 ")
	p := b.post("101", form, draft)
	if p.to != "/releases/DR-05%20A" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("101", p.to).says(http.StatusOK, "For first inserts only", "I-0001")
	b.get("101", "/lots/L2510-B").says(http.StatusOK, "0 of 1 measured green and sintered; I-0001 opened")
}
