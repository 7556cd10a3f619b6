package server

import (
	"net/http"
	"net/url"
	"slices"
	"testing"

	"sinterbook/store/shop"
)

// halfPrinted is a book in which an insert is printed up to layer 152, and a second
// lot may take over.
func halfPrinted(t *testing.T) *bookTest {
	t.Helper()
	b := staffed(t)
	b.put("101", shop.LotReceived{Lot: "L2509-B", Material: "HT44 paste", MadeOn: "2025-09-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
	b.factored("FA-002", "L2509-B", believed("X", "16.74", "1.2011"), believed("Y", "16.74", "1.2011"), believed("Z", "17.84", "1.2171"))
	b.put("601", shop.LotReleased{Lot: "L2509-B", Evidence: "receipt coupons"})
	b.put("204", shop.ContainerReceived{Container: "L2509-B/01", Lot: "L2509-B", Mass: readingOf("2499.8", "g"), Code: shop.NewScanCode()})
	b.put("204", shop.ContainerOpened{Container: "L2509-B/01"})
	b.opened("I-0001", "CR40")
	b.put("204", shop.PrintStarted{Insert: "I-0001", Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram, Carrier: "PL-01", KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304})
	b.put("204", shop.PasteDrawn{Container: "L2509-A/01", Insert: "I-0001", FromLayer: 1, ToLayer: 152, Drawn: readingOf("140", "g")})
	return b
}

// TestSignChangeOfLot: a second person sees what the machine has beside the
// factors of the lots, signs with a PIN, and both lots stand on the insert by
// their layers. A wrong PIN stores nothing and what was typed is still there.
func TestSignChangeOfLot(t *testing.T) {
	b := halfPrinted(t)
	b.keyed("101")
	b.get("101", "/inserts/I-0001").says(http.StatusOK, "Sign a change of lot")
	p := b.get("101", "/new/lot-change?insert=I-0001").says(http.StatusOK, "It is printed of L2509-A.")
	if rows := p.rows("Z"); !slices.ContainsFunc(rows, func(row []string) bool {
		return slices.Equal(row, []string{"Machine P1", "1.2019", "1.2019", "1.2180"})
	}) ||
		!slices.ContainsFunc(rows, func(row []string) bool {
			return slices.Equal(row, []string{"L2509-B", "1.2011", "1.2011", "1.2171"})
		}) {
		t.Errorf("factors side by side are %q", rows)
	}
	form := p.mustForm("/new/lot-change")
	typed := url.Values{"to_lot": {"L2509-B"}, "from_layer": {"153"}, "why": {"the rest of the tub is too little"}, "pin": {"000000"}}
	before := b.entries()
	wrong := b.post("101", form, typed).says(http.StatusUnprocessableEntity, "Nothing was")
	wrong.stands("/new/lot-change", url.Values{"insert": {"I-0001"}, "to_lot": {"L2509-B"}, "from_layer": {"153"}, "why": {"the rest of the tub is too little"}, "pin": {""}})
	if after := b.entries(); after != before {
		t.Errorf("a wrong PIN brought the log from %d to %d entries", before, after)
	}
	typed.Set("pin", rightPIN)
	if p := b.post("101", wrong.mustForm("/new/lot-change"), typed); p.to != "/inserts/I-0001" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.put("204", shop.PasteDrawn{Container: "L2509-B/01", Insert: "I-0001", FromLayer: 153, ToLayer: 304, Drawn: readingOf("140", "g")})
	b.get("900", "/inserts/I-0001").says(http.StatusOK, "L2509-A, layers 1 to 152", "L2509-B, layers 153 to 304")
	b.get("900", "/history/insert/I-0001").says(http.StatusOK, "153", "L2509-B", "the rest of the tub is too little", "I compared the factors of both lots", "101")
	for _, lot := range []string{"L2509-A", "L2509-B"} {
		b.get("900", "/lots/"+lot).says(http.StatusOK, "I-0001")
	}
	if p := b.post("101", form, typed); p.to != "/inserts/I-0001" || b.entries() != before+2 { // the same signature once more
		t.Errorf("signed twice: status %d to %q, %d entries; want %d: %s", p.status, p.to, b.entries(), before+2, p.text())
	}
}

// TestChangeOfLotNotByOperator: who starts prints is not offered the form.
func TestChangeOfLotNotByOperator(t *testing.T) {
	b := halfPrinted(t)
	b.get("204", "/inserts/I-0001").says(http.StatusOK).silent("Sign a change of lot")
}
