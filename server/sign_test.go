package server

import (
	"net/http"
	"net/url"
	"testing"

	"sinterbook/store/shop"
)

// A signature asks for the PIN of who is signed in: without it, and with a
// wrong one, nothing is recorded and what was typed is still there.
func TestSignaturesAskForThePIN(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	b.put("204", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0001", Why: "edge chipped"})
	b.put("101", shop.LotReceived{Lot: "L2510-C", Material: "HT44 paste", MadeOn: "2025-10-01", ExpiresOn: "2026-02-01", OpenLifeDays: 30, Certificate: "C-120", Code: shop.NewScanCode()})
	b.put("101", shop.ReleaseDrafted{Release: "DR-09 A", Design: "CR40", Revision: "B", Lot: "L2509-A", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Evidence: "receipt coupons", Program: "CR40.pgm", ProgramHash: testProgram})
	for _, c := range []struct {
		page, action string
		fields       url.Values
		kept         string
	}{
		{"/holds/H-001", "/holds/H-001", url.Values{"why": {"looked at under the glass"}}, "why"},
		{"/lots/L2510-C", "/lots/L2510-C", onTrust(url.Values{"evidence": {"receipt coupons C-120"}}), "evidence"},
		{"/releases/DR-09%20A", "/releases/DR-09%20A/sign", nil, ""},
		{"/inserts/I-0001/scrap", "/inserts/I-0001/scrap", url.Values{"why": {"cracked in the drying cabinet"}}, "why"},
	} {
		try := func(pin string) shownPage {
			form := b.get("601", c.page).mustForm(c.action)
			fields := url.Values{"pin": {pin}}
			for name, v := range c.fields {
				fields[name] = v
			}
			return b.post("601", form, fields)
		}
		b.without("601")
		try(rightPIN).says(http.StatusUnprocessableEntity, "no PIN yet", "Nothing was recorded")
		b.keyed("601")
		before := b.size()
		try("").says(http.StatusUnprocessableEntity, "PIN is missing")
		again := try("480914").says(http.StatusUnprocessableEntity, "not the PIN of badge 601")
		if c.kept != "" {
			if got := valueOf(namedField(t, again.mustForm(c.action), c.kept)); got != c.fields.Get(c.kept) {
				t.Errorf("%s: what was typed came back as %q", c.action, got)
			}
		}
		if got := attrOf(namedField(t, again.mustForm(c.action), "pin"), "value"); got != "" {
			t.Errorf("%s: the page gives the PIN back", c.action)
		}
		if n := b.size(); n != before {
			t.Errorf("%s: %d entries were recorded without a signature", c.action, n-before)
		}
		if p := try(rightPIN); p.status != http.StatusSeeOther {
			t.Errorf("%s with the right PIN: %d %s", c.action, p.status, p.text())
		}
		if n := b.size(); n != before+1 {
			t.Errorf("%s recorded %d entries; want 1", c.action, n-before)
		}
	}
	history, err := b.store.History(t.Context(), shop.Subject("release", "DR-09 A"), 0, 10)
	if err != nil || len(history) != 2 || history[1].Meaning == "" {
		t.Errorf("the signature has no meaning in the log: %v, %v", history, err)
	}
}

// without takes the keys of a badge away.
func (b *bookTest) without(badge string) {
	b.Helper()
	b.put("601", shop.NameErased{Badge: badge})
}

// size is the number of entries in the log.
func (b *bookTest) size() int64 {
	b.Helper()
	got, err := b.store.Book(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	return got.Size
}
